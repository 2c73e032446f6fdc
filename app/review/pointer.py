"""What the pointer does on the picture: a tool at a time. The hand moves an enlarged picture."""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import Qt

from app.review.viewpoint import Point, Room, Viewpoint


class Looking(Protocol):
    """What a tool may do with the picture."""

    @property
    def seen_from(self) -> Viewpoint: ...

    def look_room(self) -> Room:
        """Where the picture is shown, and how large it is."""

    def look_at(self, seen: Viewpoint) -> None:
        """Show another spot of it, or the same from nearer."""


class PointerTool(Protocol):
    """Gets what the pointer's left button does; places are device pixels of the picture's room."""

    @property
    def cursor(self) -> Qt.CursorShape: ...

    def press(self, at: Point) -> None: ...

    def drag(self, at: Point) -> None: ...

    def release(self, at: Point) -> None: ...


class Hand:
    """Takes hold of the picture where it is larger than its room."""

    def __init__(self, picture: Looking) -> None:
        self._picture = picture
        self._held: tuple[Point, Viewpoint] | None = None

    @property
    def cursor(self) -> Qt.CursorShape:
        """An open hand where there is something to move."""
        if self._held is not None:
            return Qt.CursorShape.ClosedHandCursor
        left, top, width, height = self._picture.seen_from.framing(self._picture.look_room()).region
        is_whole = (left, top, width, height) == (0.0, 0.0, 1.0, 1.0)
        return Qt.CursorShape.ArrowCursor if is_whole else Qt.CursorShape.OpenHandCursor

    def press(self, at: Point) -> None:
        """Take hold."""
        self._held = at, self._picture.seen_from

    def drag(self, at: Point) -> None:
        """Move the picture with the pointer; it is reckoned from where it was taken hold of."""
        if self._held is not None:
            (x, y), begun = self._held
            self._picture.look_at(begun.moved(self._picture.look_room(), at[0] - x, at[1] - y))

    def release(self, at: Point) -> None:
        """Let go."""
        self.drag(at)
        self._held = None
