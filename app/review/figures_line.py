"""The figures beside the clip, in two lines that follow every tag."""

from __future__ import annotations

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QWidget

from annotate.clock import short_time
from annotate.vocabulary import Vocabulary
from app.review.presenter import ReviewPresenter
from metrics.figures import SessionFigures


def figures_words(figures: SessionFigures, vocabulary: Vocabulary) -> str:
    """Say the session's figures in short."""
    if not figures.phases:
        return "Tag a phase, and its time and the idle time stand here."
    idle = figures.idle
    parts = [
        f"Observed {short_time(figures.observed_us)}, "
        f"idle {short_time(idle.total_us)} ({idle.share * 100:.0f}\N{NO-BREAK SPACE}%)"
    ]
    if idle.longest_at_us is not None:
        parts.append(
            f"longest pause {idle.longest_us / 1e6:.1f} s at {short_time(idle.longest_at_us)}"
        )
    if figures.operator_only is not None:
        parts.append(f"operator alone {short_time(figures.operator_only.observed_us)}")
    n = figures.events.total
    leanings = figures.events.by_leaning
    commend, correct = leanings.get("commend", 0), leanings.get("correct", 0)
    parts.append(f"{n} event{'' if n == 1 else 's'}: {commend} to commend, {correct} to correct")
    if figures.conflicts:
        first = figures.conflicts[0]
        parts.append(
            f"{vocabulary.label(first.first)} and {vocabulary.label(first.second)} overlap "
            f"at {short_time(first.start_us)}"
        )
    return "; ".join(parts) + "."


class FiguresLine(QLabel):
    """Words that follow the tags."""

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self.setWordWrap(True)
        self.setAccessibleName("Figures")
        self.show_figures(presenter.figures())

    def hasHeightForWidth(self) -> bool:
        return False  # else the column around it scrolls before it has to

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._take_lines()

    def _take_lines(self) -> None:
        """As many lines as it has, and no less than two: what is below keeps the rest."""
        least = self.fontMetrics().lineSpacing() * 2 + 2
        needed = self.heightForWidth(self.width()) if self.width() else 0
        self.setFixedHeight(max(least, needed))

    def show_figures(self, figures: SessionFigures) -> None:
        """Say these."""
        self.setText(figures_words(figures, self._presenter.vocabulary))
        self._take_lines()
