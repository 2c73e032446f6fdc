"""The parts of a case as they are to lie: moved and offset until the plan is carried out. No Qt."""

from __future__ import annotations

import re
from dataclasses import dataclass

from annotate.case import Case, ClipRecord
from annotate.clip.joins import Join
from annotate.clock import US_PER_S, format_time, parse_time
from annotate.errors import UserFacingError
from annotate.ids import ClipId

_FRAMES = re.compile(r"([+-]?)\s*(\d{1,7})\s*(?:f|frames?)", re.ASCII)
Pair = tuple[ClipId, ClipId]


@dataclass(frozen=True, slots=True)
class PartLine:
    """One line of the list of parts.

    Attributes
    ----------
    trouble : str
        Why its pictures cannot be shown; empty where they can.
    found : Join or None
        What was found at the join before it.
    """

    place: int
    clip: ClipRecord
    lead_us: int
    trouble: str = ""
    found: Join | None = None

    @property
    def lies(self) -> str:
        """How it lies now, in words."""
        if self.place == 0:
            return "the first part"
        if self.lead_us > 0:
            return f"after a gap of {format_time(self.lead_us)}"
        if self.lead_us < 0:
            return f"its first {format_time(-self.lead_us)} left out, shown before already"
        return "follows at once"


class PartsPlan:
    """An order of parts that is changed step by step.

    Parameters
    ----------
    joins : dict of (ClipId, ClipId) to Join
        What was found between two clips, where anybody looked.
    troubles : dict of ClipId to str
        Why a part cannot be shown.
    """

    def __init__(self, case: Case, joins: dict[Pair, Join], troubles: dict[ClipId, str]) -> None:
        self.case = case
        self.joins, self._troubles = dict(joins), dict(troubles)
        self._clips = list(case.clips)
        pairs = zip(case.clips, case.clips[1:], strict=False)
        self._leads = {(a.id, b.id): b.lead_us for a, b in pairs}

    @property
    def lines(self) -> tuple[PartLine, ...]:
        """The parts in order."""
        return tuple(self._line(place) for place in range(len(self._clips)))

    @property
    def order(self) -> list[tuple[ClipId, int]]:
        """As `Store.arrange` takes it."""
        return [(line.clip.id, line.lead_us) for line in self.lines]

    @property
    def is_changed(self) -> bool:
        """Whether it differs from how the parts lie now."""
        return self.order != [(clip.id, clip.lead_us) for clip in self.case.clips]

    def move(self, place: int, by: int) -> int:
        """Move a part by places; returns where it is then.

        An offset belongs to two neighbours: parted, they lose it, and get it back when they meet.
        """
        target = max(0, min(place + by, len(self._clips) - 1))
        self._clips.insert(target, self._clips.pop(place))
        return target

    def set_offset(self, place: int, text: str) -> None:
        """Say what lies before a part.

        Parameters
        ----------
        text : str
            A time, or a number of frames (``12 f``); with a minus before it: that much of the
            part repeats the part before.

        Raises
        ------
        UserFacingError
            If it is the first part, or the text is neither.
        """
        if place == 0:
            raise UserFacingError("The first part has nothing before it, so it takes no offset.")
        self._leads[self._pair(place)] = offset_us(text, self._clips[place])

    def take_found(self, place: int) -> bool:
        """Take what was found at the join before a part; False where that says no length."""
        found = self._line(place).found
        if found is None or found.lead_us is None:
            return False
        self._leads[self._pair(place)] = found.lead_us
        return True

    def _pair(self, place: int) -> Pair:
        return self._clips[place - 1].id, self._clips[place].id

    def _line(self, place: int) -> PartLine:
        clip = self._clips[place]
        pair = self._pair(place) if place else None
        return PartLine(
            place,
            clip,
            self._leads.get(pair, 0) if pair else 0,
            self._troubles.get(clip.id, ""),
            self.joins.get(pair) if pair else None,
        )


def offset_us(text: str, clip: ClipRecord) -> int:
    """Read an offset: a signed time, or a signed number of the part's frames.

    Raises
    ------
    UserFacingError
        If it is neither.
    """
    stripped = text.strip().replace("\N{MINUS SIGN}", "-")
    frames = _FRAMES.fullmatch(stripped)
    if frames:
        size_us = round(int(frames[2]) / clip.fps_mean * US_PER_S)
    else:
        size_us = int(parse_time(stripped.lstrip("+-") or "?"))
    return -size_us if stripped.startswith("-") else size_us


def offset_text(lead_us: int) -> str:
    """An offset as it can be typed."""
    sign = "-" if lead_us < 0 else ""
    return f"{sign}{abs(lead_us) / US_PER_S:.6f}".rstrip("0").rstrip(".")


def facts(clip: ClipRecord) -> str:
    """Length, size, rate and encoding of a part in words."""
    rate = f"{float(clip.fps_mean):.2f}".rstrip("0").rstrip(".")
    varies = " (varies)" if clip.is_variable_rate else ""
    return (
        f"{format_time(clip.duration_us)}, {clip.width} x {clip.height}, "
        f"{rate} frames a second{varies}, {clip.codec}"
    )
