"""The lane of marks: for how long each is seen on the picture, and what it is."""

from __future__ import annotations

from annotate.markup import Markup
from app.look.palette import Palette
from app.strip.layout import StripFrame
from app.strip.shapes import Box, Line, Shape, Words

_WORDS_PX = 9.5


def mark_shapes(markup: Markup, frame: StripFrame, palette: Palette) -> tuple[Shape, ...]:
    """A bar for each mark over its span, with its name where there is room before the next."""
    until_us = frame.end_us if frame.end_us is not None else 1
    scale = frame.width / max(until_us - frame.start_us, 1)
    top, bottom = 2.0, frame.height - 3.0
    shapes: list[Shape] = []
    marks = markup.marks
    for place, mark in enumerate(marks):
        left = max((mark.start_us - frame.start_us) * scale, -4.0)
        right = min((mark.end_us - frame.start_us) * scale, frame.width + 4.0)
        width = max(right - left, 2.0)
        shapes.append(Box(left, top, width, bottom - top, palette.raised))
        shapes.append(Line(left, bottom, left + width, bottom, palette.neutral, 1.5))
        shapes.append(Line(left, top, left, bottom, palette.neutral, 1.5))
        after = marks[place + 1].start_us if place + 1 < len(marks) else until_us
        room = max((after - frame.start_us) * scale, right) - left - 8
        name = mark.text or mark.kind.value
        fits = int(room / (_WORDS_PX * 0.55))
        if fits >= 4:
            words = name if len(name) <= fits else f"{name[: fits - 1]}…"
            shapes.append(Words(max(left, 0.0) + 4, bottom - 2, words, _WORDS_PX, palette.text))
    return tuple(shapes)
