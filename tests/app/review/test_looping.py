"""Going round in a span, without a window."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_scenes import S, opened, presenter_on
from hypothesis import given
from hypothesis import strategies as st

from annotate.tags import Leaning
from app.review.looping import AROUND_US
from app.review.presenter import ReviewPresenter


@pytest.fixture
def presenter(tmp_path: Path) -> Iterator[ReviewPresenter]:
    with opened(tmp_path) as store:
        yield presenter_on(store)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ReviewPresenter]:
    with opened(tmp_path_factory.mktemp("loop")) as store:
        yield presenter_on(store)


def press(presenter: ReviewPresenter, code: str, at_s: float) -> None:
    presenter.move_playhead(round(at_s * S))
    key = next(term.key for term in presenter.vocabulary.terms if term.code == code)
    assert presenter.press_key(key)


def test_a_start_and_an_end_make_a_loop(presenter: ReviewPresenter) -> None:
    told: list[None] = []
    presenter.loop_changed.listen(lambda: told.append(None))
    presenter.move_playhead(3 * S, 3 * S + 33_367)
    presenter.loop_from_here()
    assert presenter.loop is None
    assert "no end" in presenter.loop_words()
    presenter.move_playhead(5 * S, 5 * S + 33_366)
    presenter.loop_to_here()
    assert presenter.loop == (3 * S, 5 * S + 33_366)
    assert presenter.loop_words() == "Loop 0:03.0 to 0:05.0"
    assert len(told) == 2


def test_the_end_may_come_first(presenter: ReviewPresenter) -> None:
    presenter.move_playhead(5 * S, 5 * S + 40_000)
    presenter.loop_to_here()
    assert "no start" in presenter.loop_words()
    presenter.move_playhead(2 * S, 2 * S + 40_000)
    presenter.loop_from_here()
    assert presenter.loop == (2 * S, 5 * S + 40_000)


def test_the_chosen_phase_is_looped_and_let_go_by_the_same_key(presenter: ReviewPresenter) -> None:
    press(presenter, "incision", 1)
    press(presenter, "incision", 9)
    presenter.move_playhead(50 * S)
    presenter.toggle_loop()
    assert presenter.loop == (1 * S, 9 * S)
    assert presenter.loop_name()
    presenter.toggle_loop()
    assert presenter.loop is None
    assert presenter.loop_words() == "No loop"


def test_an_instant_is_looped_with_what_lies_around_it(presenter: ReviewPresenter) -> None:
    presenter.keep_comment("look", 30 * S, Leaning.NEUTRAL)
    presenter.choose(presenter.markup.comments[0].id)
    presenter.toggle_loop()
    assert presenter.loop == (30 * S - AROUND_US, 30 * S + AROUND_US)


def test_with_nothing_chosen_the_last_loop_comes_back_and_else_the_phase_here(
    presenter: ReviewPresenter,
) -> None:
    press(presenter, "incision", 1)
    press(presenter, "incision", 9)
    presenter.choose(None)
    presenter.move_playhead(4 * S)
    presenter.toggle_loop()
    assert presenter.loop == (1 * S, 9 * S)
    presenter.toggle_loop()
    presenter.move_playhead(80 * S)
    presenter.toggle_loop()
    assert presenter.loop == (1 * S, 9 * S)


def test_a_loop_before_that_lies_elsewhere_yields_to_the_phase_here(
    presenter: ReviewPresenter,
) -> None:
    presenter.loop_edges = (1 * S, 9 * S)
    presenter.toggle_loop()
    presenter.move_playhead(20 * S)
    presenter.press(presenter.vocabulary.phases[0])
    presenter.move_playhead(30 * S)
    presenter.press(presenter.vocabulary.phases[0])
    presenter.choose(None)
    presenter.move_playhead(25 * S)
    presenter.toggle_loop()
    assert presenter.loop == (20 * S, 30 * S)


def test_nothing_to_loop_gets_a_sentence(presenter: ReviewPresenter) -> None:
    said: list[str] = []
    presenter.said.listen(said.append)
    presenter.toggle_loop()
    assert presenter.loop is None
    assert "Shift+Home" in said[0]


moves = st.lists(
    st.tuples(st.sampled_from(("from", "to", "toggle", "end")), st.integers(0, 100 * S)),
    max_size=12,
)


@given(moves)
def test_a_loop_always_lasts_and_lies_in_the_case(
    kept: ReviewPresenter, moves: list[tuple[str, int]]
) -> None:
    deeds = {
        "from": kept.loop_from_here,
        "to": kept.loop_to_here,
        "toggle": kept.toggle_loop,
        "end": kept.end_loop,
    }
    kept.end_loop()
    for deed, at_us in moves:
        kept.move_playhead(at_us, at_us + 33_333)
        deeds[deed]()
        if kept.loop is not None:
            start_us, end_us = kept.loop
            assert 0 <= start_us < end_us <= kept.length_us
