"""What taking in and the list of cases decode. On the desk it runs in a process of its own: no Qt.

Whatever crosses between the processes is bytes, or small.
"""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from annotate.clip import ClipIndex, ClipReader, build_index, check_clip
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


def poster_bytes(path: Path, index: bytes, number: int, *, work: Work) -> bytes:
    """A frame of a clip as a small JPEG.

    Raises
    ------
    UserFacingError
        If the clip cannot be opened.
    ReadingStopped
        If it was called off.
    """
    with ClipReader(path, ClipIndex.from_bytes(index)) as reader:
        frame = reader.shown(number, work.cancel)
    width, height = frame.shown_size
    pixels = frame.fitted(POSTER_PX, max(round(POSTER_PX * height / width), 1))
    picture = np.ascontiguousarray(pixels[:, :, :3])
    _, encoded = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
    return encoded.tobytes()
