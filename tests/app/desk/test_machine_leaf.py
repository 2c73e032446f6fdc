"""Machine values in a real window, by keys alone."""

from __future__ import annotations

from pathlib import Path

import pytest
from desk_driving import CONTROL, press, view_of
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from annotate.tags import Leaning
from app.desk.window import DeskWindow
from app.review.dismissed_offers import DismissedOffers
from app.review.machine_leaf import MachineLeaf
from app.strip.caution_sign import HIGH_PX, WIDE_PX
from app.strip.shapes import Box
from app.vocabulary.view import VocabularyDialog

S = 1_000_000


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.review.dismissed_offers.data_folder", lambda: tmp_path)


def leaf_of(desk: DeskWindow) -> MachineLeaf:
    return view_of(desk).side.machine


def go(desk: DeskWindow, qtbot: QtBot, number: int) -> None:
    view = view_of(desk)
    view.go_to_number(number)
    qtbot.waitUntil(lambda: view.picture.shown_number == number, timeout=20_000)


def type_values(desk: DeskWindow, *values: str) -> None:
    """Type into the fields one after another, from the mode on."""
    for value in values:
        field = desk.focusWidget()
        assert field is not None
        field.selectAll()  # type: ignore[attr-defined]
        QTest.keyClicks(field, value)
        QTest.keyClick(field, Qt.Key.Key_Down)


def noted(desk: DeskWindow) -> list[tuple[str, float | None, float | None]]:
    rows = view_of(desk).presenter.markup.settings
    return [(row.mode, row.vacuum_mmhg, row.power_percent) for row in rows]


@pytest.fixture
def sculpting(reviewing: DeskWindow, qtbot: QtBot) -> DeskWindow:
    """Sculpting from frame 30 on, values beyond its limits from frame 60 to 90."""
    go(reviewing, qtbot, 30)
    words = view_of(reviewing).presenter.vocabulary
    QTest.keyClicks(
        reviewing.focusWidget() or reviewing,
        next(t.key for t in words.phases if t.code == "sculpt"),
    )
    go(reviewing, qtbot, 60)
    press(reviewing, Qt.Key.Key_M, CONTROL)
    type_values(reviewing, "sculpt", "180", "25", "40,5")
    press(reviewing, Qt.Key.Key_Return)
    go(reviewing, qtbot, 90)
    qtbot.waitUntil(lambda: leaf_of(reviewing).offers.count() == 1)
    return reviewing


def test_values_are_typed_and_kept_by_keys_and_the_keys_come_back(
    sculpting: DeskWindow, qtbot: QtBot
) -> None:
    assert noted(sculpting) == [("sculpt", 180, 40.5)]
    view = view_of(sculpting)
    assert sculpting.focusWidget() is view.picture
    assert view.presenter.markup.settings[0].start_us == view.player.feed.time_of(60)  # type: ignore[union-attr]
    press(sculpting, Qt.Key.Key_M, CONTROL)
    assert leaf_of(sculpting).fields.by_name["vacuum_mmhg"].text() == "180"
    type_values(sculpting, "quadrants", "350")
    press(sculpting, Qt.Key.Key_Return)
    assert noted(sculpting) == [("sculpt", 180, 40.5), ("quadrants", 350, 40.5)]
    first, second = view.presenter.markup.settings
    assert first.end_us == second.start_us
    press(sculpting, Qt.Key.Key_Z, CONTROL)
    assert noted(sculpting) == [("sculpt", 180, 40.5)]


def test_escape_leaves_what_was_kept_and_a_slip_stays_in_its_field(sculpting: DeskWindow) -> None:
    press(sculpting, Qt.Key.Key_M, CONTROL)
    type_values(sculpting, "chop", "abc")
    press(sculpting, Qt.Key.Key_Return)
    assert sculpting.focusWidget() is leaf_of(sculpting).fields.by_name["vacuum_mmhg"]
    assert noted(sculpting) == [("sculpt", 180, 40.5)]
    type_values(sculpting, "5000")
    press(sculpting, Qt.Key.Key_Return)
    assert noted(sculpting) == [("sculpt", 180, 40.5)]
    press(sculpting, Qt.Key.Key_Escape)
    assert sculpting.focusWidget() is view_of(sculpting).picture
    assert leaf_of(sculpting).fields.mode.text() == "sculpt"


def test_a_limit_passed_is_taken_with_a_key_or_put_aside(sculpting: DeskWindow) -> None:
    view, leaf = view_of(sculpting), leaf_of(sculpting)
    assert leaf.offers.count() == 1
    assert view.presenter.markup.comments == ()
    press(sculpting, Qt.Key.Key_F7)
    assert sculpting.focusWidget() is leaf.offers
    press(sculpting, Qt.Key.Key_Return)
    (comment,) = view.presenter.markup.comments
    assert comment.leaning is Leaning.CORRECT
    assert "Vacuum 180 mmHg, where at most 100 mmHg is usual in sculpting" in comment.text
    assert not leaf.offers.isVisible()
    view.presenter.undo()
    assert leaf.offers.count() == 1
    leaf.take_keys()
    press(sculpting, Qt.Key.Key_Delete)
    assert leaf.offers.count() == 0
    assert DismissedOffers().of(view.presenter.session.id)
    assert view.presenter.markup.comments == ()


def test_the_lane_marks_it_until_it_is_put_aside(sculpting: DeskWindow) -> None:
    view, leaf = view_of(sculpting), leaf_of(sculpting)
    lane = next(lane for lane in view.timeline.lanes.known if lane.id == "settings")
    assert lane.shapes is not None

    def signs() -> int:
        from app.look.theme import current_palette
        from app.strip.layout import StripFrame

        frame = StripFrame(900.0, 30.0, margin=0.0, end_us=view.presenter.length_us)
        assert lane.shapes is not None
        shapes = lane.shapes(view.presenter.shown_markup(), frame, current_palette())
        boxes = [shape for shape in shapes if isinstance(shape, Box)]
        return sum((box.width, box.height) == (WIDE_PX, HIGH_PX) for box in boxes)

    assert signs() == 1
    (breach,) = leaf.values.offered()
    leaf.values.offers.put_aside(breach)
    assert signs() == 0


def test_pointing_at_the_lane_tells_each_value_by_name_and_the_limit_passed(
    sculpting: DeskWindow,
) -> None:
    view = view_of(sculpting)
    timeline, (row,) = view.timeline, view.presenter.markup.settings
    place = timeline.lanes_area().place_of("settings")
    assert place is not None
    words = timeline.words_at(QPointF(timeline.x_of(row.start_us) + 4, place.center().y()))
    values, _, passed = words.splitlines()
    assert values == "sculpt, vacuum 180 mmHg, flow 25 cc/min, power 40.5 %"
    assert passed.startswith("Vacuum 180 mmHg, where at most 100 mmHg is usual in sculpting")


def test_the_list_goes_to_values_changes_and_removes_them(
    sculpting: DeskWindow, qtbot: QtBot
) -> None:
    view, leaf = view_of(sculpting), leaf_of(sculpting)
    leaf.spans.setFocus()
    press(sculpting, Qt.Key.Key_Down)
    press(sculpting, Qt.Key.Key_Up)
    leaf.spans.setCurrentRow(0)
    press(sculpting, Qt.Key.Key_Return)
    assert sculpting.focusWidget() is leaf.fields.mode
    type_values(sculpting, "sculpt", "90")
    press(sculpting, Qt.Key.Key_Return)
    assert noted(sculpting) == [("sculpt", 90, 40.5)]
    assert leaf.offers.count() == 0
    leaf.spans.setFocus()
    leaf.spans.setCurrentRow(0)
    press(sculpting, Qt.Key.Key_Delete)
    assert noted(sculpting) == []
    words = view.presenter.undo_words
    assert words is not None
    assert words.startswith("Machine values 'sculpt' removed at")


def test_totals_have_formula_machine_and_caution(sculpting: DeskWindow) -> None:
    leaf = leaf_of(sculpting)
    text = leaf.totals.text()
    for piece in (
        "Machine not named", "effective phaco time", "0.4", "duty cycle",
        "Your machine's own display counts.", "Randleman 2007", "Never compared between machines.",
    ):  # fmt: skip
        assert piece in text or piece.replace("'", "&#x27;") in text
    assert "the duty cycle is applied once, to the time" in leaf.totals.toolTip()
    assert "memory" not in text + leaf.totals.toolTip()


def test_the_limits_are_said_to_be_custom_and_a_button_opens_where_they_are_changed(
    sculpting: DeskWindow,
) -> None:
    pane = leaf_of(sculpting).offered
    whose = "Common practice for peristaltic pumps, no source; yours may differ."
    assert pane.whose.text() == whose
    QTest.mouseClick(pane.change, Qt.MouseButton.LeftButton)
    dialog = QApplication.activeModalWidget() or sculpting.findChild(VocabularyDialog)
    assert isinstance(dialog, VocabularyDialog)
    dialog.reject()


def test_leaving_ends_running_values_where_one_has_got_to(sculpting: DeskWindow) -> None:
    view = view_of(sculpting)
    presenter = view.presenter
    reached_us = presenter.until_us
    assert presenter.markup.settings[0].end_us == presenter.length_us
    sculpting.show_caseload()
    (row,) = sculpting.store.markup(presenter.session.id).settings
    assert row.end_us == reached_us


def test_files_go_in_and_out(sculpting: DeskWindow, tmp_path: Path) -> None:
    path = tmp_path / "v.csv"
    path.write_text("start,end,mode,vacuum_mmhg\n0,0.5,incision,0\n", encoding="utf-8")
    sculpting.machine_files.read(path)
    assert [mode for mode, _, _ in noted(sculpting)] == ["incision", "sculpt"]
    sculpting.machine_files.write(tmp_path / "out.csv")
    assert (tmp_path / "out.csv").read_text(encoding="utf-8").count("\n") == 3
    path.write_text("start,end,vacuum_mmhg\n0,1,5000\n", encoding="utf-8")
    sculpting.machine_files.read(path)
    assert len(noted(sculpting)) == 2


def test_every_control_of_the_leaf_has_a_name(sculpting: DeskWindow) -> None:
    leaf = leaf_of(sculpting)
    for widget in leaf.findChildren(QWidget):
        if widget.focusPolicy() != Qt.FocusPolicy.NoFocus and widget.objectName()[:3] != "qt_":
            assert widget.accessibleName() or getattr(widget, "text", str)(), widget


def test_edges_of_chosen_values_move_with_the_keys_of_tags(
    sculpting: DeskWindow, qtbot: QtBot
) -> None:
    view = view_of(sculpting)
    presenter = view.presenter
    presenter.choose(presenter.markup.settings[0].id)
    press(sculpting, Qt.Key.Key_Right, CONTROL)
    assert presenter.markup.settings[0].end_us == presenter.playhead_us
    press(sculpting, Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
    feed = view.player.feed
    assert feed is not None
    assert presenter.markup.settings[0].start_us == feed.time_of(59)
    press(sculpting, Qt.Key.Key_Delete)
    assert presenter.markup.settings == ()
    go(sculpting, qtbot, 70)
