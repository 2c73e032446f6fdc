"""The search panel in the real window: by keys alone, from the caseload and from Review."""

from __future__ import annotations

from dataclasses import replace

import pytest
from desk_driving import view_of
from desk_scenes import S, tag_only_case
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.ids import CaseId, RowId, SessionId, new_id
from annotate.people import Reviewer
from annotate.tags import Comment, Tag, TagKind
from app.desk.window import DeskWindow
from app.searching.answers import Line
from app.searching.panel import SearchPanel
from app.vocabulary.own import file_to_write, vocabulary_today, write_vocabulary
from app.vocabulary.words import keep_words
from store import Drop, Put, Store

KEY = Qt.Key


def write(store: Store, session_id: SessionId, text: str, at_us: int, by: str = "A-01") -> Comment:
    comment = Comment(RowId(new_id()), session_id, text, at_us)
    store.edit(session_id, "Written", by, Put(comment))
    return comment


@pytest.fixture
def written(store: Store) -> dict[str, Comment]:
    """Words in three reviews: one's own of the case with a clip, another's of it, another case."""
    case = store.case("R-07-003")
    mine, theirs = store.start_session(case.id, Reviewer("A-01")), Reviewer("B-02")
    other_case = store.take_in(replace(tag_only_case("R-07-009"), id=CaseId(new_id())), "A-01")
    there = store.start_session(other_case.id, Reviewer("A-01"))
    return {
        "mine": write(store, mine.id, "Rim folded here", 2 * S),
        "theirs": write(
            store, store.start_session(case.id, theirs).id, "Rim torn, said B", 3 * S, "B-02"
        ),
        "there": write(store, there.id, "Rim in another case", 42 * S),
    }


def opened(desk: DeskWindow, qtbot: QtBot) -> SearchPanel:
    desk.activateWindow()
    qtbot.waitUntil(desk.isActiveWindow)
    QTest.keyClick(desk.focusWidget() or desk, KEY.Key_F3)
    panel = desk.search_desk._panel
    assert panel is not None
    qtbot.waitUntil(panel.isActiveWindow)
    return panel


def typed(panel: SearchPanel, words: str, qtbot: QtBot) -> list[Line]:
    panel.line.clear()
    QTest.keyClicks(panel.line, words)
    qtbot.waitUntil(lambda: f"'{words}'" in panel.state.text() or "place" in panel.state.text())
    qtbot.waitUntil(lambda: not panel.searcher.is_busy)
    return [row for row in panel.model.rows if isinstance(row, Line)]


def test_from_the_caseload_to_the_frame(
    desk: DeskWindow, written: dict[str, Comment], qtbot: QtBot
) -> None:
    panel = opened(desk, qtbot)
    assert panel.state.text().startswith("Type what you remember")
    lines = typed(panel, "rim fold", qtbot)
    assert [line.found.row_id for line in lines] == [written["mine"].id]
    tip = panel.list.currentIndex().data(Qt.ItemDataRole.ToolTipRole)
    assert "Rim folded here (R-07-003, by A-01)" in tip
    QTest.keyClick(panel.line, KEY.Key_Return)
    assert not panel.isVisible()
    qtbot.waitUntil(lambda: desk.review is not None)
    view = view_of(desk)
    qtbot.waitUntil(lambda: view.presenter.chosen == written["mine"].id, timeout=20_000)
    qtbot.waitUntil(
        lambda: (
            view.presenter.playhead_us <= 2 * S < view.presenter.until_us
            and view.picture.shown_number is not None
        ),
        timeout=20_000,
    )
    assert desk.focusWidget() is view.picture


def test_from_one_review_to_another_reviewers_and_to_another_case(
    reviewing: DeskWindow, written: dict[str, Comment], qtbot: QtBot
) -> None:
    panel = opened(reviewing, qtbot)
    lines = typed(panel, "rim", qtbot)
    assert len(lines) == 3
    QTest.keyClick(panel.line, KEY.Key_End)
    QTest.keyClick(panel.line, KEY.Key_F3)
    assert panel.line.selectedText() == "rim"
    QTest.keyClick(panel.line, KEY.Key_Escape)
    for name, reviewer in (("theirs", "B-02"), ("there", "A-01"), ("mine", "A-01")):
        panel = opened(reviewing, qtbot)
        assert panel.line.selectedText() == "rim", "F3 brings back what was found"
        lines = [row for row in panel.model.rows if isinstance(row, Line)]
        place = next(n for n, x in enumerate(lines) if x.found.row_id == written[name].id)
        for _ in lines:
            QTest.keyClick(panel.line, KEY.Key_Up)
        for _ in range(place):
            QTest.keyClick(panel.line, KEY.Key_Down)
        QTest.keyClick(panel.line, KEY.Key_Return)
        comment = written[name]
        qtbot.waitUntil(
            lambda comment=comment: view_of(reviewing).presenter.chosen == comment.id,
            timeout=20_000,
        )
        view = view_of(reviewing)
        assert view.presenter.session.id == comment.session_id
        assert view.presenter.session.reviewer.code == reviewer
        qtbot.waitUntil(
            lambda view=view, at=comment.start_us: (
                view.presenter.playhead_us <= at < view.presenter.until_us
            ),
            timeout=20_000,
        )


def test_within_the_open_review_nothing_is_opened_anew(
    reviewing: DeskWindow, written: dict[str, Comment], qtbot: QtBot
) -> None:
    reviewing.open_case("R-07-003")
    view = view_of(reviewing)
    panel = opened(reviewing, qtbot)
    typed(panel, "folded", qtbot)
    panel.list.clicked.emit(panel.list.currentIndex())
    assert view_of(reviewing) is view
    qtbot.waitUntil(lambda: view.presenter.chosen == written["mine"].id)


def test_what_is_gone_since_is_said_and_its_place_is_shown(
    reviewing: DeskWindow, written: dict[str, Comment], store: Store, qtbot: QtBot
) -> None:
    panel = opened(reviewing, qtbot)
    typed(panel, "folded", qtbot)
    mine = written["mine"]
    store.edit(mine.session_id, "Gone", "A-01", Drop(Comment, mine.id))
    reviewing.open_case("R-07-003")
    QTest.keyClick(panel.line, KEY.Key_Return)
    qtbot.waitUntil(lambda: "no longer there" in reviewing.message_bar.words)


def test_nothing_found_says_what_to_try(
    desk: DeskWindow, written: dict[str, Comment], qtbot: QtBot
) -> None:
    panel = opened(desk, qtbot)
    assert not typed(panel, "xylophone", qtbot)
    assert "fewer or shorter" in panel.state.text()
    QTest.keyClick(panel.line, KEY.Key_Return)
    assert panel.isVisible()
    QTest.keyClick(panel.line, KEY.Key_Escape)
    assert not panel.isVisible()


def test_a_label_of_before_finds_what_is_read_with_todays(
    desk: DeskWindow, store: Store, qtbot: QtBot
) -> None:
    case = store.case("R-07-003")
    before = vocabulary_today(case.vocabulary)
    session = store.start_session(case.id, Reviewer("A-01"), keep_words(store, before))
    tag = Tag(RowId(new_id()), session.id, TagKind.PHASE, "sculpt", S, 3 * S)
    store.edit(session.id, "Tagged", "A-01", Put(tag))
    phases = tuple(
        replace(term, label="Furrowing") if term.code == "sculpt" else term
        for term in before.phases
    )
    write_vocabulary(replace(before, version="next", phases=phases), file_to_write(before.name))
    panel = opened(desk, qtbot)
    (line,) = typed(panel, "sculpting", qtbot)
    assert line.words == "Furrowing (also: Sculpting)"
    assert panel.state.text() == "1 place in 1 case"
    (line,) = typed(panel, "furrow", qtbot)
    assert line.words == "Furrowing"
    QTest.keyClick(panel.line, KEY.Key_Return)
    qtbot.waitUntil(
        lambda: desk.review is not None and desk.review.presenter.chosen == tag.id, timeout=20_000
    )


def test_closing_the_desk_ends_the_search(
    desk: DeskWindow, written: dict[str, Comment], qtbot: QtBot
) -> None:
    panel = opened(desk, qtbot)
    QTest.keyClicks(panel.line, "rim")
    desk.close()
    assert not panel.isVisible()
    assert not panel.searcher.is_busy
