"""Marks of a session, drawn and changed without a window; undo restores what each deed changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from desk_scenes import S, opened, presenter_on
from hypothesis import given
from hypothesis import strategies as st

from annotate.ids import RowId, new_id
from annotate.mark_motion import MarkPath
from annotate.marks import Mark, MarkKind, MarkLook
from annotate.tags import Comment
from app.review.mark_points import (
    DEFAULT_POINTS,
    MOST_POINTS,
    held_points,
    scaled,
    straightened,
    thinned,
)
from app.review.marking import Marking
from app.review.presenter import ReviewPresenter
from store import Put


@pytest.fixture
def presenter(tmp_path: Path) -> Iterator[ReviewPresenter]:
    with opened(tmp_path) as store:
        yield presenter_on(store)


@pytest.fixture
def marking(presenter: ReviewPresenter) -> Marking:
    presenter.move_playhead(10 * S, 10 * S + 40_000)
    return Marking(presenter)


def kept(marking: Marking) -> tuple[Mark, ...]:
    """What the store has, read anew."""
    p = marking.presenter
    return p.store.markup(p.session.id).marks


@pytest.mark.parametrize("kind", list(MarkKind))
def test_a_mark_is_kept_chosen_and_seen_for_three_seconds(marking: Marking, kind: MarkKind) -> None:
    marking.look = MarkLook.AMBER
    mark = marking.keep(kind, DEFAULT_POINTS[kind], "here")
    assert mark is not None
    assert kept(marking) == (mark,)
    assert (mark.start_us, mark.end_us, mark.look) == (10 * S, 13 * S, MarkLook.AMBER)
    assert marking.chosen == mark
    assert marking.last_kept == mark.id
    assert marking.here() == (mark,)
    words = marking.presenter.undo_words
    assert words is not None
    assert words.endswith("drawn at 0:10.0")
    marking.presenter.undo()
    assert kept(marking) == ()


def test_in_a_loop_it_is_seen_for_the_loop(marking: Marking) -> None:
    p = marking.presenter
    p.loop_edges = (8 * S, 15 * S)
    mark = marking.keep_default(MarkKind.RING)
    assert mark is not None
    assert (mark.start_us, mark.end_us) == (8 * S, 15 * S)
    marking.is_following = True
    followed = marking.keep_default(MarkKind.RING)
    assert followed is not None
    assert followed.anchors == ((10 * S, followed.points),)  # on the tissue of this frame


def test_a_mark_that_was_begun_earlier_is_seen_from_then(marking: Marking) -> None:
    mark = marking.keep(MarkKind.LINE, ((0, 0), (1, 1)), begun_us=9 * S)
    assert mark is not None
    assert mark.start_us == 9 * S


def test_at_the_end_of_the_case_it_ends_with_the_case(marking: Marking) -> None:
    p = marking.presenter
    p.move_playhead(p.length_us - S)
    mark = marking.keep_default(MarkKind.ARROW)
    assert mark is not None
    assert mark.end_us == p.length_us


def test_a_text_without_words_is_refused_in_a_sentence(marking: Marking) -> None:
    said: list[str] = []
    marking.presenter.said.listen(said.append)
    assert marking.keep(MarkKind.TEXT, ((0.5, 0.5),), "  ") is None
    assert said == ["Type the words first; then click where they are to stand."]
    assert kept(marking) == ()


def test_a_standing_mark_is_moved_as_a_whole_span(marking: Marking) -> None:
    marking.keep_default(MarkKind.RING)
    marking.presenter.move_playhead(11 * S)
    assert marking.nudge(0.01, -0.02)
    (mark,) = kept(marking)
    assert mark.points == ((0.51, 0.48), (0.61, 0.48))
    assert mark.anchors == ()
    assert marking.grow(2.0)
    (mark,) = kept(marking)
    assert mark.points == ((0.51, 0.48), (0.71, 0.48))


def test_putting_a_following_mark_right_is_an_anchor_at_the_playhead(marking: Marking) -> None:
    marking.is_following = True
    drawn = marking.keep_default(MarkKind.RING)
    assert drawn is not None
    p = marking.presenter
    p.move_playhead(11 * S, 11 * S + 40_000)
    right = ((0.3, 0.3), (0.4, 0.3))
    assert marking.move_points(drawn, right)
    (mark,) = kept(marking)
    assert mark.points == drawn.points
    assert mark.anchors == ((11 * S, right),)
    assert p.undo_words == "Ring put right at 0:11.0"
    again = ((0.31, 0.3), (0.41, 0.3))
    assert marking.move_points(mark, again)  # the same frame: in place of the first
    (mark,) = kept(marking)
    assert mark.anchors == ((11 * S, again),)
    assert marking.points(mark) == again
    p.move_playhead(10 * S, 10 * S + 40_000)
    assert marking.move_points(mark, right)
    (mark,) = kept(marking)
    assert mark.points == right


def test_a_mark_that_is_not_on_the_frame_cannot_be_moved(marking: Marking) -> None:
    mark = marking.keep_default(MarkKind.RING)
    assert mark is not None
    said: list[str] = []
    marking.presenter.said.listen(said.append)
    marking.presenter.move_playhead(20 * S)
    assert not marking.nudge(0.1, 0)
    assert said == ["This ring is not on this frame; it is seen from 0:10.0 to 0:13.0."]
    assert kept(marking) == (mark,)


def test_style_changes_the_chosen_mark_and_those_to_come(marking: Marking) -> None:
    marking.keep_default(MarkKind.RING)
    marking.set_look(MarkLook.SKY)
    marking.set_fading(is_fading=True)
    marking.set_following(is_following=True)
    (mark,) = kept(marking)
    assert (mark.look, mark.is_fading, mark.is_following) == (MarkLook.SKY, True, True)
    marking.presenter.choose(None)
    marking.set_fading(is_fading=False)
    assert kept(marking) == (mark,)
    later = marking.keep_default(MarkKind.LINE)
    assert later is not None
    assert (later.look, later.is_fading, later.is_following) == (MarkLook.SKY, False, True)


def test_a_mark_that_no_longer_follows_stays_where_it_is_now(marking: Marking) -> None:
    marking.is_following = True
    mark = marking.keep_default(MarkKind.RING)
    assert mark is not None
    points = np.array([[mark.points], [[(0.7, 0.7), (0.8, 0.7)]]]).reshape(2, 2, 2)
    marking.paths[mark.id] = MarkPath(np.array([10 * S, 11 * S]), points, np.array([True, True]))
    marking.presenter.move_playhead(11 * S)
    marking.set_following(is_following=False)
    (mark,) = kept(marking)
    assert mark.points == ((0.7, 0.7), (0.8, 0.7))
    assert not mark.is_following


def test_a_following_mark_that_starts_later_stays_on_its_tissue(marking: Marking) -> None:
    marking.is_following = True
    mark = marking.keep_default(MarkKind.RING)
    assert mark is not None
    points = np.array([[mark.points], [[(0.7, 0.7), (0.8, 0.7)]]]).reshape(2, 2, 2)
    marking.paths[mark.id] = MarkPath(np.array([10 * S, 11 * S]), points, np.array([True, True]))
    p = marking.presenter
    p.move_playhead(11 * S, 11 * S + 40_000)
    assert marking.set_edge_here(is_start=True)
    (later,) = kept(marking)
    assert (later.start_us, later.points) == (11 * S, ((0.7, 0.7), (0.8, 0.7)))
    p.move_playhead(9 * S, 9 * S + 40_000)
    assert marking.set_edge_here(is_start=True)
    (early,) = kept(marking)
    assert early.start_us == 9 * S
    assert early.anchors == ((11 * S, later.points),)


def test_edges_are_set_here_and_never_turned_inside_out(marking: Marking) -> None:
    marking.keep_default(MarkKind.RING)
    p = marking.presenter
    p.move_playhead(12 * S, 12 * S + 40_000)
    assert marking.set_edge_here(is_start=False)
    assert kept(marking)[0].end_us == 12 * S + 40_000
    p.move_playhead(20 * S, 20 * S + 40_000)
    assert not marking.set_edge_here(is_start=True)
    p.move_playhead(5 * S, 5 * S + 40_000)
    assert not marking.set_edge_here(is_start=False)
    assert kept(marking)[0].start_us == 10 * S


def test_removing_a_mark_lets_its_comment_stay(marking: Marking) -> None:
    mark = marking.keep_default(MarkKind.RING)
    assert mark is not None
    p = marking.presenter
    comment = Comment(RowId(new_id()), p.session.id, "look here", 10 * S, mark_id=mark.id)
    assert p.edit("Comment written", Put(comment))
    p.choose(mark.id)
    assert marking.remove_chosen()
    assert kept(marking) == ()
    assert p.store.markup(p.session.id).comments == (replace(comment, mark_id=None),)
    p.undo()
    assert kept(marking) == (mark,)
    assert p.store.markup(p.session.id).comments == (comment,)


def test_a_signed_review_takes_no_mark(marking: Marking) -> None:
    marking.presenter.sign()
    said: list[str] = []
    marking.presenter.said.listen(said.append)
    assert marking.keep_default(MarkKind.RING) is None
    assert said


# Points


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(0.1, 500))
def test_a_straightened_line_keeps_its_length_and_is_at_45_degrees(
    x: float, y: float, away: float
) -> None:
    one, other = (x, y), (x + away, y + 0.3 * away)
    at = straightened(one, other)
    assert np.hypot(at[0] - x, at[1] - y) == pytest.approx(np.hypot(away, 0.3 * away))
    turn = np.degrees(np.arctan2(at[1] - y, at[0] - x)) % 45
    assert min(turn, 45 - turn) == pytest.approx(0, abs=1e-6)


def test_a_thinned_line_stays_near_what_was_drawn() -> None:
    turn = np.linspace(0, 40 * np.pi, 6000)
    drawn = [(float(x), float(y)) for x, y in zip(turn * 9, 50 * np.sin(turn), strict=True)]
    thin = thinned(drawn, 1.0)
    assert len(thin) <= MOST_POINTS
    wave = thinned(drawn[:600], 1.0)
    assert len(wave) < 120
    xs, ys = zip(*wave, strict=True)
    away = np.abs(np.interp([x for x, _ in drawn[:600]], xs, ys) - [y for _, y in drawn[:600]])
    assert away.max() < 6  # upright off a steep line; across it is 1


def test_growing_keeps_what_a_mark_is_about() -> None:
    assert scaled(((0.1, 0.1), (0.5, 0.5)), MarkKind.ARROW, 2)[-1] == (0.5, 0.5)
    assert scaled(((0.4, 0.4), (0.5, 0.4)), MarkKind.RING, 2) == ((0.4, 0.4), (0.6, 0.4))
    line = scaled(((0.2, 0.5), (0.4, 0.5)), MarkKind.LINE, 2)
    assert np.allclose(line, ((0.1, 0.5), (0.5, 0.5)))


def test_points_are_kept_to_a_millionth_and_near_the_picture() -> None:
    assert held_points([(0.12345678, 9.0), (-9.0, 0.5)]) == ((0.123457, 3.0), (-2.0, 0.5))
