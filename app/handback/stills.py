"""Stills of the moments that a note tells, with the marks that were on the picture then."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from annotate.clip.stopping import Cancel, Progress, stop_if
from annotate.clock import format_time
from annotate.ids import RowId
from annotate.mark_motion import MarkPath
from annotate.marks import Mark
from annotate.markup import Markup
from annotate.tags import Comment, Tag
from annotate.vocabulary import Vocabulary
from app.handback.comments import Still, told_rows, with_leanings
from app.handback.wording import clean_text, count, opening, shorten
from app.marks.layout import marks_at, place_in
from app.marks.paint import painted

MOST_WIDTH = 960
JPEG_QUALITY = 84


@dataclass(frozen=True, slots=True, eq=False)
class ShownFrame:
    """A frame of a case.

    Attributes
    ----------
    number, time_us : int
        Counted through the case from 0; case time from which it is shown, microseconds.
    rgb : ndarray of uint8, shape (height, width, 3)
    is_stand_in : bool
        True if the frame itself is damaged and a neighbour's picture is shown instead.
    """

    number: int
    time_us: int
    rgb: NDArray[np.uint8]
    is_stand_in: bool = False


class FrameMissing(Exception):  # noqa: N818 - the note is made without it
    """There is no picture; the argument is a sentence for the note that names no file."""


FrameAt = Callable[[int], ShownFrame]
"""Gives the frame shown at a case time, or raises FrameMissing."""


@dataclass(frozen=True, slots=True)
class Stills:
    """Stills by row, and sentences on those that could not be made."""

    by_row: dict[RowId, Still] = field(default_factory=dict)
    notices: tuple[str, ...] = ()


def collect_stills(
    markup: Markup,
    vocabulary: Vocabulary,
    frames: FrameAt,
    progress: Progress = None,
    cancel: Cancel = None,
    paths: Mapping[RowId, MarkPath] | None = None,
) -> Stills:
    """Make a still for each moment that the note tells.

    A frame that cannot be read leaves its moment without a still and is told in `notices`.

    Parameters
    ----------
    vocabulary : Vocabulary
        Says what an event leans to where its tag does not, and so whether it is told.
    frames : callable
        From case time, microseconds, to the frame shown then; asked in order of time.
    paths : mapping of RowId to MarkPath, optional
        Where following marks go.

    Raises
    ------
    ReadingStopped
        If `cancel` asks for it.
    """
    rows = told_rows(with_leanings(markup, vocabulary))
    moments = sorted(((still_time(row, markup.marks), row) for row in rows), key=lambda m: m[0])
    made: dict[RowId, Still] = {}
    faults: list[str] = []
    damaged: list[int] = []
    for done, (time_us, row) in enumerate(moments, start=1):
        stop_if(cancel)
        try:
            frame = frames(time_us)
        except FrameMissing as missing:
            faults.append(str(missing))
        else:
            seen = MarksSeen(marks_at(markup.marks, time_us), time_us, paths or {})
            made[row.id] = _still(row, frame, seen)
            damaged += [frame.time_us] * frame.is_stand_in
        if progress is not None:
            progress(done / len(moments))
    return Stills(made, (*missing_notices(faults), *_stand_in_notices(damaged)))


def still_time(row: Comment | Tag, marks: Iterable[Mark]) -> int:
    """Case time to show for a moment: its start, or when the mark that belongs to it appears."""
    mark_id = row.mark_id if isinstance(row, Comment) else None
    own = next((mark for mark in marks if mark.id == mark_id), None)
    return max(row.start_us, own.start_us) if own else row.start_us


@dataclass(frozen=True, slots=True, eq=False)
class MarksSeen:
    """Marks of a moment.

    Attributes
    ----------
    time_us : int
        Case time; says where a following mark is.
    """

    marks: Sequence[Mark] = ()
    time_us: int = 0
    paths: Mapping[RowId, MarkPath] = field(default_factory=dict)


def encoded(
    picture: NDArray[np.uint8], seen: MarksSeen | None = None, most_width: int = MOST_WIDTH
) -> tuple[bytes, int, int]:
    """Scale a picture down, paint marks on it, and write it as JPEG without metadata.

    Returns
    -------
    tuple
        The bytes, and the width and height of what they show.
    """
    image = Image.fromarray(np.ascontiguousarray(picture))
    if image.width > most_width:
        height = max(round(image.height * most_width / image.width), 1)
        image = image.resize((most_width, height), Image.Resampling.LANCZOS)
    image = _marked(image, seen)
    sink = BytesIO()
    image.save(sink, "JPEG", quality=JPEG_QUALITY)
    return sink.getvalue(), image.width, image.height


def _marked(image: Image.Image, seen: MarksSeen | None) -> Image.Image:
    """The picture with marks on it, each at its strongest."""
    if seen is None or not seen.marks:
        return image
    pixels = np.asarray(image.convert("RGB"))[..., ::-1].copy()
    place = place_in(image.width, image.height)
    painted(pixels, seen.marks, seen.time_us, place, seen.paths, is_fading=False)
    return Image.fromarray(np.ascontiguousarray(pixels[..., ::-1]))


def missing_notices(faults: Sequence[str]) -> tuple[str, ...]:
    """Say how many stills are missing, and each reason once."""
    if not faults:
        return ()
    verb = "is" if len(faults) == 1 else "are"
    reasons = " ".join(dict.fromkeys(faults))
    return (opening(f"{count(len(faults), 'still')} {verb} missing from this note: {reasons}"),)


def _stand_in_notices(times_us: Sequence[int]) -> tuple[str, ...]:
    if not times_us:
        return ()
    times = ", ".join(map(format_time, sorted(set(times_us))))
    return (f"The recording is damaged at {times}; the picture before it is shown there.",)


def _still(row: Comment | Tag, frame: ShownFrame, seen: MarksSeen) -> Still:
    content, width, height = encoded(frame.rgb, seen)
    return Still(
        content=content,
        width=width,
        height=height,
        alt=_alt(row, frame.time_us, seen.marks),
        frame_number=frame.number,
        time_us=frame.time_us,
    )


def _alt(row: Comment | Tag, time_us: int, marks: Sequence[Mark]) -> str:
    words = [shorten(clean_text(mark.text), 80) for mark in marks if mark.text.strip()]
    drawn = f", with {count(len(marks), 'mark')} drawn on it" if marks else ""
    text = f"The picture at {format_time(time_us)}{drawn}"
    return f"{text}: {', '.join(words)}" if words else text
