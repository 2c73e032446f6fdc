"""The lane of machine values as shapes."""

from __future__ import annotations

import itertools

import pytest
from setting_rows import S, setting
from tag_rows import tag

from annotate.markup import Markup
from annotate.vocabulary_file import shipped_vocabulary
from app.look.palette import DARK
from app.review.machine_lane import MachineLane
from app.strip.caution_sign import HIGH_PX, WIDE_PX
from app.strip.layout import StripFrame
from app.strip.setting_shapes import setting_shapes, shown_kinds
from app.strip.shapes import Box, Line, Polygon, Shape, Words
from app.strip.word_width import width_of

FRAME = StripFrame(1000.0, 30.0, margin=0.0, start_us=0, end_us=100 * S)
MARKUP = Markup(
    tags=(tag("phase", "sculpt", 0, 30),),
    settings=(
        setting(10, 40, mode="sculpt", vacuum_mmhg=200, flow_cc_min=25),
        setting(40, 60, vacuum_mmhg=400, flow_cc_min=40, power_percent=30),
    ),
)


def signs(shapes: tuple[Shape, ...]) -> list[Box]:
    return [s for s in shapes if isinstance(s, Box) and s.fill == DARK.caution]


def test_each_step_stands_where_its_span_is_and_as_high_as_its_value() -> None:
    boxes = [s for s in setting_shapes(MARKUP, FRAME, DARK) if isinstance(s, Box)]
    assert [(round(b.x), round(b.width)) for b in boxes] == [(100, 300), (400, 200)] * 2
    assert round(boxes[1].height / boxes[0].height, 6) == 2
    assert all(box.y >= 0 and box.y + box.height <= 30 for box in boxes)


def test_words_say_value_and_unit_and_stand_over_the_steps() -> None:
    shapes = setting_shapes(MARKUP, FRAME, DARK)
    words = [s for s in shapes if isinstance(s, Words)]
    assert [w.text for w in words] == [
        "Vacuum 200 mmHg", "Vacuum 400 mmHg", "Flow 25 cc/min", "Flow 40 cc/min",
    ]  # fmt: skip
    top = min(s.y for s in shapes if isinstance(s, Box))
    assert words[0].y < top


@pytest.mark.parametrize("width", [120, 180, 240, 320, 430, 560, 700, 1000])
@pytest.mark.parametrize("height", [14.0, 30.0, 75.0])
def test_no_number_stands_without_its_unit_and_none_over_a_neighbour_or_a_sign(
    width: int, height: float
) -> None:
    """Words shorten in steps down to nothing; what is left reads by itself at every width."""
    lane = MachineLane(shipped_vocabulary("phaco-divide-conquer"))
    frame = StripFrame(float(width), height, margin=0.0, start_us=0, end_us=100 * S)
    shapes = lane(MARKUP, frame, DARK)
    words = [s for s in shapes if isinstance(s, Words)]
    for said in words:
        assert not said.text.replace(".", "").replace(" ", "").isdigit()
        assert said.text.endswith(("mmHg", "cc/min", "%"))
        assert said.text.startswith("Power") or not said.text.endswith("%")
    for one, other in itertools.pairwise(sorted(words, key=lambda s: (s.y, s.x))):
        assert one.y != other.y or one.x + width_of(one.text, one.size) < other.x
    for sign in signs(shapes):
        left, right = sign.x, sign.x + sign.width
        base = sign.y + sign.height
        for said in (s for s in words if abs(s.y - base) < 8):
            assert said.x + width_of(said.text, said.size) <= left or said.x >= right


def test_words_shorten_by_their_name_before_they_go() -> None:
    def said(width: float) -> list[str]:
        frame = StripFrame(width, 15.0, margin=0.0, start_us=0, end_us=100 * S)
        return [s.text for s in setting_shapes(MARKUP, frame, DARK) if isinstance(s, Words)]

    assert said(1000.0) == ["Vacuum 200 mmHg", "Vacuum 400 mmHg"]
    assert said(400.0) == ["Vacuum 200 mmHg", "400 mmHg"]
    assert said(250.0) == ["200 mmHg"]
    assert said(150.0) == []


def test_a_low_lane_shows_what_matters_most_and_a_narrow_span_no_words() -> None:
    assert [kind.code for kind in shown_kinds(MARKUP.settings, 18.0)] == ["vacuum"]
    assert [kind.code for kind in shown_kinds(MARKUP.settings, 100.0)] == [
        "vacuum",
        "flow",
        "power",
    ]
    wide = StripFrame(1000.0, 30.0, margin=0.0, start_us=0, end_us=10_000 * S)
    assert not [s for s in setting_shapes(MARKUP, wide, DARK) if isinstance(s, Words)]


def test_a_mode_alone_has_its_name() -> None:
    shapes = setting_shapes(Markup(settings=(setting(10, 40, mode="sculpt"),)), FRAME, DARK)
    assert [s.text for s in shapes if isinstance(s, Words)] == ["sculpt"]
    assert setting_shapes(Markup(), FRAME, DARK) == ()


def test_a_limit_passed_has_a_line_and_a_sign_until_it_is_put_aside() -> None:
    lane = MachineLane(shipped_vocabulary("phaco-divide-conquer"))
    shapes = lane(MARKUP, FRAME, DARK)
    heavy = [s for s in shapes if isinstance(s, Line) and s.colour == DARK.caution]
    assert [(round(s.x1), round(s.x2)) for s in heavy] == [(100, 300)]
    (sign,) = signs(shapes)
    assert (sign.width, sign.height) == (WIDE_PX, HIGH_PX)
    assert not [s for s in shapes if isinstance(s, Polygon)]  # a wedge is a pin's head
    lane.is_aside = lambda _breach: True
    assert not signs(lane(MARKUP, FRAME, DARK))
