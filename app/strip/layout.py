"""Where everything of a case strip stands.

The case is a ribbon: a length of it in hue and hatch is a phase, a gap is idle, a lined edge
is a hand-over. Events are pins on it, up to commend and down to correct; remarks are ticks
under it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from annotate.clock import US_PER_S, short_time
from annotate.markup import Markup
from annotate.tags import Leaning, Tag, TagKind
from annotate.vocabulary import Vocabulary
from app.look.palette import Palette, PhaseStyle, phase_styles
from app.strip.gap_shapes import unrecorded
from app.strip.hatching import hatch_shapes
from app.strip.name_shapes import name_shapes
from app.strip.shapes import Anchor, Box, Line, Polygon, Shape, Words

SLIM_PX = 10.0
"""Thickness of a ribbon that is folded: hue, pauses and edges are still seen on it."""
_TICK_PX, _TICK_SHARE = 5.0, 0.12
_RULER_STEPS_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)


@dataclass(frozen=True, slots=True)
class StripContent:
    """What a strip shows, apart from how large it is drawn."""

    markup: Markup
    length_us: int
    styles: Mapping[str, PhaseStyle]
    labels: Mapping[str, str]
    gaps: Sequence[tuple[int, int]] = ()


def strip_content(
    markup: Markup,
    vocabulary: Vocabulary,
    length_us: int,
    gaps: Sequence[tuple[int, int]] = (),
) -> StripContent:
    """Collect what the strip of a session shows.

    Parameters
    ----------
    length_us : int
        Length of the case, microseconds; a case of unknown length ends with its last tag.
    gaps : sequence of (int, int)
        Stretches between the parts of the recording in which nothing was recorded.
    """
    ends = [tag.end_us or tag.start_us for tag in markup.tags]
    return StripContent(
        markup=markup,
        length_us=max([length_us, *ends, 1]),
        styles=phase_styles(vocabulary.phase_codes),
        labels={**dict(vocabulary.old_labels), **{t.code: t.label for t in vocabulary.terms}},
        gaps=tuple(gaps),
    )


@dataclass(frozen=True, slots=True)
class StripFrame:
    """The rectangle a strip is drawn into, and its parts.

    Attributes
    ----------
    has_ruler, has_words : bool
        Times under the ribbon; phase names in it where they fit.
    has_remarks : bool
        Ticks of the comments under the ribbon.
    has_pins : bool
        Room for pins above and below the ribbon; without it the ribbon is thicker.
    is_slim : bool
        The ribbon is but a strip in the middle of its room.
    start_us, end_us : int
        The stretch of the case that fills the width; the whole case where `end_us` is None.
    """

    width: float
    height: float
    has_ruler: bool = False
    has_words: bool = False
    has_remarks: bool = True
    has_pins: bool = True
    is_slim: bool = False
    margin: float = 2.0
    start_us: int = 0
    end_us: int | None = None

    @property
    def ribbon(self) -> tuple[float, float]:
        """Top and bottom of the ribbon."""
        usable = self.usable_height
        if self.is_slim:
            return ((usable - SLIM_PX) / 2, (usable + SLIM_PX) / 2)
        if not self.has_pins:
            return (usable * 0.1, usable * 0.9)
        return (usable * 0.26, usable * 0.64) if self.has_remarks else (usable * 0.3, usable * 0.74)

    @property
    def foot(self) -> float:
        """How low pins reach: the ticks of comments stand below, neither hides the other."""
        return self.usable_height - (self.tick_px + 1.0 if self.has_remarks else 0.0)

    @property
    def tick_px(self) -> float:
        """Length of a comment's tick."""
        return max(_TICK_PX, self.usable_height * _TICK_SHARE)

    @property
    def usable_height(self) -> float:
        """Height above the ruler."""
        return self.height - (14.0 if self.has_ruler else 0.0)


def strip_shapes(content: StripContent, frame: StripFrame, palette: Palette) -> tuple[Shape, ...]:
    """Lay a case out as shapes, back to front, with the origin at the upper left."""
    until_us = content.length_us if frame.end_us is None else frame.end_us
    scale = (frame.width - 2 * frame.margin) / max(until_us - frame.start_us, 1)

    def at(time_us: int) -> float:
        return frame.margin + (min(time_us, content.length_us) - frame.start_us) * scale

    def is_seen(start_us: int, end_us: int | None = None) -> bool:
        return (end_us or start_us) >= frame.start_us and start_us <= until_us

    seen = [tag for tag in content.markup.tags if is_seen(tag.start_us, tag.end_us)]
    spans = [tag for tag in seen if tag.end_us is not None]
    shapes: list[Shape] = list(
        thread_shapes(content, frame, palette, max(at(0), -4.0), at(content.length_us))
    )
    for kind in (TagKind.PHASE, TagKind.IDLE, TagKind.HAND_OVER):
        for tag in spans:
            if tag.kind is kind:
                left = max(at(tag.start_us), -4.0)
                right = min(at(tag.end_us or tag.start_us), frame.width + 4.0)
                shapes.extend(_span(tag, content, frame, palette, left, right))
    shapes.extend(_gaps(content, frame, palette, at))
    if frame.has_words:
        shapes.extend(name_shapes(spans, content, frame, palette, at))
    shapes.extend(
        _remark(frame, palette, at(comment.start_us), comment.leaning)
        for comment in content.markup.comments
        if frame.has_remarks and is_seen(comment.start_us)
    )
    for tag in seen:
        if tag.kind is TagKind.EVENT:
            shapes.extend(pin_shapes(tag.leaning, tag.weight, frame, palette, at(tag.start_us)))
    if frame.has_ruler:
        shapes.extend(_ruler(content.length_us, frame, palette, scale))
    return tuple(shapes)


def _gaps(
    content: StripContent, frame: StripFrame, palette: Palette, at: Callable[[int], float]
) -> Iterator[Shape]:
    for start_us, end_us in content.gaps:
        left, right = max(at(start_us), -4.0), min(at(end_us), frame.width + 4.0)
        if left < right:
            yield from unrecorded(*frame.ribbon, palette, left, right)


def _span(
    tag: Tag,
    content: StripContent,
    frame: StripFrame,
    palette: Palette,
    left: float,
    right: float,
) -> Iterator[Shape]:
    if tag.kind is TagKind.PHASE:
        return _phase(tag, content, frame, palette, left, right)
    if tag.kind is TagKind.IDLE:
        return _break(frame, palette, left, right)
    return _lined_edge(frame, palette, left, right)


def leaning_colour(palette: Palette, leaning: Leaning | None) -> str:
    """Colour that goes with a leaning."""
    if leaning is Leaning.COMMEND:
        return palette.commend
    return palette.correct if leaning is Leaning.CORRECT else palette.neutral


def ruler_step_us(span_us: float, most: int) -> int:
    """Choose the round step that puts at most `most` ticks on a span."""
    for step in _RULER_STEPS_S:
        if span_us / (step * US_PER_S) <= most:
            return step * US_PER_S
    return _RULER_STEPS_S[-1] * US_PER_S


def thread_shapes(
    content: StripContent, frame: StripFrame, palette: Palette, left: float, right: float
) -> Iterator[Shape]:
    """The thin line that goes on where nothing is tagged."""
    top, bottom = frame.ribbon
    middle = (top + bottom) / 2
    yield Line(left, middle, right, middle, palette.idle, 1.0, 0.9, is_dotted=True)
    if not content.markup.tags:
        yield Line(left, middle - 4, left, middle + 4, palette.idle, 1.0)
        yield Line(right, middle - 4, right, middle + 4, palette.idle, 1.0)


def _phase(
    tag: Tag,
    content: StripContent,
    frame: StripFrame,
    palette: Palette,
    left: float,
    right: float,
) -> Iterator[Shape]:
    top, bottom = frame.ribbon
    style = content.styles.get(tag.code)
    fill = palette.hues[style.hue] if style else palette.neutral
    box = Box(left, top, max(right - left, 1.0), bottom - top, fill)
    yield box
    if style and box.width > 3:
        yield from hatch_shapes(box, style.hatch, palette.ink)


def _break(frame: StripFrame, palette: Palette, left: float, right: float) -> Iterator[Shape]:
    """Idle within a phase: the ribbon is cut open down to its thread."""
    top, bottom = frame.ribbon
    middle = (top + bottom) / 2
    width = max(right - left, 1.0)
    yield Box(left, top, width, bottom - top, palette.sunken)
    yield Line(left, middle, left + width, middle, palette.idle, 2.0)


def _lined_edge(frame: StripFrame, palette: Palette, left: float, right: float) -> Iterator[Shape]:
    """Somebody else operates: both edges of the ribbon are lined."""
    top, bottom = frame.ribbon
    for y in (top - 1.5, bottom + 1.5):
        yield Line(left, y, max(right, left + 1), y, palette.text, 2.0)


def _remark(frame: StripFrame, palette: Palette, x: float, leaning: Leaning | None) -> Shape:
    bottom = frame.usable_height
    return Line(x, bottom - frame.tick_px, x, bottom, leaning_colour(palette, leaning), 2.0)


def pin_shapes(
    leaning: Leaning | None, weight: int | None, frame: StripFrame, palette: Palette, x: float
) -> Iterator[Shape]:
    """Up to commend, down to correct, a lozenge on the ribbon where neither."""
    top, bottom = frame.ribbon
    colour = leaning_colour(palette, leaning)
    head = 3.0 + (weight or 1)
    if leaning is Leaning.COMMEND:
        tip, base = top + 3, max(top - 6, head + 1)
        yield Line(x, tip, x, base, colour, 1.5)
        yield Polygon(((x, base - head), (x - head, base + 1), (x + head, base + 1)), colour)
    elif leaning is Leaning.CORRECT:
        tip, base = bottom - 3, min(bottom + 5, frame.foot - head - 1)
        yield Line(x, tip, x, base, colour, 1.5)
        yield Polygon(((x, base + head), (x - head, base - 1), (x + head, base - 1)), colour)
    else:
        middle = (top + bottom) / 2
        yield Polygon(
            ((x, middle - head), (x + head, middle), (x, middle + head), (x - head, middle)), colour
        )


def _ruler(length_us: int, frame: StripFrame, palette: Palette, scale: float) -> Iterator[Shape]:
    step = ruler_step_us(length_us, max(int(frame.width / 70), 1))
    base = frame.height - 2
    for time_us in range(0, length_us + 1, step):
        x = frame.margin + time_us * scale
        yield Line(x, frame.usable_height, x, frame.usable_height + 3, palette.quiet, 1.0)
        is_first, is_last = time_us == 0, x > frame.width - 18
        anchor = Anchor.START if is_first else Anchor.END if is_last else Anchor.MIDDLE
        yield Words(x, base, short_time(time_us), 9.5, palette.quiet, anchor)
