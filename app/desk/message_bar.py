"""What is said at the foot of the desk: the last sentence, and how far long work is.

It lies over the foot's own line, and with a second line over what is above that; nothing moves.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget

from app.desk.elided_lines import ElidedLines
from app.desk.long_sentence import WholeSentence, in_short
from app.jobs.background import Background
from app.look.theme import current_palette

SHOWN_MS = 8_000
_WITH_DEEDS_MS = 30_000
"""What offers a deed is given time to reach for it."""
_PATIENCE_S = 0.6
"""Work that is done sooner shows no progress."""
_SLIM = """QPushButton { padding: 0px 8px; } QPushButton:focus { padding: 0px 7px; }
QPushButton:disabled { padding: 0px 8px; }"""
"""A button fits into one line."""
_FOLLOWED = (QEvent.Type.Resize, QEvent.Type.Move, QEvent.Type.Show, QEvent.Type.Hide)

Deed = tuple[str, Callable[[], object]]


class MessageBar(QWidget):
    """Hidden while there is nothing to say; never more than two lines high.

    Good news goes by itself. Trouble stays until it is closed, something else is said, or the
    screen changes.

    Parameters
    ----------
    place : QWidget
        The line over which it lies; where that is hidden, it lies at the upper edge.
    parent : QWidget
        What it lies on, as wide as that.
    """

    def __init__(self, background: Background, place: QWidget, parent: QWidget) -> None:
        super().__init__(parent)
        self._background = background
        self._place, self._on = place, parent
        self.setAutoFillBackground(True)
        self.setStyleSheet(_SLIM)
        self._sentence = ""
        self.line = ElidedLines()
        self.line.elided.connect(self._offer_the_whole)
        self._bar = QProgressBar()
        self._bar.setMaximum(1000)
        self._bar.setFixedWidth(180)
        self._bar.setAccessibleName("Progress")
        self._task = QLabel("")
        self._task.setAccessibleName("What is being done")
        self._left = QLabel("")
        self._left.setProperty("quiet", True)
        self._stop = QPushButton("Stop")
        self._stop.clicked.connect(background.cancel_all)
        self.show_all = QPushButton("Show all")
        self.show_all.clicked.connect(self._show_the_whole)
        self.deeds: list[QPushButton] = []
        self.close_button = QPushButton("Close")
        self.close_button.clicked.connect(self.hide_words)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(12, 2, 12, 1)
        self._row.addWidget(self.line, 1)
        for widget in (self.show_all, self._task, self._left, self._bar, self._stop):
            self._row.addWidget(widget)
        self._row.addWidget(self.close_button)
        place.installEventFilter(self)
        parent.installEventFilter(self)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.hide_words)
        background.progressed.connect(self._show_progress)
        background.idle.connect(self._show_what_there_is)
        self._show_what_there_is()

    @property
    def words(self) -> str:
        """What is said now, at its full length."""
        return self._sentence

    @property
    def is_fading(self) -> bool:
        """Whether what is said goes by itself."""
        return self._timer.isActive()

    def say(self, sentence: str, *, stays: bool = False, deeds: Sequence[Deed] = ()) -> None:
        """Show a sentence in place of the last; one that stays waits to be closed.

        Parameters
        ----------
        deeds : sequence of (str, callable)
            Buttons beside the sentence: words, and what is done.
        """
        self._sentence = sentence
        self._offer(deeds)
        self.line.set_text(in_short(sentence))
        self._offer_the_whole()
        self._show_what_there_is()
        self._timer.stop()
        if not stays:
            self._timer.start(_WITH_DEEDS_MS if deeds else SHOWN_MS)

    def say_trouble(self, sentence: str) -> None:
        """Show what went wrong; it stays."""
        self.say(sentence, stays=True)

    def hide_words(self) -> None:
        """Take the sentence away."""
        self._timer.stop()
        self._sentence = ""
        self._offer(())
        self.line.set_text("")
        self._show_what_there_is()

    def _offer(self, deeds: Sequence[Deed]) -> None:
        for old in self.deeds:
            old.hide()
            old.deleteLater()
        self.deeds = []
        for words, deed in deeds:
            button = QPushButton(words, self)
            button.clicked.connect(deed)
            self._row.insertWidget(self._row.indexOf(self.show_all), button)
            self.deeds.append(button)

    def _offer_the_whole(self) -> None:
        is_cut = self.line.is_elided or in_short(self._sentence) != self._sentence
        self.show_all.setVisible(bool(self._sentence) and is_cut)

    def _show_the_whole(self) -> None:
        WholeSentence(self._sentence, self.window()).open()

    def _show_what_there_is(self) -> None:
        """Show the sentence if one is said, the progress if work runs, and nothing else."""
        work = self._background.current
        is_working = work is not None and work.spent_s >= _PATIENCE_S
        for widget in (self._task, self._bar, self._left, self._stop):
            widget.setVisible(is_working)
        self.close_button.setVisible(bool(self.words))
        self.setVisible(is_working or bool(self.words))
        self._lie()

    def _lie(self) -> None:
        """Take as much height as the words need, up from the foot."""
        whole, place = self._on.rect(), self._place
        self._row.activate()
        height = max(self._row.sizeHint().height(), place.height())
        top = whole.bottom() + 1 - height if place.isVisibleTo(self._on) else 0
        self.setGeometry(0, top, whole.width(), height)
        self.raise_()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setPen(QColor(current_palette().line))
        painter.drawLine(0, 0, self.width(), 0)  # where it ends, if it lies over a screen
        painter.end()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stay where the foot is."""
        if event.type() in _FOLLOWED:
            self._lie()
        return super().eventFilter(watched, event)

    def event(self, event: QEvent) -> bool:
        """Grow and shrink with the words."""
        done = super().event(event)
        if event.type() == QEvent.Type.LayoutRequest:
            self._lie()
        return done

    def _show_progress(self) -> None:
        work = self._background.current
        if work is None or work.spent_s < _PATIENCE_S:
            return
        self._task.setText(shortened(work.title))
        share = work.share
        self._bar.setRange(0, 0 if share is None else 1000)
        if share is not None:
            self._bar.setValue(round(share * 1000))
        left = work.left_s
        self._left.setText(f"{left:.0f} s left" if left is not None else "")
        self._show_what_there_is()


def shortened(title: str, most: int = 48) -> str:
    """A title that leaves room for the rest of the line; a long file name loses its middle."""
    if len(title) <= most:
        return title
    half = (most - 3) // 2
    return f"{title[:half]} ... {title[-half:]}"
