"""The lane of machine values: a row a value, with a step wherever it changes, and words.

Each kind of value has a scale of its own that stays, so a step is as high in every case; the words
over it say how high. Where the lane is low it shows the values that matter most and leaves the
others to hover and leaf. A value beyond a limit has a heavy line and a sign over it, in the hue of
caution: it may well be right.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from annotate.marks import Setting
from annotate.markup import Markup
from annotate.setting_values import BY_CODE, VALUES, ValueKind
from app.look.palette import Palette
from app.strip.caution_sign import HIGH_PX, WIDE_PX, caution_sign
from app.strip.layout import StripFrame
from app.strip.shapes import Box, Line, Shape, Words
from app.strip.word_width import width_of
from metrics.setting_limits import Breach

ROW_PX = 15.0
_LEAST_BAND_PX = 4.0
_SIZE = 10.0
_HALF_SIGN_PX = WIDE_PX / 2
_SHOWN = ("vacuum", "flow", "power", "torsional", "duty-cycle", "pressure", "bottle")
"""In order of what matters; the time of ultrasound is a sum and no level."""
_FULL = {"vacuum": 600.0, "flow": 60.0, "pressure": 100.0, "bottle": 150.0}
"""What fills a row; per cents do at 100, and more than this fills it too."""


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
        passed = [
            (each, x)
            for each in breaches
            if each.setting == kind.code and (x := _sign_x(each, frame)) is not None
        ]
        shapes += row.shapes(markup.settings, frame, palette, [x for _, x in passed])
        shapes += row.cautions(passed, frame, palette)
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
        self._bottom = top + height - 1.0
        self._top = self._bottom - max(_LEAST_BAND_PX, height - _SIZE - 5.0)
        self._baseline = self._top - 1.5
        self._colour = colour

    def shapes(
        self,
        settings: Sequence[Setting],
        frame: StripFrame,
        palette: Palette,
        signs: Sequence[float],
    ) -> Iterator[Shape]:
        before: float | None = None
        last_x = -1.0
        for setting in settings:
            value = self._kind.of(setting)
            if value is None:
                before = None
                continue
            left, right = _across(setting.start_us, setting.end_us, frame)
            y = self._y(value)
            yield Box(left, y, max(right - left, 0.5), self._bottom - y, self._colour, 0.32)
            yield Line(left, y, right, y, self._colour, 1.4)
            if before is not None and abs(left - last_x) < 1.0:
                yield Line(left, self._y(before), left, y, self._colour, 1.4)
            begin = max(left, 0.0) + 2.0
            until = min(right, frame.width, *(x - _HALF_SIGN_PX for x in signs if x > begin))
            words = self._words(value, until - begin - 2.0)
            if words:
                yield Words(begin, self._baseline, words, _SIZE, palette.text)
            before, last_x = value, right

    def cautions(
        self, passed: Sequence[tuple[Breach, float]], frame: StripFrame, palette: Palette
    ) -> Iterator[Shape]:
        for breach, x in passed:
            left, right = _across(breach.start_us, breach.end_us, frame)
            y = self._y(breach.value)
            yield Line(left, y, max(right, left + 2.0), y, palette.caution, 2.6)
            top = max(self._baseline + 1.0 - HIGH_PX, 0.0)
            yield from caution_sign(x, top, palette.caution, palette.sunken)

    def _y(self, value: float) -> float:
        share = min(value / _FULL.get(self._kind.code, 100.0), 1.0)
        return self._bottom - share * (self._bottom - self._top)

    def _words(self, value: float, room: float) -> str:
        """As much as there is room for: name, value and unit; value and unit; nothing."""
        kind = self._kind
        said = kind.words(value)
        steps = [f"{kind.label} {said}"] if kind.unit == "%" else [f"{kind.label} {said}", said]
        return next((words for words in steps if width_of(words, _SIZE) <= room), "")


def _modes(settings: Sequence[Setting], frame: StripFrame, palette: Palette) -> Iterator[Shape]:
    """Spans of which only the mode is noted: a bar with its name."""
    for setting in settings:
        left, right = _across(setting.start_us, setting.end_us, frame)
        yield Line(left, frame.height - 2.0, right, frame.height - 2.0, palette.quiet, 1.4)
        if width_of(setting.mode, _SIZE) + 6.0 <= right - left:
            yield Words(left + 3.0, frame.height - 5.0, setting.mode, _SIZE, palette.text)


def _across(start_us: int, end_us: int, frame: StripFrame) -> tuple[float, float]:
    """Left and right edge in the frame, cut off a little outside of what is seen."""
    scale = (frame.width - 2 * frame.margin) / max((frame.end_us or end_us) - frame.start_us, 1)
    left = frame.margin + (start_us - frame.start_us) * scale
    right = frame.margin + (end_us - frame.start_us) * scale
    return max(left, -4.0), min(right, frame.width + 4.0)


def _sign_x(breach: Breach, frame: StripFrame) -> float | None:
    """Where the sign of a breach stands: at its end; None where it is out of sight."""
    left, right = _across(breach.start_us, breach.end_us, frame)
    if right < 0 or left > frame.width:
        return None
    x = max(right - _HALF_SIGN_PX - 1, left + _HALF_SIGN_PX)
    return min(x, frame.width - _HALF_SIGN_PX)


def _hue(kind: ValueKind, palette: Palette) -> int:
    return VALUES.index(kind) % len(palette.hues)
