"""What is painted again and again on the timeline, painted once: hatched stretches and pins."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPixmap

from annotate.tags import WEIGHTS, Leaning
from app.look.palette import Palette, PhaseStyle
from app.strip.hatching import hatch_shapes
from app.strip.layout import StripFrame, pin_shapes
from app.strip.paint_qt import colour, paint_shapes
from app.strip.several_pins import several_shapes
from app.strip.shapes import Box

_PIN_PX = 20
"""Width of a pin's stamp; its point is in the middle."""


class Stamps:
    """Pictures for one frame of the strip, one palette and one density of pixels.

    Attributes
    ----------
    ribbon : (int, int)
        Its top and height in whole pixels.

    Notes
    -----
    Hatches lie still on the screen, so one hatched stretch as wide as the timeline serves all
    spans of a phase: each shows the piece of it that lies where the span lies.
    """

    def __init__(
        self, frame: StripFrame, palette: Palette, styles: Sequence[PhaseStyle], density: float
    ) -> None:
        self.key = stamp_key(frame, palette, density)
        self._frame, self._palette, self._styles = frame, palette, styles
        self._density = density
        self._stretches: dict[int, QPixmap] = {}
        self._pins: dict[tuple[Leaning, int, bool], QPixmap] = {}
        top, bottom = (round(edge) for edge in frame.ribbon)
        self.ribbon = top, max(bottom - top, 1)

    def fill(self, style: int) -> str:
        """Colour of a phase by the place of its style; -1 where it has none."""
        return self._palette.neutral if style < 0 else self._palette.hues[self._styles[style].hue]

    def stretch(self, style: int) -> QPixmap:
        """The ribbon of one phase across the whole width."""
        made = self._stretches.get(style)
        if made is None:
            top, height = self.ribbon
            width = int(self._frame.width) + 1
            made = self._blank(width, height)
            painter = QPainter(made)
            painter.fillRect(0, 0, width, height, colour(self.fill(style)))
            if style >= 0:
                box = Box(0, top, width, height, "")
                hatch = self._styles[style].hatch
                paint_shapes(painter, hatch_shapes(box, hatch, self._palette.ink), 0, -top)
            painter.end()
            self._stretches[style] = made
        return made

    def pin(self, leaning: Leaning, weight: int, *, is_several: bool) -> QPixmap:
        """A pin; of several that fall together, with two stems or a hole."""
        key = (leaning, weight, is_several)
        made = self._pins.get(key)
        if made is None:
            top, height = self.pin_place(leaning)
            made = self._blank(_PIN_PX, height)
            painter = QPainter(made)
            half = _PIN_PX / 2
            shaped = several_shapes if is_several else pin_shapes
            shapes = shaped(leaning, weight, self._frame, self._palette, half)
            paint_shapes(painter, shapes, 0, -top)
            painter.end()
            self._pins[key] = made
        return made

    def pin_place(self, leaning: Leaning) -> tuple[int, int]:
        """Top and height of the part of the strip in which pins of a leaning stand."""
        top, height = self.ribbon
        if leaning is Leaning.COMMEND:
            return 0, top + 6
        if leaning is Leaning.CORRECT:
            first = top + height - 6
            return first, max(int(self._frame.usable_height) - first, 8)
        return top + height // 2 - 9, 18

    def _blank(self, width: int, height: int) -> QPixmap:
        made = QPixmap(round(width * self._density), round(height * self._density))
        made.setDevicePixelRatio(self._density)
        made.fill(Qt.GlobalColor.transparent)
        return made

    def put_stretch(self, painter: QPainter, style: int, left: float, right: float) -> None:
        """Paint a span of a phase."""
        top, height = self.ribbon
        left, right = max(left, 0.0), min(right, self._frame.width)
        if right <= left:
            return
        spot = QRectF(left, top, right - left, height)
        part = QRectF(
            left * self._density, 0, (right - left) * self._density, height * self._density
        )
        painter.drawPixmap(spot, self.stretch(style), part)

    def put_pins(
        self, painter: QPainter, leaning: Leaning, pins: Iterable[tuple[float, int, int]]
    ) -> None:
        """Paint pins of one leaning: where the point is, how many it stands for, its weight."""
        top, _ = self.pin_place(leaning)
        half, draw = _PIN_PX // 2, painter.drawPixmap
        stamps = {
            (weight, is_several): self.pin(leaning, weight, is_several=is_several)
            for weight in WEIGHTS
            for is_several in (False, True)
        }
        for x, count, weight in pins:
            draw(round(x) - half, top, stamps[weight, count > 1])


def stamp_key(frame: StripFrame, palette: Palette, density: float) -> tuple[object, ...]:
    """What stamps depend on: while it stays they serve."""
    return frame.width, frame.height, frame.ribbon, palette, density
