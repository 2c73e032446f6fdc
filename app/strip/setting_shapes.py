"""The lane of machine values: a row a value, with a step wherever it changes, and words.

A row's steps are drawn to the highest value of that kind in the session, so a row tells when a
value rose and fell, and the words how high it was. Where the lane is low it shows the values that
matter most and leaves the others to hover and leaf. A value beyond a limit has a heavy line and a
wedge over it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from annotate.marks import Setting
from annotate.markup import Markup
from annotate.setting_values import BY_CODE, VALUES, ValueKind
from app.look.palette import Palette
from app.strip.layout import StripFrame
from app.strip.shapes import Box, Line, Polygon, Shape, Words
from metrics.setting_limits import Breach

ROW_PX = 13.0
_SIZE = 10.0
_EM = 0.56
"""Mean width of a character, in parts of its height."""
_SHOWN = ("vacuum", "flow", "power", "torsional", "duty-cycle", "pressure", "bottle")
"""In order of what matters; the time of ultrasound is a sum and no level."""


def setting_shapes(
    markup: Markup, frame: StripFrame, palette: Palette, breaches: Sequence[Breach] = ()
) -> tuple[Shape, ...]:
    """Lay machine values out as shapes, back to front.

    Parameters
    ----------
    breaches : sequence of Breach
        Stretches to be marked as beyond a limit of their phase.
    """
    if frame.end_us is None:
        frame = replace(frame, end_us=max((each.end_us for each in markup.settings), default=1))
    kinds = shown_kinds(markup.settings, frame.height)
    if not kinds:
        return tuple(_modes(markup.settings, frame, palette))
    row_px = frame.height / len(kinds)
    shapes: list[Shape] = []
    for place, kind in enumerate(kinds):
        row = _Row(kind, place * row_px, row_px, palette.hues[_hue(kind, palette)])
        shapes += row.shapes(markup.settings, frame, palette)
        shapes += row.warnings(breaches, markup.settings, frame, palette)
    return tuple(shapes)


def shown_kinds(settings: Sequence[Setting], height: float) -> tuple[ValueKind, ...]:
    """The values that have a row in a lane of that height."""
    noted = [
        BY_CODE[code]
        for code in _SHOWN
        if any(BY_CODE[code].of(setting) is not None for setting in settings)
    ]
    return tuple(noted[: max(int(height // ROW_PX), 1)])


class _Row:
    """One value's row."""

    def __init__(self, kind: ValueKind, top: float, height: float, colour: str) -> None:
        self._kind = kind
        self._top, self._bottom = top + 1.0, top + height - 1.0
        self._colour = colour

    def shapes(
        self, settings: Sequence[Setting], frame: StripFrame, palette: Palette
    ) -> Iterator[Shape]:
        highest = self._highest(settings)
        before: float | None = None
        last_x = -1.0
        for setting in settings:
            value = self._kind.of(setting)
            if value is None:
                before = None
                continue
            left, right = _across(setting.start_us, setting.end_us, frame)
            y = self._y(value, highest)
            yield Box(left, y, max(right - left, 0.5), self._bottom - y, self._colour, 0.32)
            yield Line(left, y, right, y, self._colour, 1.4)
            if before is not None and abs(left - last_x) < 1.0:
                yield Line(left, self._y(before, highest), left, y, self._colour, 1.4)
            words = self._words(value, right - left)
            if words:
                yield Words(left + 3.0, self._bottom - 1.5, words, _SIZE, palette.text)
            before, last_x = value, right

    def warnings(
        self,
        breaches: Sequence[Breach],
        settings: Sequence[Setting],
        frame: StripFrame,
        palette: Palette,
    ) -> Iterator[Shape]:
        highest = self._highest(settings)
        for breach in breaches:
            if breach.setting != self._kind.code:
                continue
            left, right = _across(breach.start_us, breach.end_us, frame)
            if right < 0 or left > frame.width:
                continue
            y = self._y(breach.value, highest)
            yield Line(left, y, max(right, left + 2.0), y, palette.warning, 2.6)
            yield Polygon(_wedge(right, y, self._bottom, breach.is_above), palette.warning)

    def _highest(self, settings: Sequence[Setting]) -> float:
        return max((self._kind.of(setting) or 0.0 for setting in settings), default=0.0)

    def _y(self, value: float, highest: float) -> float:
        share = value / highest if highest > 0 else 0.0
        return self._bottom - share * (self._bottom - self._top)

    def _words(self, value: float, room: float) -> str:
        """As much as there is room for: name, value and unit, name and value, the value."""
        kind = self._kind
        for words in (f"{kind.label} {kind.words(value)}", f"{kind.label} {value:g}", f"{value:g}"):
            if len(words) * _SIZE * _EM + 6.0 <= room:
                return words
        return ""


def _modes(settings: Sequence[Setting], frame: StripFrame, palette: Palette) -> Iterator[Shape]:
    """Spans of which only the mode is noted: a bar with its name."""
    for setting in settings:
        left, right = _across(setting.start_us, setting.end_us, frame)
        yield Line(left, frame.height - 2.0, right, frame.height - 2.0, palette.quiet, 1.4)
        if len(setting.mode) * _SIZE * _EM + 6.0 <= right - left:
            yield Words(left + 3.0, frame.height - 5.0, setting.mode, _SIZE, palette.text)


def _across(start_us: int, end_us: int, frame: StripFrame) -> tuple[float, float]:
    """Left and right edge in the frame, cut off a little outside of what is seen."""
    scale = (frame.width - 2 * frame.margin) / max((frame.end_us or end_us) - frame.start_us, 1)
    left = frame.margin + (start_us - frame.start_us) * scale
    right = frame.margin + (end_us - frame.start_us) * scale
    return max(left, -4.0), min(right, frame.width + 4.0)


def _wedge(x: float, y: float, bottom: float, is_above: bool) -> tuple[tuple[float, float], ...]:
    """A small wedge at the end of a stretch: pointing up where the value is too high."""
    size = min(6.0, max(bottom - y, 4.0))
    tip = -size if is_above else size
    return ((x - 8.0, y), (x - 2.0, y), (x - 5.0, y + tip * 0.9))


def _hue(kind: ValueKind, palette: Palette) -> int:
    return VALUES.index(kind) % len(palette.hues)
