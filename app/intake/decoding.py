"""What taking in and the list of cases decode. On the desk it runs in a process of its own: no Qt.

Whatever crosses between the processes is bytes, or small.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from annotate.clip import ClipIndex, ClipReader, build_index, check_clip
from annotate.clip.joins import examine
from annotate.clip.thumbnail_making import jpeg_of, make_thumbnails
from app.jobs.work import Work

POSTER_PX = 240
_QUALITY = 85


def checked(path: Path, *, work: Work) -> None:
    """Decode one picture of a clip, or say what is wrong.

    Raises
    ------
    UserFacingError
        If it cannot be opened, or not one picture comes out.
    """
    work.check()
    check_clip(path)


def index_bytes(path: Path, *, work: Work) -> bytes:
    """Index a clip; packed, as the store keeps it.

    Raises
    ------
    UserFacingError
        If it holds no picture that can be read.
    Cancelled, ReadingStopped
        If it was called off.
    """
    return build_index(path, progress=work.advance, cancel=work.cancel).to_bytes()


def poster_bytes(path: Path, index: bytes, clip_us: int, *, work: Work) -> bytes:
    """The frame shown at a time of a clip as a small JPEG.

    Raises
    ------
    UserFacingError
        If the clip cannot be opened.
    ReadingStopped
        If it was called off.
    """
    with ClipReader(path, ClipIndex.from_bytes(index)) as reader:
        frame = reader.shown(reader.index.number_at(clip_us), work.cancel)
    return jpeg_of(frame, POSTER_PX, _QUALITY)


def thumbnail_parts(
    path: Path, index: bytes, there: Sequence[int], *, work: Work
) -> Iterator[bytes]:
    """A clip's small pictures, part by part, packed.

    Parameters
    ----------
    there : sequence of int
        Frame numbers of those that are not to be made again.

    Raises
    ------
    UserFacingError
        If the clip cannot be opened.
    Cancelled, ReadingStopped
        If it was called off.
    """
    parts = make_thumbnails(path, ClipIndex.from_bytes(index), there, work.advance, work.cancel)
    for part in parts:
        yield part.to_bytes()


def join_bytes(one: tuple[Path, bytes], other: tuple[Path, bytes], *, work: Work) -> bytes:
    """What lies at the join between two clips, each with its index; packed.

    Raises
    ------
    UserFacingError
        If one of them cannot be opened.
    ReadingStopped
        If it was called off.
    """
    sides = [(path, ClipIndex.from_bytes(index)) for path, index in (one, other)]
    return examine(sides[0], sides[1], work.cancel).to_bytes()
