"""Where things stand on the case strip."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from contrasts import contrast

from annotate.ids import RowId, SessionId
from annotate.markup import Markup
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.look.palette import DARK, PALETTES, Hatch
from app.strip.hatching import hatch_shapes
from app.strip.layout import StripFrame, ruler_step_us, strip_content, strip_shapes
from app.strip.shapes import Box, Line, Polygon, Shape, Words
from app.strip.svg import svg_text

S = 1_000_000
FRAME = StripFrame(1000, 60, margin=0)
SESSION = SessionId("s")


def tag(
    kind: TagKind, code: str, start: float, end: float | None, leaning: Leaning | None = None
) -> Tag:
    end_us = None if end is None else round(end * S)
    return Tag(RowId(f"{code}{start}"), SESSION, kind, code, round(start * S), end_us, leaning)


def laid_out(
    *tags: Tag, comments: tuple[Comment, ...] = (), frame: StripFrame = FRAME
) -> tuple[Shape, ...]:
    vocabulary = shipped_vocabulary("phaco-divide-conquer")
    content = strip_content(Markup(tags=tags, comments=comments), vocabulary, 100 * S)
    return strip_shapes(content, frame, DARK)


def boxes(shapes: tuple[Shape, ...]) -> list[Box]:
    return [s for s in shapes if isinstance(s, Box) and s.fill in DARK.hues]


def test_a_phase_stands_where_its_time_is() -> None:
    (box,) = boxes(laid_out(tag(TagKind.PHASE, "incision", 20, 50)))
    assert (box.x, box.width) == pytest.approx((200, 300))


def test_a_window_shows_its_stretch_of_the_case() -> None:
    frame = StripFrame(1000, 60, margin=0, start_us=40 * S, end_us=60 * S)
    (box,) = boxes(laid_out(tag(TagKind.PHASE, "incision", 50, 55), frame=frame))
    assert (box.x, box.width) == pytest.approx((500, 250))
    assert not boxes(laid_out(tag(TagKind.PHASE, "incision", 5, 30), frame=frame))


def test_idle_cuts_the_ribbon() -> None:
    shapes = laid_out(tag(TagKind.PHASE, "sculpt", 0, 100), tag(TagKind.IDLE, "wait", 40, 60))
    cut = [s for s in shapes if isinstance(s, Box) and s.fill == DARK.sunken]
    assert [c.x for c in cut] == pytest.approx([400])
    assert [c.width for c in cut] == pytest.approx([200])


def test_pins_point_up_to_commend_and_down_to_correct() -> None:
    top, bottom = FRAME.ribbon
    up = laid_out(tag(TagKind.EVENT, "good-move", 50, None, Leaning.COMMEND))
    down = laid_out(tag(TagKind.EVENT, "iris-touch", 50, None, Leaning.CORRECT))
    heads_up = [p for s in up if isinstance(s, Polygon) for p in s.points]
    heads_down = [p for s in down if isinstance(s, Polygon) for p in s.points]
    assert max(y for _, y in heads_up) < top
    assert min(y for _, y in heads_down) > bottom


@pytest.mark.parametrize("height", [44, 60, 92])
@pytest.mark.parametrize("leaning", list(Leaning))
def test_a_comment_is_seen_under_an_event_of_the_same_moment(
    height: float, leaning: Leaning
) -> None:
    frame = StripFrame(1000, height, margin=0)
    event = replace(tag(TagKind.EVENT, "iris-touch", 50, None, leaning), weight=3)
    said = Comment(RowId("c"), SESSION, "there", 50 * S, leaning=leaning)
    shapes = laid_out(event, comments=(said,), frame=frame)
    (tick,) = [s for s in shapes if isinstance(s, Line) and s.width == 2.0]
    heads = [y for s in shapes if isinstance(s, Polygon) for _, y in s.points]
    assert max(heads) < min(tick.y1, tick.y2)
    assert tick.y2 - tick.y1 >= 5
    assert max(tick.y1, tick.y2) <= height
    assert min(heads) >= 0


def test_a_name_lets_its_hatch_through_and_keeps_clear_of_it() -> None:
    frame = StripFrame(1000, 60, has_words=True, margin=0)
    alone = laid_out(tag(TagKind.PHASE, "sculpt", 0, 100))
    named = laid_out(tag(TagKind.PHASE, "sculpt", 0, 100), frame=frame)
    (words,) = [s for s in named if isinstance(s, Words)]
    assert [s for s in named if s is not words] == list(alone)
    assert words.halo == boxes(named)[0].fill
    for palette in PALETTES.values():
        assert min(contrast(palette.ink, hue) for hue in palette.hues) >= 4.5


def test_a_hand_over_lines_both_edges() -> None:
    lines = [
        s for s in laid_out(tag(TagKind.HAND_OVER, "attending", 10, 30))
        if isinstance(s, Line) and s.colour == DARK.text
    ]  # fmt: skip
    assert [x for line in lines for x in (line.x1, line.x2)] == pytest.approx([100, 300] * 2)


def test_a_name_stands_in_the_first_stretch_without_a_break_that_has_room() -> None:
    frame = StripFrame(1000, 120, has_words=True, margin=0)
    shapes = laid_out(
        tag(TagKind.PHASE, "sculpt", 0, 100), tag(TagKind.IDLE, "wait", 3, 20), frame=frame
    )
    (words,) = [s for s in shapes if isinstance(s, Words)]
    assert 200 < words.x < 220


def test_hatches_stay_in_their_box() -> None:
    box = Box(13, 7, 41, 23, "#ffffff")
    for hatch in Hatch:
        for shape in hatch_shapes(box, hatch, "#000000"):
            if isinstance(shape, Line):
                assert 13 - 0.01 <= min(shape.x1, shape.x2) <= max(shape.x1, shape.x2) <= 54.01
                assert 7 - 0.01 <= min(shape.y1, shape.y2) <= max(shape.y1, shape.y2) <= 30.01


def test_every_hatch_but_plain_draws_something() -> None:
    box = Box(0, 0, 60, 30, "#ffffff")
    drawn = {hatch: len(list(hatch_shapes(box, hatch, "#000"))) for hatch in Hatch}
    assert drawn.pop(Hatch.PLAIN) == 0
    assert all(drawn.values())


def test_the_ruler_never_crowds() -> None:
    for length_s in (3, 75, 600, 5400, 40_000):
        step = ruler_step_us(length_s * S, 10)
        assert length_s * S / step <= 11.2


def test_the_svg_is_well_formed_and_escaped() -> None:
    comment = Comment(RowId("c"), SESSION, "<b>", 5 * S)
    shapes = laid_out(tag(TagKind.PHASE, "incision", 0, 90), comments=(comment,),
                      frame=StripFrame(1000, 80, has_ruler=True, has_words=True))  # fmt: skip
    root = ET.fromstring(svg_text(shapes, 1000, 80, title='a "case" <1> & more'))
    assert root.findtext("{http://www.w3.org/2000/svg}title") == 'a "case" <1> & more'
    assert len(root) == len(shapes) + 1
