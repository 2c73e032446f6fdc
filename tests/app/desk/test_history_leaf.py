"""The history leaf in the real window: by keys, lazily, and after a restart."""

from __future__ import annotations

import pytest
from desk_driving import CONTROL, view_of
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.tags import Leaning
from app.desk.window import DeskWindow
from app.review.history_leaf import HistoryLeaf
from app.review.past import PastLine, Standing
from store import Store

KEY = Qt.Key


def shown(leaf: HistoryLeaf) -> list[str]:
    return [row.words for row in leaf.model.rows if isinstance(row, PastLine)]


def written(desk: DeskWindow, *words: str) -> None:
    for n, text in enumerate(words):
        assert view_of(desk).presenter.keep_comment(text, n * 100_000, Leaning.NEUTRAL)


def opened(desk: DeskWindow) -> HistoryLeaf:
    QTest.keyClick(desk.focusWidget() or desk, KEY.Key_H, CONTROL)
    leaf = view_of(desk).side.history
    assert leaf.isVisible()
    return leaf


def comments(desk: DeskWindow) -> list[str]:
    return [comment.text for comment in view_of(desk).presenter.markup.comments]


def test_an_empty_history_says_what_will_be_there(reviewing: DeskWindow) -> None:
    leaf = opened(reviewing)
    assert not leaf.list.isVisible()
    assert leaf.how.text().startswith("Nothing was done yet.")


def test_by_keys_back_to_a_line_and_on_again(reviewing: DeskWindow, qtbot: QtBot) -> None:
    written(reviewing, *"abcd")
    leaf = opened(reviewing)
    assert shown(leaf)[0] == "Comment 'd' written at 0:00.3"
    assert reviewing.focusWidget() is leaf.list
    assert leaf.how.text() == "The review is here now."
    place = leaf.how.geometry()
    for _ in range(2):
        QTest.keyClick(leaf.list, KEY.Key_Down)
    assert leaf.how.text() == (
        "Return takes back the 2 edits done since; Ctrl+Shift+Z brings them again, one a press."
    )
    leaf.layout().activate()
    assert leaf.how.geometry() == place
    QTest.keyClick(leaf.list, KEY.Key_Return)
    assert comments(reviewing) == ["a", "b"]
    assert reviewing.message_bar.words.startswith("2 edits taken back, to 'Comment 'b'")
    row = leaf.list.currentIndex().data(Qt.ItemDataRole.UserRole)
    assert (row.words, row.standing) == ("Comment 'b' written at 0:00.1", Standing.HERE)
    for _ in range(2):
        QTest.keyClick(leaf.list, KEY.Key_Up)
    QTest.keyClick(leaf.list, KEY.Key_Return)
    assert comments(reviewing) == list("abcd")
    QTest.keyClick(leaf.list, KEY.Key_Escape)
    assert reviewing.focusWidget() is view_of(reviewing).picture


def test_it_follows_while_shown_and_reads_nothing_while_not(
    reviewing: DeskWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    view = view_of(reviewing)
    n_read = []
    real = Store.history

    def counted(store: Store, session_id: str) -> object:
        n_read.append(session_id)
        return real(store, session_id)  # type: ignore[arg-type]

    monkeypatch.setattr(Store, "history", counted)
    written(reviewing, *"abc")
    assert not n_read
    leaf = opened(reviewing)
    assert len(shown(leaf)) == 4
    n_read.clear()
    written(reviewing, "d")
    assert not n_read, "no key press waits for the list"
    qtbot.waitUntil(lambda: len(shown(leaf)) == 5)
    view.side.leaves.turn_to("tag")
    n_read.clear()
    written(reviewing, "e")
    assert not n_read
    assert not leaf._timer.isActive()


def test_letters_still_tag_while_the_list_has_the_keys(reviewing: DeskWindow) -> None:
    written(reviewing, "a")
    leaf = opened(reviewing)
    term = view_of(reviewing).presenter.vocabulary.phases[0]
    QTest.keyClicks(leaf.list, term.key)
    assert [tag.code for tag in view_of(reviewing).presenter.markup.tags] == [term.code]


def test_a_double_click_goes_there_after_a_restart(
    reviewing: DeskWindow, store: Store, qtbot: QtBot
) -> None:
    written(reviewing, *"abc")
    reviewing.show_caseload()
    reviewing.open_case("R-07-003")
    leaf = opened(reviewing)
    place: QModelIndex = leaf.model.index(leaf.model.rowCount() - 1)
    assert place.data().endswith("The review as it was begun")
    leaf.list.activated.emit(place)
    assert comments(reviewing) == []
    assert store.markup(view_of(reviewing).presenter.session.id).comments == ()


def test_a_signed_review_shows_its_signing_and_goes_nowhere(reviewing: DeskWindow) -> None:
    written(reviewing, *"ab")
    view_of(reviewing).presenter.sign()
    leaf = opened(reviewing)
    assert shown(leaf)[0].startswith("Signed")
    leaf.list.activated.emit(leaf.model.index(2))
    assert comments(reviewing) == ["a", "b"]
    assert "signed" in reviewing.message_bar.words
