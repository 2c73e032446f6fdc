"""The lines of the list: signs in the colours of the strip, words as far as there is room."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_scenes import S, opened, presenter_on
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from annotate.ids import RowId, new_id
from annotate.tags import Comment, Leaning, Tag, TagKind
from app.desk.start import make_application
from app.look.palette import DARK
from app.review.presenter import ReviewPresenter
from app.review.row_list import RowList
from app.review.row_model import WHAT
from store import Put

ROLE = Qt.ItemDataRole
LONG = "The second hand drifts and the eye rolls with it; pivot in the wound. " * 3


@pytest.fixture
def presenter(tmp_path: Path) -> Iterator[ReviewPresenter]:
    """Three comments, one event and one phase, a row each ten seconds."""
    with opened(tmp_path) as store:
        p = presenter_on(store)
        session = p.session.id
        leanings = (Leaning.COMMEND, Leaning.CORRECT, Leaning.NEUTRAL)
        comments = [
            Comment(RowId(new_id()), session, LONG, 10 * n * S, leaning=leaning)
            for n, leaning in enumerate(leanings)
        ]
        event = Tag(RowId(new_id()), session, TagKind.EVENT, "eye-off-centre", 30 * S, None,
                    Leaning.CORRECT, 2)  # fmt: skip
        phase = Tag(RowId(new_id()), session, TagKind.PHASE, "sculpt", 40 * S, 50 * S)
        p.edit("five rows", *map(Put, (*comments, event, phase)))
        yield p


@pytest.fixture
def leaf(presenter: ReviewPresenter, qtbot: QtBot) -> RowList:
    make_application("dark")
    made = RowList(presenter)
    qtbot.addWidget(made)
    made.resize(372, 400)
    made.show()
    qtbot.waitExposed(made)
    return made


def line(leaf: RowList, place: int) -> tuple[QImage, QRect]:
    """A picture of the list, and where a row's words lie in it."""
    image = leaf.rows.viewport().grab().toImage()
    return image, leaf.rows.visualRect(leaf.model.index(place, WHAT))


def has_colour(image: QImage, room: QRect, name: str) -> bool:
    return any(
        image.pixelColor(x, y).name() == name
        for x in range(room.left(), room.right())
        for y in range(room.top(), room.bottom())
    )


@pytest.mark.parametrize(
    ("place", "colour"),
    [(0, DARK.commend), (1, DARK.correct), (2, DARK.neutral), (3, DARK.correct)],
)
def test_signs_have_the_colour_of_their_leaning(leaf: RowList, place: int, colour: str) -> None:
    image, room = line(leaf, place)
    assert has_colour(image, QRect(room.left(), room.top(), 18, room.height()), colour)


def test_a_comment_takes_the_width_where_nothing_stands_at_the_end(leaf: RowList) -> None:
    image, room = line(leaf, 0)
    end = QRect(room.right() - 40, room.top(), 40, room.height())
    assert has_colour(image, end, DARK.text)
    image, room = line(leaf, 3)
    end = QRect(room.right() - 40, room.top(), 40, room.height())
    assert not has_colour(image, end, DARK.text)
    assert has_colour(image, end, DARK.quiet)  # its weight


def test_pointed_at_a_comment_is_shown_whole_and_as_text(
    leaf: RowList, presenter: ReviewPresenter
) -> None:
    index = leaf.model.index(0, WHAT)
    assert leaf.model.data(index, ROLE.ToolTipRole) == f"<qt>{LONG}</qt>"
    odd = Comment(RowId(new_id()), presenter.session.id, "a <b>bold</b> claim\nand more", 60 * S)
    presenter.edit("odd", Put(odd))
    leaf.refresh()
    index = leaf.model.index(5, WHAT)
    shown = leaf.model.data(index, ROLE.ToolTipRole)
    assert shown == "<qt>a &lt;b&gt;bold&lt;/b&gt; claim<br>and more</qt>"


def test_a_line_is_said_with_its_leaning_in_words(leaf: RowList) -> None:
    said = [leaf.model.data(leaf.model.index(n, WHAT), ROLE.AccessibleTextRole) for n in range(5)]
    assert [("to commend" in words, "to correct" in words) for words in said] == [  # type: ignore[operator]
        (True, False), (False, True), (False, False), (False, True), (False, False),
    ]  # fmt: skip
    assert str(said[3]).endswith("to correct, weight 2")
    assert str(said[4]) == "0:40.0, Sculpting, 10.0 s"
