"""Whose review is on the screen, and whose else there is."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPaintEvent, QStandardItemModel
from PySide6.QtWidgets import QComboBox, QStyle, QStyleOptionComboBox, QStylePainter, QWidget

from app.review.presenter import ReviewPresenter
from app.review.sessions_here import choices

_TIP = "Whose review is shown; only your own draft takes your tags"
_MARGIN_PX = 4
_VEILED = "◒ "
_VEILED_TIP = "◒: you keep this review to yourself until both are signed (menu Case)"


class SessionChoice(QComboBox):
    """The reviews of this case by reviewer and edition, and oneself.

    Signals
    -------
    wished
        Id of a session, or the code of who sits at the desk where they have none yet.
    """

    wished = Signal(str)

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(12)
        self.setAccessibleName("Whose review is shown")
        self.activated.connect(self._choose)
        self.look_again()

    def look_again(self) -> None:
        """List the reviews that there are now; the one that is shown comes first."""
        is_veiled = self._presenter.session.is_veiled and self._presenter.is_mine
        self.clear()
        for place, choice in enumerate(choices(self._presenter)):
            sign = _VEILED if is_veiled and not place else ""
            self.addItem(sign + choice.words, choice.key)
            if not choice.key:
                self._refuse(place)
        self.setCurrentIndex(0)
        widest = max(
            self.fontMetrics().horizontalAdvance(self.itemText(i)) for i in range(self.count())
        )
        self.view().setMinimumWidth(widest + 32)
        tip = _VEILED_TIP if is_veiled else _TIP
        code = self._presenter.session.reviewer.code
        self.setToolTip(f"Review by {code}. {self.itemText(0)}\n{tip}")
        self.setAccessibleDescription(self.itemText(0))

    def paintEvent(self, event: QPaintEvent) -> None:
        """What there is no room for ends in dots; the tooltip has all of it."""
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        field = self.style().subControlRect(
            QStyle.ComplexControl.CC_ComboBox,
            option,
            QStyle.SubControl.SC_ComboBoxEditField,
            self,
        )
        room = field.width() - _MARGIN_PX
        option.currentText = self.fontMetrics().elidedText(
            option.currentText, Qt.TextElideMode.ElideRight, room
        )
        painter = QStylePainter(self)
        try:
            painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
            painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)
        finally:
            painter.end()

    def _refuse(self, place: int) -> None:
        model = self.model()
        assert isinstance(model, QStandardItemModel)
        model.item(place).setEnabled(False)

    def _choose(self, place: int) -> None:
        key = self.itemData(place)
        if key and place:
            self.wished.emit(key)
