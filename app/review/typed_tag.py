"""A tag as somebody types it: code, start and end. No Qt."""

from __future__ import annotations

from dataclasses import dataclass

from annotate.clock import format_time, to_ms
from annotate.errors import UserFacingError
from annotate.tags import TagKind
from app.review.changing import SHORTEST_US
from app.review.frame_steps import FrameTimes
from app.review.typed_place import typed_place


@dataclass(frozen=True, slots=True)
class TypedSpan:
    """Times that were typed, case time; `end_us` is None for an instant."""

    start_us: int
    end_us: int | None


@dataclass(frozen=True, slots=True)
class Places:
    """Reads places of one case.

    Attributes
    ----------
    length_us : int
        Of the case.
    frames : FrameTimes or None
        None where there is no picture; times are then taken as typed.
    n_frames : int
        Of the case.
    """

    length_us: int
    frames: FrameTimes | None = None
    n_frames: int = 0

    def read(self, text: str) -> int:
        """Case time of what was typed.

        A frame's number stands for the moment from which it is shown. A time that is shown for a
        frame is that frame's own time, which may have more digits.

        Raises
        ------
        UserFacingError
            If it is no place in this case.
        """
        has_frames = self.frames is not None and self.n_frames > 0
        place = typed_place(text, self.length_us, self.n_frames if has_frames else 0)
        if self.frames is None or not has_frames:
            return place.time_us or 0
        if place.number is not None:
            return self.frames.time_of(place.number)
        time_us = place.time_us or 0
        if place.reach_us is not None:
            frame_us = self.frames.time_of(self.frames.number_at(place.reach_us))
            if to_ms(frame_us) == to_ms(time_us):
                return frame_us
        return time_us


def typed_span(
    start: str,
    end: str,
    places: Places,
    *,
    needs_end: bool,
    as_was: TypedSpan | None = None,
) -> TypedSpan:
    """Read the start and the end that were typed.

    Parameters
    ----------
    needs_end : bool
        Whether an empty end is refused; events and comments may be instants.
    as_was : TypedSpan or None
        The row's times; a text that still reads like one of them stands for it exactly.

    Raises
    ------
    UserFacingError
        If one is no place in the case, or the end is not after the start.
    """
    start_us = _read("start", start, places, as_was.start_us if as_was else None)
    if not end.strip():
        if needs_end:
            raise UserFacingError("The end is not written yet.", "Write when it ends.")
        return TypedSpan(start_us, None)
    end_us = _read("end", end, places, as_was.end_us if as_was else None)
    if end_us < start_us + SHORTEST_US:
        raise UserFacingError(
            f"It would end at {format_time(end_us)} and start at {format_time(start_us)}.",
            "Write an end after the start.",
        )
    return TypedSpan(start_us, end_us)


def _read(edge: str, text: str, places: Places, was_us: int | None) -> int:
    if was_us is not None and text.strip() == format_time(was_us):
        return was_us
    if not text.strip():
        raise UserFacingError(f"The {edge} is not written yet.", f"Write its {edge}.")
    try:
        return places.read(text)
    except UserFacingError as trouble:
        raise UserFacingError(f"The {edge}: {trouble.what}", trouble.do) from trouble


def needs_end(kind: TagKind | None) -> bool:
    """Whether a row of that kind (None: a comment) has to have an end."""
    return kind is not None and kind is not TagKind.EVENT
