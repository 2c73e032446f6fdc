"""The lane of marks: spans, signs, dashes and words."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.ids import RowId, SessionId
from annotate.marks import Mark, MarkKind, MarkLook
from annotate.markup import Markup
from app.look.palette import DARK
from app.strip.layout import StripFrame
from app.strip.mark_shapes import mark_shapes
from app.strip.shapes import Box, Line, Shape, Words
from app.strip.word_width import width_of

S = 1_000_000


def mark(kind: MarkKind, start_s: float, end_s: float, **more: object) -> Mark:
    return Mark(
        RowId(f"{kind}{start_s}"), SessionId("s"), kind, round(start_s * S), round(end_s * S),
        ((0.5, 0.5), (0.6, 0.5)), **more,  # type: ignore[arg-type]
    )  # fmt: skip


def shapes(*marks: Mark, width: float = 1000.0) -> tuple[Shape, ...]:
    return mark_shapes(
        Markup(marks=marks), StripFrame(width, 16.0, start_us=0, end_us=100 * S), DARK
    )


def test_a_span_lies_where_its_times_are() -> None:
    (bar,) = [s for s in shapes(mark(MarkKind.RING, 20, 30)) if isinstance(s, Box)]
    assert (bar.x, bar.width) == pytest.approx((200, 100))


def test_kinds_have_signs_and_looks_have_dashes_of_their_own() -> None:
    signs = {
        tuple(s for s in shapes(mark(kind, 0, 9, text="....")) if not isinstance(s, Box))
        for kind in MarkKind
    }
    assert len(signs) == len(MarkKind)
    feet = {
        tuple(s for s in shapes(mark(MarkKind.RING, 0, 9, look=look)) if isinstance(s, Line))
        for look in MarkLook
    }
    assert len(feet) == len(MarkLook)


def test_words_stand_where_there_is_room_before_the_next_and_are_cut() -> None:
    long, near = mark(MarkKind.TEXT, 0, 5, text="the leading haptic"), mark(MarkKind.RING, 2, 5)
    assert [s.text for s in shapes(long) if isinstance(s, Words)] == ["the leading haptic"]
    assert "ring" in [s.text for s in shapes(long, near) if isinstance(s, Words)]
    (cut,) = [s for s in shapes(long, mark(MarkKind.RING, 8, 9), width=1000.0)
              if isinstance(s, Words) and s.x < 50]  # fmt: skip
    assert cut.text.endswith("…")


@given(
    starts=st.lists(st.integers(0, 95), min_size=1, max_size=12),
    lasts=st.integers(1, 40),
    kinds=st.lists(st.sampled_from(MarkKind), min_size=12, max_size=12),
    width=st.integers(60, 1500),
)
def test_no_words_reach_their_neighbour_and_a_kind_is_said_whole_or_not(
    starts: list[int], lasts: int, kinds: list[MarkKind], width: int
) -> None:
    marks = [
        mark(kind, at, at + lasts, text="WWMM the haptic" if kind is MarkKind.TEXT else "")
        for kind, at in zip(kinds, sorted(starts), strict=False)
    ]
    made = shapes(*marks, width=float(width))
    words = [s for s in made if isinstance(s, Words)]
    bars = sorted(s.x for s in made if isinstance(s, Box))
    for said in words:
        right = said.x + width_of(said.text, said.size)
        assert all(x <= said.x or x >= right for x in bars)
        assert said.text in {kind.value for kind in MarkKind} or said.text[:2] == "WW"
    for one, other in itertools.pairwise(words):
        assert one.x + width_of(one.text, one.size) <= other.x


def test_without_room_for_the_word_the_sign_stands_alone() -> None:
    ring = mark(MarkKind.RING, 0, 2), mark(MarkKind.RING, 2.5, 4)
    assert [s.text for s in shapes(*ring) if isinstance(s, Words)] == ["ring"]
    first = [s for s in shapes(*ring) if isinstance(s, Line) and s.x1 < 25 and s.width == 1.4]
    assert first


@pytest.mark.parametrize("height", [12.0, 16.0, 24.0])
@pytest.mark.parametrize("is_following", [True, False])
def test_no_foot_runs_through_a_sign(height: float, is_following: bool) -> None:
    ring = mark(MarkKind.RING, 0, 9, is_following=is_following)
    made = mark_shapes(
        Markup(marks=(ring,)), StripFrame(1000.0, height, start_us=0, end_us=100 * S), DARK
    )
    lines = [s for s in made if isinstance(s, Line)]
    foot = min(s.y1 for s in lines if s.colour == DARK.neutral)
    strokes = [s for s in lines if s.colour == DARK.text]
    assert strokes
    assert max(max(s.y1, s.y2) for s in strokes) + 0.7 <= foot
    assert min(min(s.y1, s.y2) for s in strokes) >= 0


def test_nothing_reaches_far_beyond_the_frame() -> None:
    frame = StripFrame(500.0, 16.0, start_us=40 * S, end_us=41 * S)
    made = mark_shapes(Markup(marks=(mark(MarkKind.LINE, 0, 100),)), frame, DARK)
    for shape in made:
        if isinstance(shape, Box):
            assert shape.x >= -5
            assert shape.x + shape.width <= 505
    assert len(made) < 12
