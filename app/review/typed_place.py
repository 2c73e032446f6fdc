"""A place in a case as somebody types it: a time, or a frame number."""

from __future__ import annotations

import re
from dataclasses import dataclass

from annotate.clock import format_time, parse_time, shown, to_ms
from annotate.errors import UserFacingError

HOW = "A time (0:01:14.800, or seconds), or a frame (#1200, or f 1200)"
_FRAME = re.compile(r"(?:#|frame|f)\s*(?P<digits>.*)", re.IGNORECASE | re.DOTALL)
_FINE = re.compile(r"\.\d{4,}\Z", re.ASCII)
_MOST_DIGITS = 9


@dataclass(frozen=True, slots=True)
class TypedPlace:
    """Where to go: one of the two is there.

    Attributes
    ----------
    time_us : int or None
        Case time.
    number : int or None
        Case-wide frame number, from 0.
    reach_us : int or None
        The last moment that reads like the time typed: the frame that is shown with this time
        has begun by then.
    """

    time_us: int | None = None
    number: int | None = None
    reach_us: int | None = None


def typed_place(text: str, length_us: int, n_frames: int) -> TypedPlace:
    """Read what was typed.

    Parameters
    ----------
    length_us : int
        Of the case; a time beyond it is refused.
    n_frames : int
        Of the case; 0 where there is no picture, and then no frame number is taken.

    Raises
    ------
    UserFacingError
        If it is neither a time nor a frame number, or lies outside the case.
    """
    stripped = text.strip()
    found = _FRAME.fullmatch(stripped)
    if found:
        return TypedPlace(number=_number(found["digits"].strip(), stripped, n_frames))
    if not stripped:
        raise UserFacingError("Nothing is typed.", f"{HOW}.")
    time_us = parse_time(stripped)
    if time_us > length_us:
        raise UserFacingError(
            f"The case ends at {format_time(length_us)}.",
            "Write a time up to there, or a frame as #1200.",
        )
    reach_us = time_us if _FINE.search(stripped) else _last_shown_so_us(to_ms(time_us))
    return TypedPlace(time_us=time_us, reach_us=min(reach_us, length_us))


def _last_shown_so_us(ms: int) -> int:
    """The last microsecond that is shown as a millisecond: the half goes to the even one."""
    return ms * 1000 + (499 if ms % 2 else 500)


def _number(digits: str, text: str, n_frames: int) -> int:
    if not (digits.isascii() and digits.isdigit()):
        raise UserFacingError(
            f"'{shown(text)}' is no frame number.", "Write # and digits, such as #1200."
        )
    if not n_frames:
        raise UserFacingError("There is no picture, so no frame has a number.", "Write a time.")
    if len(digits.lstrip("0")) > _MOST_DIGITS or int(digits) >= n_frames:
        raise UserFacingError(
            f"The frames go from 0 to {n_frames - 1}.", "Write a number of one of them."
        )
    return int(digits)
