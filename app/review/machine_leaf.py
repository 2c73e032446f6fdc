"""The Machine leaf: values at the playhead, their spans, limits passed, and totals."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from annotate.clock import short_time
from annotate.errors import UserFacingError
from annotate.ids import RowId
from annotate.marks import Setting
from annotate.setting_values import value_words
from app.review.keyed_list import KeyedList
from app.review.list_pane import ListPane, hinted_button
from app.review.machine_fields import MachineFields
from app.review.machine_totals import TotalsLabel
from app.review.machine_values import MachineValues
from app.review.offers_pane import OffersPane
from app.review.wording import tenths

EMPTY = (
    "Type what the machine shows, or press Ctrl+M where its values change: they hold from there "
    "on. A table of them is read with Case, Read machine values from a file."
)
NOTHING = "No machine values are noted in this review."
_SPANS_PX = 96
_REST_MS = 400


class MachineLeaf(ListPane):
    """Fields for the values here, the list of spans, offers and totals."""

    def __init__(self, values: MachineValues, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.values = values
        self._presenter = values.presenter
        self._edited: RowId | None = None
        self._begun_us: int | None = None
        self._where = QLabel("")
        self._where.setWordWrap(True)
        self._where.setAccessibleName("Machine values here")
        self.fields = MachineFields()
        self.spans = KeyedList("Spans of machine values")
        self.offered = OffersPane(values)
        self.offers = self.offered.rows
        self.totals = TotalsLabel()
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(_REST_MS)
        self._later.timeout.connect(self.refresh)
        self._lay_out()
        self._connect()
        self.refresh()

    def _lay_out(self) -> None:
        self.new = hinted_button("New here", "New values from this moment (Ctrl+M)")
        self.keep_button = hinted_button("Keep", "Keep what is typed (Return)")
        self.end = hinted_button("End here", "These values hold up to this moment")
        self.remove = hinted_button("Remove", "Remove these values (Delete in the list)")
        column = self.column
        column.setSpacing(5)
        column.addWidget(self._where)
        column.addWidget(self.fields)
        column.addLayout(_row(self.new, self.keep_button, self.end, self.remove))
        self.spans.setMinimumHeight(_SPANS_PX)
        column.addWidget(self.spans, 1)
        column.addWidget(self.offered)
        column.addWidget(self.totals)
        column.addStretch(0)

    def _connect(self) -> None:
        presenter = self._presenter
        presenter.playhead_moved.listen(self._follow)
        presenter.chosen_changed.listen(self._show_chosen)
        presenter.markup_changed.listen(self.refresh)
        self.values.changed.listen(self.refresh)
        self.fields.edited.connect(self._begin_typing)
        self.fields.kept.connect(self.keep)
        self.fields.left.connect(self.give_up)
        self.new.clicked.connect(self.begin)
        self.keep_button.clicked.connect(self.keep)
        self.end.clicked.connect(self.end_here)
        self.remove.clicked.connect(self._remove_here)
        self.follow(self.spans, self._go, self._edit, self.values.remove)
        self.offered.wished.connect(self.wished)
        self.offered.left.connect(self.left)

    def close_leaf(self) -> None:
        """Listen no more."""
        self._later.stop()
        self._presenter.playhead_moved.forget(self._follow)
        self._presenter.chosen_changed.forget(self._show_chosen)
        self._presenter.markup_changed.forget(self.refresh)
        self.values.changed.forget(self.refresh)
        self.values.close()

    def showEvent(self, event: object) -> None:
        super().showEvent(event)  # type: ignore[arg-type]
        self.refresh()

    # Typing

    def begin(self) -> None:
        """New values from the playhead on, with the last ones to begin with."""
        if self._presenter.is_refused():
            return
        last = self.values.last
        self._edited, self._begun_us = None, self._presenter.playhead_us
        self.fields.show_setting(last)
        self.fields.by_name["energy_s"].clear()  # it is of its own span alone
        self._show_where()
        self.fields.begin()

    def take_keys(self) -> None:
        """Give the keys to what is on offer, else to the spans, else to the fields."""
        if self.offers.count() or self.spans.count():
            held = self.offers if self.offers.count() else self.spans
            held.setFocus(Qt.FocusReason.ShortcutFocusReason)
            held.setCurrentRow(max(held.currentRow(), 0))
        else:
            self.fields.begin()

    def _begin_typing(self) -> None:
        if self._edited is None and self._begun_us is None:
            here = self.values.here
            if here is None:
                self._begun_us = self._presenter.playhead_us
            else:
                self._edited = here.id
            self._show_where()

    def keep(self) -> None:
        """Keep what is typed and give the keys back; nothing typed only gives them back."""
        if self._edited is None and self._begun_us is None:
            self.left.emit()
            return
        try:
            values = self.fields.values()
        except UserFacingError as trouble:
            self._presenter.said.tell(str(trouble))
            return
        if self._edited is not None:
            done = self.values.change(self._edited, values)
        else:
            done = self.values.begin(values, self._begun_us)
        if done:
            self.give_up()

    def give_up(self) -> None:
        """Leave what is kept as it is, and give the keys back."""
        self._edited = self._begun_us = None
        self._follow()
        self.left.emit()

    def end_here(self) -> None:
        """The values at the playhead hold up to it."""
        self.values.end_here()
        self.left.emit()

    def _remove_here(self) -> None:
        target = self.values.here if self._edited is None else self._presenter.any_row(self._edited)
        if isinstance(target, Setting):
            self._edited = None
            self.values.remove(target.id)
        self.left.emit()

    # Going about

    def _go(self, row_id: RowId) -> None:
        row = self._presenter.any_row(row_id)
        if isinstance(row, Setting):
            self._presenter.choose(row_id)
            self.wished.emit(row.start_us)

    def _edit(self, row_id: RowId) -> None:
        row = self._presenter.any_row(row_id)
        if isinstance(row, Setting) and not self._presenter.is_refused():
            self._edited, self._begun_us = row.id, None
            self.fields.show_setting(row)
            self._show_where()
            self.fields.begin()

    # What is shown

    def _follow(self) -> None:
        """Show the values at the playhead, and in a moment what follows from where it is."""
        self._show_fields()
        is_growing = self._presenter.running or self.values.has_running
        if is_growing and self.isVisible() and not self._later.isActive():
            self._later.start()  # spans that run grow, and what follows from them with them

    def _show_fields(self) -> None:
        """Show the values at the playhead, unless somebody types."""
        if self._edited is None and self._begun_us is None and self.isVisible():
            self.fields.show_setting(self.values.here)
            self._show_where()

    def refresh(self) -> None:
        """Show what there is now; while another leaf is open nothing is worked out."""
        if not self.isVisible():
            return
        self._later.stop()
        if self._edited is not None and self._presenter.any_row(self._edited) is None:
            self._edited = None  # it was taken back while it was being changed
        self._show_fields()
        self.spans.show_rows([(_span_line(each), each.id) for each in self.values.shown])
        self.spans.setVisible(bool(self.spans.count()))
        self._show_chosen()
        self.offered.refresh()
        self.totals.show_totals(self.values.totals())
        can_edit = self._presenter.can_edit
        for widget in (self.fields, self.new):
            widget.setEnabled(can_edit)
        self._show_where()

    def _show_where(self) -> None:
        here = self.values.here
        if self._begun_us is not None:
            words = f"<b>New values from {tenths(self._begun_us)}</b>. Return keeps them."
        elif self._edited is not None:
            row = self._presenter.any_row(self._edited)
            at = tenths(row.start_us) if isinstance(row, Setting) else ""
            words = f"<b>Changing the values from {at}</b>. Return keeps, Escape leaves them."
        elif here is None:
            words = self._nothing_here()
        elif self.values.is_running(here):
            words = f"Values here, from {tenths(here.start_us)} on, until new ones begin."
        else:
            words = f"Values here, {tenths(here.start_us)} to {tenths(here.end_us)}."
        self._where.setText(words)
        is_typing = self._edited is not None or self._begun_us is not None
        can_edit = self._presenter.can_edit
        self.keep_button.setEnabled(can_edit and is_typing)
        self.end.setEnabled(can_edit and here is not None and not is_typing)
        self.remove.setEnabled(can_edit and here is not None)

    def _nothing_here(self) -> str:
        if self._presenter.markup.settings:
            return "No values are noted here."
        return EMPTY if self._presenter.can_edit else NOTHING

    def _show_chosen(self) -> None:
        chosen = self._presenter.chosen
        for place in range(self.spans.count()):
            item = self.spans.item(place)
            if item.data(Qt.ItemDataRole.UserRole) == chosen:
                self.spans.setCurrentItem(item)
                self.spans.scrollToItem(item)
                return


def _span_line(setting: Setting) -> str:
    span = f"{short_time(setting.start_us)} to {short_time(setting.end_us)}"
    return f"{span}  {value_words(setting) or 'nothing noted'}"


def _row(*widgets: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(4)
    for widget in widgets:
        row.addWidget(widget, 1)
    return row
