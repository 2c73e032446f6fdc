"""Where the times of a case go when its parts are moved: each stays on its picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from annotate.clock import CaseClock, CaseTime
from annotate.ids import ClipId

Span = tuple[int, int]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """One part in an order of parts; `lead_us` as in `annotate.case.ClipRecord`."""

    id: ClipId
    duration_us: int
    lead_us: int = 0


@dataclass(frozen=True, slots=True)
class Piece:
    """What a span covers of one part, in the part's own time.

    Attributes
    ----------
    is_from_first, is_to_last : bool
        Whether it begins with the first picture that the part shows (it then does so wherever the
        part goes, however much of the part repeats another), and ends with the last.
    """

    part: ClipId
    start_us: int
    end_us: int
    is_from_first: bool
    is_to_last: bool


class Order:
    """Parts in an order, with their clock.

    Raises
    ------
    ValueError
        If a lead cannot be so; see `CaseClock`.
    """

    def __init__(self, parts: Sequence[PlacedPart]) -> None:
        self.parts = tuple(parts)
        self.clock = CaseClock([p.duration_us for p in parts], [p.lead_us for p in parts])
        self.place = {part.id: n for n, part in enumerate(parts)}


class Rearrangement:
    """From one order of parts to another that holds at least the same parts.

    A moment stays on its picture. One whose picture is now left out, as a repetition of the part
    before, goes to the equal picture there. A moment in a gap stays as far from the picture before
    it as the gap allows. A span becomes one span for each stretch that hangs together; parts that
    follow each other with a gap between hang together.

    Parameters
    ----------
    before, after : sequence of PlacedPart

    Raises
    ------
    ValueError
        If a part is gone, or an order cannot be so.
    """

    def __init__(self, before: Sequence[PlacedPart], after: Sequence[PlacedPart]) -> None:
        self._before, self._after = Order(before), Order(after)
        if not self._before.place.keys() <= self._after.place.keys():
            raise ValueError("a rearrangement keeps every part")

    @property
    def is_still(self) -> bool:
        """Whether every moment of the case keeps its time: parts were added at the end at most."""
        n = len(self._before.parts)
        return self._before.parts == self._after.parts[:n]

    @property
    def length_us(self) -> int:
        """Length of the case afterwards, microseconds."""
        return self._after.clock.duration_us

    def instant(self, time_us: int) -> CaseTime:
        """Where a moment goes."""
        ordinal, within_us = self._before.clock.to_clip(time_us)
        place = self._after.place[self._before.parts[ordinal].id]
        return self._after.clock.to_case(place, min(within_us, self._most_us(place) - 1))

    def pieces(self, start_us: int, end_us: int) -> list[Piece]:
        """What a span covers of each part, in the order before."""
        clock = self._before.clock
        first, _ = clock.to_clip(start_us)
        last, _ = clock.to_clip(end_us - 1)
        found = []
        for ordinal in range(first, last + 1):
            begins_us = max(start_us, clock.start_of(ordinal))
            next_us = clock.start_of(ordinal + 1) if ordinal < last else end_us
            ends_us = min(end_us, next_us)
            if ordinal < last:
                ends_us = min(ends_us, clock.end_of(ordinal))
            if ends_us <= begins_us:
                continue  # it begins in the gap after this part
            origin_us = clock.to_case(ordinal, 0)
            found.append(
                Piece(
                    self._before.parts[ordinal].id,
                    begins_us - origin_us,
                    ends_us - origin_us,
                    is_from_first=begins_us == clock.start_of(ordinal),
                    is_to_last=ends_us >= clock.end_of(ordinal),
                )
            )
        return found

    def placed(self, piece: Piece) -> Span:
        """Where a piece goes."""
        place = self._after.place[piece.part]
        clock, most_us = self._after.clock, self._most_us(place)
        start_us = clock.to_case(place, min(piece.start_us, most_us - 1))
        end_us = clock.to_case(place, min(piece.end_us, most_us))
        if piece.is_from_first and end_us > clock.start_of(place):
            start_us = clock.start_of(place)
        return start_us, end_us

    def spans(self, start_us: int, end_us: int) -> list[Span]:
        """Where a span goes: one for each stretch that hangs together, in order."""
        return [span for span, _ in self.joined((p, None) for p in self.pieces(start_us, end_us))]

    def joined(self, pieces: Iterable[tuple[Piece, T]]) -> list[tuple[Span, list[T]]]:
        """Place pieces and join those that hang together; each with what came along with it."""
        in_order = sorted(pieces, key=lambda p: (self._after.place[p[0].part], p[0].start_us))
        found: list[tuple[Span, list[T]]] = []
        last: Piece | None = None
        for piece, along in in_order:
            start_us, end_us = self.placed(piece)
            if last is not None and self._hang_together(last, piece) and end_us > found[-1][0][0]:
                found[-1] = ((found[-1][0][0], end_us), [*found[-1][1], along])
            else:
                found.append(((start_us, end_us), [along]))
            last = piece
        return sorted(found, key=lambda pair: pair[0])

    def _hang_together(self, earlier: Piece, later: Piece) -> bool:
        """Whether one ends with a part's last picture and one begins with the next part's first."""
        follows = self._after.place[later.part] == self._after.place[earlier.part] + 1
        return follows and earlier.is_to_last and later.is_from_first

    def _most_us(self, place: int) -> int:
        """Time within a part up to which times are its own: its end, and the gap after it.

        A time past the end of the case, if there ever is one, stays there with the last part.
        """
        after = self._after
        if place + 1 < len(after.parts):
            return after.clock.start_of(place + 1) - after.clock.to_case(place, 0)
        is_last_still = self._before.parts[-1].id == after.parts[-1].id
        return 2**62 if is_last_still else after.parts[place].duration_us
