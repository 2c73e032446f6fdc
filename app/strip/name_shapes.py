"""The names of phases, written into the ribbon where there is room."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from annotate.tags import Tag, TagKind
from app.look.palette import Palette
from app.strip.shapes import Shape, Words

if TYPE_CHECKING:
    from app.strip.layout import StripContent, StripFrame


def name_shapes(
    tags: Sequence[Tag],
    content: StripContent,
    frame: StripFrame,
    palette: Palette,
    at: Callable[[int], float],
) -> Iterator[Shape]:
    """Names of the phases among some spans, each cut by the idle reasons among them."""
    breaks = [*content.gaps, *((t.start_us, t.end_us or 0) for t in tags if t.kind is TagKind.IDLE)]
    for tag in tags:
        if tag.kind is TagKind.PHASE:
            yield from name_shape(tag, breaks, content, frame, palette, at)


def name_shape(
    tag: Tag,
    breaks: Sequence[tuple[int, int]],
    content: StripContent,
    frame: StripFrame,
    palette: Palette,
    at: Callable[[int], float],
) -> Iterator[Shape]:
    """Name of a phase, in its first stretch without a break that is wide enough.

    The hatch runs on behind it, for a phase must not look like two; a halo keeps it readable.
    """
    top, bottom = frame.ribbon
    size = min(12.0, (bottom - top) * 0.55)
    middle = (top + bottom) / 2
    if tag.end_us is None or size < 7:
        return
    label = content.labels.get(tag.code, tag.code)
    style = content.styles.get(tag.code)
    fill = palette.hues[style.hue] if style else palette.neutral
    needed = len(label) * size * 0.58 + 8
    for start_us, end_us in _unbroken(tag.start_us, tag.end_us, breaks):
        left = max(at(start_us), 0.0)
        if min(at(end_us), frame.width) - left >= needed:
            baseline = middle + size * 0.36
            yield Words(left + 6, baseline, label, size, palette.ink, halo=fill)
            return


def _unbroken(
    start_us: int, end_us: int, breaks: Sequence[tuple[int, int]]
) -> Iterator[tuple[int, int]]:
    """What is left of a span between breaks, in order."""
    at_us = start_us
    for low, high in sorted(breaks):
        if high <= at_us or low >= end_us:
            continue
        if low > at_us:
            yield at_us, low
        at_us = high
    if at_us < end_us:
        yield at_us, end_us
