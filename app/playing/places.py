"""Places of a case as a run needs them: numbers and times that may lie beyond its ends."""

from __future__ import annotations

from annotate.clip import CaseReader


class Places:
    """Numbers and times of a case's frames."""

    def __init__(self, reader: CaseReader) -> None:
        self._reader = reader

    def number_at(self, case_us: int) -> int:
        """Frame shown at a time; the first before the case, the last after it."""
        return self._reader.number_at(max(0, min(case_us, self._reader.clock.duration_us - 1)))

    def time_of(self, number: int) -> int:
        """When a frame is shown; past the last one, the end of the case."""
        if number >= self._reader.n_frames:
            return self._reader.clock.duration_us
        return self._reader.time_of(number)

    def first_of_part(self, part: int) -> int:
        """First frame that a part shows."""
        return self._reader.number_at(self._reader.clock.start_of(part))

    def gap_us(self, before: int, number: int) -> int:
        """How long nothing was recorded before the part of the later of two frames.

        0 where both lie in one part.
        """
        part = self._reader.locate(number)[0]
        if number <= before or self._reader.locate(before)[0] == part:
            return 0
        first = self.first_of_part(part)
        return max(0, self.time_of(first) - self._reader.until_of(first - 1))

    def beyond_part(self, number: int, direction: int) -> int | None:
        """First frame of the next part, or last one of the part before; None at the case's end."""
        part = self._reader.locate(number)[0]
        if direction < 0:
            return self.first_of_part(part) - 1 if part > 0 else None
        return self.first_of_part(part + 1) if part + 1 < self._reader.n_parts else None
