"""Signing with its hash, editions, what was watched, reviews kept from one another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from desk_driving import view_of
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMessageBox
from pytestqt.qtbot import QtBot
from sqlalchemy import text

from annotate.case import ReviewSession
from annotate.ids import RowId, new_id
from annotate.people import Reviewer, ReviewerKind
from annotate.tags import Comment, Tag, TagKind
from app.caseload.presenter import CaseloadPresenter
from app.desk.window import DeskWindow
from app.settings import Settings
from metrics.watched import watched_figures
from store import Put, Store

S = 1_000_000
CODE, ME, OTHER = "R-07-003", "A-01", "R-07"


def fill(store: Store, by: str, phase: str, said: str) -> ReviewSession:
    """A review with one phase and one comment."""
    kind = ReviewerKind.SELF if by == OTHER else ReviewerKind.ATTENDING
    session = store.start_session(store.case(CODE).id, Reviewer(by, kind))
    phase_tag = Tag(RowId(new_id()), session.id, TagKind.PHASE, phase, 0, 2 * S)
    comment = Comment(RowId(new_id()), session.id, said, S)
    store.edit(session.id, "fill", by, Put(phase_tag), Put(comment))
    return session


def question(desk: DeskWindow) -> QMessageBox:
    return next(box for box in desk.findChildren(QMessageBox) if box.isVisible())


def sign(desk: DeskWindow) -> None:
    desk.act("sign")
    button = next(b for b in question(desk).buttons() if b.text() == "Sign")
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def items(desk: DeskWindow) -> list[str]:
    choice = view_of(desk).sessions
    return [choice.itemText(place) for place in range(choice.count())]


def choose(desk: DeskWindow, words: str) -> None:
    choice = view_of(desk).sessions
    choice.activated.emit(next(i for i in range(choice.count()) if words in choice.itemText(i)))


@pytest.fixture
def mine(store: Store) -> ReviewSession:
    return fill(store, ME, "sculpt", "mine to keep")


@pytest.fixture
def theirs(store: Store) -> ReviewSession:
    return fill(store, OTHER, "chop", "theirs to keep")


def test_the_question_says_what_is_signed_and_the_answer_carries_the_hash(
    mine: ReviewSession, reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    view = view_of(reviewing)
    view.player.toggle_play()
    qtbot.waitUntil(lambda: view.presenter.playhead_us >= S, timeout=20_000)
    view.player.toggle_play()
    view.presenter.press_hand_over()
    reviewing.act("sign")
    box = question(reviewing)
    assert "2 tags, 1 comment" in box.text()
    (watched,) = store.watched(mine.id)
    assert (watched.start_us, watched.speed) == (0, 1.0)
    assert S <= watched.end_us < store.case(CODE).length_us
    asked = box.informativeText()
    assert "Watched: " in asked
    assert "% of the case" in asked
    assert "Hand-over still runs" in asked
    assert "new edition" in asked
    button = next(b for b in box.buttons() if b.text() == "Sign")
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    signed = store.session(mine.id)
    assert f"signature {signed.content_hash[:8]}" in reviewing.message_bar.words
    assert items(reviewing)[0] == "A-01 (you), signed"


def test_going_on_makes_an_edition_and_both_can_be_chosen(
    mine: ReviewSession, reviewing: DeskWindow, store: Store
) -> None:
    assert not reviewing.actions_table["go-on"].isEnabled()
    assert not view_of(reviewing).side.why_not.isVisible()
    sign(reviewing)
    assert reviewing.actions_table["go-on"].isEnabled()
    line = view_of(reviewing).side.why_not
    assert line.go_on.isVisible()
    QTest.mouseClick(line.go_on, Qt.MouseButton.LeftButton)
    fresh = view_of(reviewing).presenter
    assert (fresh.session.edition, fresh.session.follows_id, fresh.can_edit) == (2, mine.id, True)
    assert fresh.markup.comments[0].text == "mine to keep"
    assert "edition 2" in reviewing.message_bar.words
    assert items(reviewing) == [
        "You, draft, ed. 2",
        "You, signed, ed. 1",
    ]
    fresh.remove_chosen()
    choose(reviewing, "ed. 1")
    old = view_of(reviewing).presenter
    assert (old.session.id, old.can_edit) == (mine.id, False)
    assert store.is_as_signed(mine.id)
    reviewing.act("go-on")
    assert view_of(reviewing).presenter.session.id == fresh.session.id


def test_a_signed_review_that_was_changed_says_so_when_it_is_opened(
    mine: ReviewSession, reviewing: DeskWindow, store: Store
) -> None:
    sign(reviewing)
    reviewing.show_caseload()
    reviewing.open_case(CODE)
    assert "no longer" not in reviewing.message_bar.words
    reviewing.show_caseload()
    with store._database.writing() as db:
        db.execute(text("UPDATE comments SET text = 'softened'"))
    reviewing.open_case(CODE)
    words = reviewing.message_bar.words
    assert "no longer says what A-01 signed" in words
    assert store.session(mine.id).content_hash[:8] in words


# Kept from one another


@pytest.fixture
def as_operator(store: Store, qtbot: QtBot) -> Iterator[DeskWindow]:
    window = DeskWindow(store, Settings(reviewer=OTHER), keeps_settings=False)
    qtbot.addWidget(window)
    window.show()
    yield window
    window.close()


def everything_said(desk: DeskWindow) -> str:
    """All words of a desk on which the case is open or listed."""
    presenter = desk.caseload.presenter
    presenter.look_again()
    (line,) = presenter.lines
    shown = [line.status, line.searched, str(line.row.n_tags), str(line.row.n_comments)]
    shown += [line.session.reviewer if line.session else ""]
    strip = presenter.strip(line).markup
    shown += [tag.code for tag in strip.tags] + [c.text for c in strip.comments]
    desk.open_case(CODE)
    view = view_of(desk)
    shown += [c.text for c in view.presenter.markup.comments]
    shown += [view.other_review.turn()]
    shown += [c.text for c in view.other_review.comments] + items(desk)
    return "\n".join(shown)


def test_neither_desk_shows_the_other_review_until_both_are_signed(
    mine: ReviewSession,
    theirs: ReviewSession,
    desk: DeskWindow,
    as_operator: DeskWindow,
    store: Store,
) -> None:
    for window in (desk, as_operator):
        window.open_case(CODE)
        window.act("veil")
        assert window.actions_table["veil"].isChecked()
        assert items(window)[0].startswith("◒")
    sides = (
        (desk, OTHER, "theirs to keep", "chop", ME, mine),
        (as_operator, ME, "mine to keep", "sculpt", OTHER, theirs),
    )

    def check_kept() -> None:
        for window, code, said, phase, _, _ in sides:
            words = everything_said(window)
            assert said not in words
            assert phase not in words
            assert f"{code}'s review is kept until both are signed" in words
            row = window.caseload.presenter.lines[0].row
            assert (row.n_sessions, row.n_tags, row.n_comments) == (1, 1, 1)
            window.open_case(CODE, code)
            assert "kept until both are signed" in window.message_bar.words
            assert view_of(window).presenter.session.reviewer.code == window.settings.reviewer

    check_kept()
    store.sign(mine.id, ME)
    check_kept()
    store.sign(theirs.id, OTHER)
    for window, code, said, phase, _, _ in sides:
        words = everything_said(window)
        assert said in words
        assert "kept until" not in words
        window.open_case(CODE, code)
        shown = view_of(window).presenter
        assert shown.session.reviewer.code == code
        assert shown.markup.tags[0].code == phase


def test_a_case_with_only_a_kept_review_opens_with_one_of_ones_own(
    theirs: ReviewSession, desk: DeskWindow, store: Store
) -> None:
    store.veil(theirs.id, True, OTHER)
    lines = CaseloadPresenter(store, ME)
    lines.look_again()
    assert lines.lines[0].status == "not yet reviewed"
    desk.open_case(CODE)
    presenter = view_of(desk).presenter
    assert presenter.is_mine
    assert not presenter.markup.tags


def test_the_veil_is_lifted_again_and_takes_no_signed_review(
    mine: ReviewSession, reviewing: DeskWindow, store: Store
) -> None:
    reviewing.act("veil")
    assert store.session(mine.id).is_veiled
    reviewing.act("veil")
    assert not store.session(mine.id).is_veiled
    assert not reviewing.actions_table["veil"].isChecked()
    sign(reviewing)
    assert not reviewing.actions_table["veil"].isEnabled()


def test_what_runs_is_kept_when_the_case_is_left_and_drawn_under_the_pictures(
    reviewing: DeskWindow, qtbot: QtBot, store: Store
) -> None:
    view = view_of(reviewing)
    session = view.presenter.session
    view.player.set_speed(4.0)
    view.player.toggle_play()
    qtbot.waitUntil(lambda: view.presenter.playhead_us >= S, timeout=20_000)
    reviewing.show_caseload()
    (watched,) = store.watched(session.id)
    assert watched.speed == 4.0
    assert watched.end_us >= S
    reviewing.open_case(CODE)
    assert "0 % at 2x or slower" in view_of(reviewing).under_band.line.toolTip()


def test_a_run_is_kept_while_it_runs(reviewing: DeskWindow, qtbot: QtBot, store: Store) -> None:
    """A desk that is killed loses what ran since the last beat, no more."""
    view = view_of(reviewing)
    keeping, session = view.keeping_watched, view.presenter.session
    keeping.beat.setInterval(20)
    view.player.set_speed(0.25)
    view.player.toggle_play()
    kept = set()

    def is_kept_twice() -> bool:
        kept.add(store.watched(session.id))
        return len(kept - {()}) >= 2

    qtbot.waitUntil(is_kept_twice, timeout=20_000)
    assert view.presenter.is_playing
    reviewing.show_caseload()
    found = watched_figures(store.watched(session.id), view.presenter.length_us)
    assert len(found.seen) == 1, "the pieces lie end to end"
    assert found.slow == found.seen


def test_another_review_is_laid_under_and_its_comments_are_listed_to_read(
    mine: ReviewSession, theirs: ReviewSession, reviewing: DeskWindow, store: Store
) -> None:
    view = view_of(reviewing)
    ids = [placed.lane.id for placed in view.timeline.lanes_area().placed]
    reviewing.act("lay-over")
    under = [placed.lane for placed in view.timeline.lanes_area().placed]
    assert [lane.name for lane in under if lane.id not in ids] == ["R-07"]
    assert view.under_band.words.isVisible()
    label = view.presenter.vocabulary.label
    words = view.under_band.words.text()
    assert words == f"A-01: {label('sculpt')}; R-07: {label('chop')}"
    listed = view.comments
    texts = [listed.item(place).text() for place in range(listed.count())]
    assert sum("R-07 says:" in line and "theirs to keep" in line for line in texts) == 1
    assert sum("says" not in line and "mine to keep" in line for line in texts) == 1
    place = next(i for i, line in enumerate(texts) if "R-07" in line)
    listed.itemActivated.emit(listed.item(place))
    assert view.comment_box.text.toPlainText() == ""
    listed.itemClicked.emit(listed.item(place))
    assert view.presenter.chosen is None
    reviewing.act("lay-over")
    assert [placed.lane.id for placed in view.timeline.lanes_area().placed] == ids
    assert not view.under_band.words.isVisible()
    assert listed.count() == 1


def test_every_leaf_says_at_its_head_that_a_review_is_to_look_at(
    mine: ReviewSession, theirs: ReviewSession, reviewing: DeskWindow
) -> None:
    choose(reviewing, OTHER)
    side = view_of(reviewing).side
    said = side.why_not
    assert "to look at" in said.text()
    for leaf in side.leaves.ids:
        side.leaves.turn_to(leaf)
        assert said.isVisible()
        bottom = said.mapTo(side.widget(), said.rect().bottomLeft()).y()
        assert bottom < side.leaves.mapTo(side.widget(), side.leaves.rect().topLeft()).y()


def test_another_desk_can_be_asked_as_somebody_else(desk: DeskWindow, mine: ReviewSession) -> None:
    """Who sits down next sees the list as it is for them."""
    assert desk.caseload.presenter.me == ME
    desk.keep_settings(replace(desk.settings, reviewer="A-09"))
    assert desk.caseload.presenter.me == "A-09"
