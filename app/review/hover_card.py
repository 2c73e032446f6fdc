"""A large small picture under the pointer: what lies at that place of the case, in words too."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QImage, QPixmap
from PySide6.QtWidgets import QFrame, QLabel, QLayout, QVBoxLayout, QWidget

from annotate.clock import US_PER_S, format_time
from annotate.tags import TagKind
from app.review.case_looks import AS_FILMED, CaseLook
from app.review.case_pictures import CasePictures, SmallPicture
from app.review.presenter import ReviewPresenter
from app.review.small_look import as_looked_at, aspect_seen

_MOST_PX = 240
_LEAST_PX = 72
_OF_PANE = 0.32
"""At most this part of the pane's width and height is the picture's."""
_EDGE_PX = 6


@dataclass(frozen=True, slots=True)
class Under:
    """What is under the pointer.

    Attributes
    ----------
    time_us : int
        Case time there.
    frame : tuple of (int, int) or None
        Number and own time of the frame shown then; None while that is not known.
    words : str
        What is tagged or said just there, if anything.
    """

    time_us: int
    frame: tuple[int, int] | None = None
    words: str = ""

    @property
    def shown_us(self) -> int:
        """The time of the frame that would be shown."""
        return self.time_us if self.frame is None else self.frame[1]


class HoverCard(QFrame):
    """Lies on the lower edge of the picture's pane while the pointer is on the timeline."""

    def __init__(self, presenter: ReviewPresenter, pictures: CasePictures, parent: QWidget) -> None:
        super().__init__(parent)
        self._presenter, self._pictures = presenter, pictures
        self._look = AS_FILMED
        self._shown: tuple[object, ...] = ()
        self._last: tuple[Under, int, QRect] | None = None
        self.shown_key: tuple[str, int] | None = None
        self.setObjectName("hover-card")
        self.setProperty("panel", True)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setAutoFillBackground(True)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAccessibleName("What lies under the pointer")
        self.picture = QLabel()
        self.picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.picture.setWordWrap(True)
        self.where, self.phase, self.about, self.of = QLabel(), QLabel(), QLabel(), QLabel()
        self.of.setProperty("quiet", True)
        self._column = column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.setSpacing(2)
        column.setSizeConstraint(QLayout.SizeConstraint.SetFixedSize)
        for label in (self.picture, self.where, self.phase, self.about, self.of):
            label.setTextFormat(Qt.TextFormat.PlainText)
            column.addWidget(label)
        column.setAlignment(self.picture, Qt.AlignmentFlag.AlignHCenter)
        self.hide()

    def show_look(self, look: CaseLook) -> None:
        """Show the picture turned, mirrored and toned so."""
        self._look = look
        if self._last is not None and self.isVisible():
            self.show_at(*self._last)

    def show_at(self, under: Under, x: int, pane: QRect) -> None:
        """Show what is under the pointer.

        Parameters
        ----------
        x : int
            The pointer's place across the parent.
        pane : QRect
            Of the parent, where the picture is; the card lies wholly within it.
        """
        self._last = (under, x, pane)
        self._show_picture(under, pane)
        frame = "" if under.frame is None else f"   frame {under.frame[0]}"
        self.where.setText(f"{format_time(under.shown_us)}{frame}")
        self.phase.setText(self._phase_at(under.time_us))
        words = [line for line in under.words.splitlines() if line != self.phase.text()]
        width_px = max(pane.width() - 4 * _EDGE_PX, 1)
        for label, text in ((self.phase, self.phase.text()), (self.about, "\n".join(words))):
            _fit_words(label, text, min(width_px, _MOST_PX))
        self.about.setVisible(bool(words))
        told = (self.where, self.phase, self.about, self.of)
        said = [label.text() for label in told if not label.isHidden()]
        self.setAccessibleDescription(", ".join(said))
        self._column.activate()
        room = pane.right() - self.width() - _EDGE_PX
        left = max(pane.left() + _EDGE_PX, min(x - self.width() // 2, room))
        self.move(left, max(pane.bottom() - self.height() - _EDGE_PX, pane.top()))
        self.show()
        self.raise_()

    def _show_picture(self, under: Under, pane: QRect) -> None:
        aspect = aspect_seen(self._pictures.aspect, self._look)
        width, height = _picture_size(aspect, pane)
        found = self._pictures.nearest(under.time_us)
        if found is None:
            self.shown_key, self._shown = None, ()
            is_gap = self._pictures.is_in_gap(under.time_us)
            self.picture.setPixmap(QPixmap())
            self.picture.setText("Nothing was recorded here" if is_gap else "No small picture yet")
            self.picture.setFixedSize(max(width, 2 * _LEAST_PX), max(height, 20))
            self.of.hide()
            return
        self._paint(found, width, height)
        away_us = found.time_us - under.shown_us
        self.of.setVisible(bool(away_us))
        side = "later" if away_us > 0 else "earlier"
        self.of.setText(f"The picture is from {_seconds(abs(away_us))} {side}")

    def _paint(self, found: SmallPicture, width: int, height: int) -> None:
        ratio = self.devicePixelRatioF()
        wanted = (found.key, self._look, width, height, ratio)
        if wanted == self._shown:
            return
        self._shown, self.shown_key = wanted, found.key
        seen = as_looked_at(QImage.fromData(found.content), self._look)
        shown = seen.scaled(
            round(width * ratio),
            round(height * ratio),
            Qt.AspectRatioMode.KeepAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )
        shown.setDevicePixelRatio(ratio)
        self.picture.setPixmap(QPixmap.fromImage(shown))
        self.picture.setFixedSize(width, height)

    def _phase_at(self, time_us: int) -> str:
        presenter = self._presenter
        codes = [
            tag.code
            for tag in presenter.shown_markup().tags
            if tag.kind is TagKind.PHASE
            and tag.start_us <= time_us < (tag.end_us or presenter.length_us)
        ]
        return ", ".join(presenter.vocabulary.label(code) for code in codes) or "No phase"


def _picture_size(aspect: float, pane: QRect) -> tuple[int, int]:
    """As large as the small pictures are, and no more than its part of the pane."""
    high = max(pane.height() * _OF_PANE, _LEAST_PX / max(aspect, 1.0))
    width = min(_MOST_PX, pane.width() * _OF_PANE, high * aspect, _MOST_PX * aspect)
    return max(round(width), 1), max(round(width / aspect), 1)


def _fit_words(label: QLabel, text: str, width_px: int) -> None:
    """Break lines only where they are too long for the card."""
    metrics = label.fontMetrics()
    needs = max((metrics.horizontalAdvance(line) for line in text.splitlines()), default=0)
    label.setWordWrap(needs > width_px)
    label.setText(text)
    label.setMinimumWidth(width_px if needs > width_px else 0)
    label.setMaximumWidth(max(width_px, 1))


def _seconds(time_us: int) -> str:
    """How long, so fine that it is never nothing."""
    if time_us < US_PER_S:
        return f"{max(time_us / 1000, 1):.0f} ms"
    return f"{time_us / US_PER_S:.1f} s"
