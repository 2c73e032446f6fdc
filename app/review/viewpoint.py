"""From where the picture is looked at: how near, at which spot, which way round. No Qt.

Lengths in a room are device pixels; places in the picture are shares of its width and height.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from annotate.clip.showing import WHOLE, Framing, Region

MOST_ZOOM = 8.0
"""How many times larger than fitted a picture is shown at most."""
ZOOM_STEP = 1.25
_MIDDLE = (0.5, 0.5)

Size = tuple[int, int]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Room:
    """Where a picture is shown.

    Attributes
    ----------
    size : tuple of int
        Width and height there are, device pixels.
    picture : tuple of int
        Width and height of the upright picture, its own pixels.
    """

    size: Size
    picture: Size


@dataclass(frozen=True, slots=True)
class Area:
    """Where the shown part of a picture lies in its room, device pixels."""

    left: int
    top: int
    width: int
    height: int

    def share(self, at: Point) -> Point:
        """A point of the room in shares of this area; outside it below 0 or above 1."""
        return (at[0] - self.left) / self.width, (at[1] - self.top) / self.height


@dataclass(frozen=True, slots=True)
class Viewpoint:
    """How near, where, which way round; told apart from the room, which may change.

    Attributes
    ----------
    zoom : float
        Times larger than fitted, 1 to `MOST_ZOOM`.
    is_one_to_one : bool
        Whether a pixel of the picture takes one of the screen, whatever `zoom` says.
    centre : tuple of float
        What is looked at, in shares of the upright picture.
    turn_deg : int
        Clockwise: 0, 90, 180 or 270.
    is_mirrored : bool
        Whether left and right change places, after turning.
    """

    zoom: float = 1.0
    is_one_to_one: bool = False
    centre: Point = _MIDDLE
    turn_deg: int = 0
    is_mirrored: bool = False

    # What is shown

    def framing(self, room: Room) -> Framing:
        """The part to show, and how many device pixels it takes."""
        width, height = self._out(room)
        return replace(self._way_round(), width=width, height=height, region=self._region(room))

    def area(self, room: Room) -> Area:
        """Where that part lies: in the middle of the room."""
        width, height = self._out(room)
        return Area((room.size[0] - width) // 2, (room.size[1] - height) // 2, width, height)

    def scale(self, room: Room) -> float:
        """Device pixels a pixel of the picture takes."""
        return 1.0 if self.is_one_to_one else self._fitting(room) * self.zoom

    def times_fitted(self, room: Room) -> float:
        """How many times larger than fitted the picture is shown; below 1 it is smaller."""
        return self.scale(room) / self._fitting(room)

    def picture_at(self, room: Room, at: Point) -> Point:
        """What lies under a point of the room, in shares of the upright picture."""
        return self.framing(room).to_picture(*self.area(room).share(at))

    @property
    def is_turned(self) -> bool:
        """Whether it is turned or mirrored."""
        return bool(self.turn_deg) or self.is_mirrored

    @property
    def is_fitted(self) -> bool:
        """Whether the whole picture is shown as large as there is room."""
        return self.zoom == 1.0 and not self.is_one_to_one

    # Looking elsewhere

    def fitted(self) -> Viewpoint:
        """The whole picture."""
        return replace(self, zoom=1.0, is_one_to_one=False, centre=_MIDDLE)

    def one_to_one(self, room: Room, at: Point | None = None) -> Viewpoint:
        """A pixel of the picture on each of the screen; what is under a point stays there."""
        return self._kept_under(room, at, replace(self, is_one_to_one=True))

    def zoomed(self, room: Room, factor: float, at: Point | None = None) -> Viewpoint:
        """Nearer by a factor (below 1: farther); what is under a point of the room stays there.

        Without a point the middle of the room stays.
        """
        now = self.times_fitted(room)
        if factor <= 1.0 and now < 1.0:
            return self
        zoom = max(1.0, min(now * factor, max(MOST_ZOOM, now)))
        if zoom == 1.0:
            return self.fitted()
        return self._kept_under(room, at, replace(self, zoom=zoom, is_one_to_one=False))

    def moved(self, room: Room, right: float, down: float) -> Viewpoint:
        """The picture dragged by so many device pixels, as far as it goes."""
        across, along = self._turned_size(room)
        scale = self.scale(room)
        x, y = self._turned_centre()
        return self._looking_at(room, x - right / (across * scale), y - down / (along * scale))

    def turned(self, by_deg: int = 90) -> Viewpoint:
        """Turned clockwise as one sees it, about what is looked at."""
        clockwise = -by_deg if self.is_mirrored else by_deg
        return replace(self, turn_deg=(self.turn_deg + clockwise) % 360)

    def as_filmed(self) -> Viewpoint:
        """Neither turned nor mirrored; what is looked at, and how near, stays."""
        return replace(self, turn_deg=0, is_mirrored=False)

    def mirrored(self) -> Viewpoint:
        """Left and right changed, as one sees it."""
        return replace(self, is_mirrored=not self.is_mirrored)

    # How it is reckoned; in shares of the picture as turned and mirrored

    def _way_round(self) -> Framing:
        return Framing(turn_deg=self.turn_deg, is_mirrored=self.is_mirrored)

    def _turned_size(self, room: Room) -> Size:
        width, height = room.picture
        return (height, width) if self.turn_deg % 180 else (width, height)

    def _fitting(self, room: Room) -> float:
        width, height = self._turned_size(room)
        return max(min(room.size[0] / width, room.size[1] / height), 1e-6)

    def _out(self, room: Room) -> Size:
        """Device pixels that the shown part takes."""
        width, height = (
            min(side, max(limit, 1))
            for side, limit in zip(self._whole(room), room.size, strict=True)
        )
        return width, height

    def _whole(self, room: Room) -> Size:
        """Device pixels that the whole picture would take."""
        scale = self.scale(room)
        width, height = (max(round(side * scale), 1) for side in self._turned_size(room))
        return width, height

    def _shares(self, room: Room) -> Point:
        """Width and height of the part that is shown; a side that fits is shown whole."""
        across, along = (
            1.0 if out == whole else out / (side * self.scale(room))
            for out, whole, side in zip(
                self._out(room), self._whole(room), self._turned_size(room), strict=True
            )
        )
        return across, along

    def _region(self, room: Room) -> Region:
        across, along = self._shares(room)
        if (across, along) == (1.0, 1.0):
            return WHOLE
        x, y = self._turned_centre()
        corner = [
            max(0.0, min(middle - part / 2, 1.0 - part))
            for middle, part in ((x, across), (y, along))
        ]
        if self.is_one_to_one:  # on whole pixels, so that nothing is blurred
            sides = self._turned_size(room)
            corner = [round(c * side) / side for c, side in zip(corner, sides, strict=True)]
        return corner[0], corner[1], across, along

    def _turned_centre(self) -> Point:
        return self._way_round().to_view(*self.centre)

    def _looking_at(self, room: Room, x: float, y: float) -> Viewpoint:
        """Look at a place of the turned picture, moved so that no room is left empty."""
        held = [
            max(part / 2, min(value, 1.0 - part / 2))
            for value, part in zip((x, y), self._shares(room), strict=True)
        ]
        return replace(self, centre=self._way_round().to_picture(*held))

    def _kept_under(self, room: Room, at: Point | None, other: Viewpoint) -> Viewpoint:
        """`other`, looking where the picture under a point of the room is what it is now."""
        point = at or (room.size[0] / 2, room.size[1] / 2)
        x, y = self._way_round().to_view(*self.picture_at(room, point))
        x, y = max(0.0, min(x, 1.0)), max(0.0, min(y, 1.0))
        share_x, share_y = other.area(room).share(point)
        across, along = other._shares(room)
        return other._looking_at(room, x - (share_x - 0.5) * across, y - (share_y - 0.5) * along)
