"""A large small picture under the pointer: what lies at that place of the case, in words too."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget

from annotate.clock import US_PER_S, format_time
from annotate.tags import TagKind
from app.review.case_pictures import CasePictures
from app.review.presenter import ReviewPresenter

_WIDTH_PX = 240
_ABOVE_PX = 6
_SAME_US = 50_000
"""A picture this close to the pointer's time is taken to be of it."""


class HoverCard(QFrame):
    """Lies over the picture's lower edge while the pointer is on the timeline."""

    def __init__(self, presenter: ReviewPresenter, pictures: CasePictures, parent: QWidget) -> None:
        super().__init__(parent)
        self._screen = parent
        self._presenter, self._pictures = presenter, pictures
        self.shown_key: tuple[str, int] | None = None
        self.setObjectName("hover-card")
        self.setProperty("panel", True)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setAutoFillBackground(True)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAccessibleName("What lies under the pointer")
        self.picture = QLabel()
        self.picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.picture.setFixedWidth(_WIDTH_PX)
        self.where = QLabel()
        self.phase = QLabel()
        self.phase.setWordWrap(True)
        self.of = QLabel()
        self.of.setProperty("quiet", True)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.setSpacing(2)
        for label in (self.picture, self.where, self.phase, self.of):
            label.setTextFormat(Qt.TextFormat.PlainText)
            column.addWidget(label)
        self.hide()

    def show_at(self, time_us: int, number: int | None, spot: QPoint) -> None:
        """Show what lies at a case time, over a point of the parent.

        Parameters
        ----------
        number : int or None
            Of the frame shown then; None while it is not known.
        """
        self._show_picture(time_us)
        frame = "" if number is None else f"   frame {number}"
        self.where.setText(f"{format_time(time_us)}{frame}")
        self.phase.setText(self._phase_at(time_us))
        self.setAccessibleDescription(f"{self.where.text()}, {self.phase.text()}")
        self.adjustSize()
        room = self._screen.width() - self.width() - 4
        x = max(4, min(spot.x() - self.width() // 2, room))
        self.move(x, max(spot.y() - self.height() - _ABOVE_PX, 0))
        self.show()
        self.raise_()

    def _show_picture(self, time_us: int) -> None:
        found = self._pictures.nearest(time_us)
        if found is None:
            self.shown_key = None
            is_gap = self._pictures.is_in_gap(time_us)
            self.picture.setPixmap(QPixmap())
            self.picture.setText("Nothing was recorded here" if is_gap else "No small picture yet")
            self.picture.setFixedHeight(max(round(_WIDTH_PX / self._pictures.aspect), 20))
            self.of.hide()
            return
        if found.key != self.shown_key:
            self.shown_key = found.key
            pixmap = QPixmap()
            pixmap.loadFromData(found.content)
            self.picture.setPixmap(pixmap)
            self.picture.setFixedHeight(max(pixmap.height(), 20))
        away_us = found.time_us - time_us
        self.of.setVisible(abs(away_us) > _SAME_US)
        side = "later" if away_us > 0 else "earlier"
        self.of.setText(f"The picture is from {abs(away_us) / US_PER_S:.1f} s {side}")

    def _phase_at(self, time_us: int) -> str:
        presenter = self._presenter
        codes = [
            tag.code
            for tag in presenter.shown_markup().tags
            if tag.kind is TagKind.PHASE
            and tag.start_us <= time_us < (tag.end_us or presenter.length_us)
        ]
        return ", ".join(presenter.vocabulary.label(code) for code in codes) or "No phase"
