"""Drafts of comments: what they take by themselves, what is kept, what editing leaves alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from desk_scenes import S, opened, presenter_on

from annotate.ids import RowId, new_id
from annotate.marks import Mark, MarkKind
from annotate.tags import LONGEST_TEXT, Comment, Leaning, Tag, TagKind
from app.review.comment_list import comment_words
from app.review.commenting import Commenting
from app.review.presenter import ReviewPresenter
from store import Put


@pytest.fixture
def presenter(tmp_path: Path) -> Iterator[ReviewPresenter]:
    with opened(tmp_path) as store:
        yield presenter_on(store)


@pytest.fixture
def commenting(presenter: ReviewPresenter) -> Commenting:
    return Commenting(presenter)


def put(presenter: ReviewPresenter, *rows: Tag | Mark) -> None:
    assert presenter.edit("Set up", *map(Put, rows))


def ring(presenter: ReviewPresenter, start_us: int) -> Mark:
    points = ((0.5, 0.5), (0.6, 0.5))
    return Mark(
        RowId(new_id()), presenter.session.id, MarkKind.RING, start_us, start_us + 4 * S, points
    )


def phase(presenter: ReviewPresenter, code: str, start_us: int, end_us: int) -> Tag:
    return Tag(RowId(new_id()), presenter.session.id, TagKind.PHASE, code, start_us, end_us)


def kept(presenter: ReviewPresenter) -> Comment:
    (comment,) = presenter.markup.comments
    return comment


def test_a_comment_is_about_the_phase_at_the_time_at_which_typing_began(
    presenter: ReviewPresenter, commenting: Commenting
) -> None:
    put(presenter, phase(presenter, "sculpt", 10 * S, 20 * S), phase(presenter, "incision", 0, S))
    draft = commenting.begun(12 * S)
    presenter.move_playhead(50 * S)
    assert commenting.keep("  Shallow  ", draft)
    assert (kept(presenter).text, kept(presenter).start_us, kept(presenter).phase) == (
        "Shallow",
        12 * S,
        "sculpt",
    )
    assert commenting.begun(30 * S).phase == ""


def test_another_phase_can_be_chosen_round_all_of_them_and_none(
    presenter: ReviewPresenter, commenting: Commenting
) -> None:
    codes = presenter.vocabulary.phase_codes
    draft = first = commenting.begun(0)
    seen = []
    for _ in codes:
        draft = commenting.next_phase(draft, 1)
        seen.append(draft.phase)
    assert tuple(seen) == codes
    assert commenting.next_phase(draft, 1) == first
    assert commenting.next_phase(first, -1).phase == codes[-1]


def test_the_mark_drawn_last_that_shows_then_is_linked_once(
    presenter: ReviewPresenter, commenting: Commenting
) -> None:
    early, late = ring(presenter, 10 * S), ring(presenter, 11 * S)
    put(presenter, early, late)
    draft = commenting.begun(12 * S)
    assert draft.mark_id == late.id
    assert commenting.begun(20 * S).mark_id is None
    assert commenting.keep("This rim", draft)
    assert kept(presenter).mark_id == late.id
    again = commenting.begun(12 * S)
    assert again.mark_id is None, "a mark goes with one comment by itself, not with the next too"
    assert commenting.toggled_mark(again).mark_id == late.id
    assert commenting.toggled_mark(commenting.toggled_mark(again)).mark_id is None
    presenter.choose(early.id)
    assert commenting.begun(50 * S).mark_id == early.id, "the chosen one, wherever it shows"


def test_without_a_mark_to_link_it_is_said_why(
    presenter: ReviewPresenter, commenting: Commenting
) -> None:
    said: list[str] = []
    presenter.said.listen(said.append)
    draft = commenting.begun(5 * S)
    assert commenting.toggled_mark(draft) == draft
    assert "Draw one" in said[0]


def test_a_mark_that_went_while_one_typed_is_not_linked(
    presenter: ReviewPresenter, commenting: Commenting
) -> None:
    put(presenter, ring(presenter, 10 * S))
    draft = commenting.begun(11 * S)
    assert draft.mark_id
    presenter.undo()
    assert commenting.keep("Gone", draft)
    assert kept(presenter).mark_id is None


def test_a_comment_can_hold_until_the_frame_on_the_screen(
    presenter: ReviewPresenter, commenting: Commenting
) -> None:
    said: list[str] = []
    presenter.said.listen(said.append)
    draft = commenting.begun(10 * S)
    presenter.move_playhead(10 * S, 10 * S + 33_000)
    assert commenting.toggled_end(draft).end_us is None
    assert "past it" in said[0]
    presenter.move_playhead(14 * S, 14 * S + 33_000)
    ended = commenting.toggled_end(draft)
    assert ended.end_us == 14 * S + 33_000
    assert commenting.toggled_end(ended).end_us is None
    assert commenting.keep("Four seconds", ended)
    assert kept(presenter).end_us == 14 * S + 33_000


def test_changing_one_leaves_its_id_and_time(
    presenter: ReviewPresenter, commenting: Commenting
) -> None:
    commenting.keep("First", replace(commenting.begun(10 * S), weight=2))
    old = kept(presenter)
    presenter.move_playhead(40 * S)
    draft = replace(commenting.of(old), leaning=Leaning.CORRECT, weight=3, phase="sculpt")
    assert commenting.keep("First", draft)
    assert kept(presenter) == replace(old, leaning=Leaning.CORRECT, weight=3, phase="sculpt")
    assert presenter.undo_words == "Comment 'First' changed at 0:10.0"
    assert commenting.keep("Second", commenting.of(kept(presenter)))
    assert presenter.undo_words == "Comment 'Second' reworded at 0:10.0"
    assert commenting.keep("Second", commenting.of(kept(presenter)))
    assert len(presenter.history()) == 3, "what changes nothing is no edit"
    presenter.undo()
    presenter.undo()
    assert kept(presenter) == old


def test_one_that_is_too_long_stays_in_the_box(
    presenter: ReviewPresenter, commenting: Commenting
) -> None:
    said: list[str] = []
    presenter.said.listen(said.append)
    assert not commenting.keep("x" * (LONGEST_TEXT + 1), commenting.begun(0))
    assert not commenting.keep("  ", commenting.begun(0))
    assert "still in the box" in said[0]
    assert not presenter.markup.comments


def test_a_phrase_finds_what_its_places_stand_for(
    presenter: ReviewPresenter, commenting: Commenting
) -> None:
    session_id, code = presenter.session.id, presenter.vocabulary.events[0].code
    event = Tag(RowId(new_id()), session_id, TagKind.EVENT, code, 11 * S)
    later = replace(event, id=RowId(new_id()), start_us=30 * S)
    hand_over = Tag(RowId(new_id()), session_id, TagKind.HAND_OVER, "attending", 60 * S, 70 * S)
    put(presenter, phase(presenter, "sculpt", 10 * S, 20 * S), event, later, hand_over)
    places = commenting.places(commenting.begun(15 * S))
    assert places == {
        "phase": "sculpting",
        "time": "0:15",
        "operator": "R-07",
        "event": "eye off centre",
    }
    assert commenting.places(commenting.begun(65 * S))["operator"] == "attending"
    assert commenting.places(commenting.begun(0)) == {
        "phase": "", "time": "0:00", "operator": "R-07", "event": "",
    }  # fmt: skip


def test_the_list_shows_weight_and_mark(presenter: ReviewPresenter) -> None:
    plain = Comment(RowId(new_id()), presenter.session.id, "Flow", 61 * S)
    assert comment_words(plain) == "1:01  ◆  Flow"
    heavy = replace(plain, leaning=Leaning.CORRECT, weight=3, end_us=65 * S, mark_id=plain.id)
    assert comment_words(heavy) == "1:01–1:05  ▼▼▼ ✎  Flow"
