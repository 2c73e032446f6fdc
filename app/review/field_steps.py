"""Stepping by the fields of an interlaced clip: each frame has two moments. No Qt."""

from __future__ import annotations

from dataclasses import dataclass

FIELDS = 2


@dataclass(slots=True)
class FieldSteps:
    """Where one is among the fields.

    Attributes
    ----------
    is_on : bool
        Whether steps go by fields.
    field : int or None
        The field on the screen, 0 for the earlier; None for whole frames.
    """

    is_on: bool = False
    field: int | None = None

    def turn(self, *, is_interlaced: bool) -> str:
        """Step by fields, or by frames again; says which in a sentence."""
        if not is_interlaced:
            self.is_on, self.field = False, None
            return "This clip is not interlaced: its frames have no fields."
        self.is_on = not self.is_on
        self.field = 0 if self.is_on else None
        return "Steps go by fields now, two to a frame." if self.is_on else "Steps go by frames."

    def step(self, number: int, by: int, n_frames: int) -> int:
        """Go on by frames or fields from a frame; gives the frame where that leads."""
        if not self.is_on:
            return max(0, min(number + by, n_frames - 1))
        place = number * FIELDS + (self.field or 0) + by
        number, self.field = divmod(max(0, min(place, n_frames * FIELDS - 1)), FIELDS)
        return number

    def go(self) -> None:
        """Somewhere else: begin with the earlier field."""
        self.field = 0 if self.is_on else None

    @property
    def words(self) -> str:
        """Which field is on the screen."""
        return "" if self.field is None else f"field {self.field + 1} of {FIELDS}"
