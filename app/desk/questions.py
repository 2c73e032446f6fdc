"""What the desk asks about a review: whether to sign, where to go, who reviews."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from annotate.clock import format_time
from annotate.people import check_code
from app.desk.ask import LineDialog, ask_which
from app.review.presenter import ReviewPresenter
from app.review.typed_place import HOW
from app.settings import Settings

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

_ME = "Who reviews"
_MOST_NAMED = 5
"""Phases that are named where some are missing."""
_CODE_HINT = "A code, never a name; your reviews are filed under it."


class Questions:
    """Asks in the desk's window."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def ask_sign(self) -> None:
        """Ask before signing, because it can't be undone."""
        review = self._window.review
        if review is None or not may_sign(review.presenter):
            return
        ask_which(
            self._window,
            signing_words(review.presenter),
            [("Sign", review.presenter.sign)],
            more="It takes no more edits then, and what was done can no longer be undone.",
            is_leaving_default=True,
        )

    def ask_where(self) -> None:
        """Ask for a time or a frame number to go to."""
        view = self._window.review
        if view is None:
            return

        here = format_time(view.presenter.playhead_us)
        dialog = LineDialog(self._window, "Go to", HOW, here, view.go_to_typed, yes="Go")
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def ask_me(self) -> None:
        """Ask under which code one reviews."""
        mine = self._window.settings.reviewer
        self._ask_code("The code under which you review on this desk", mine, "Leave it")

    def know_me_then(self, deed: Callable[[], object]) -> None:
        """Do `deed`; where nobody has said who reviews here, ask that once before."""
        settings = self._window.settings
        if settings.is_reviewer_asked or settings.reviewer != Settings().reviewer:
            deed()
            return
        self._window.keep_settings(replace(settings, is_reviewer_asked=True))
        dialog = self._ask_code("Under which code do you review?", "", "Later")
        dialog.finished.connect(lambda _answer: deed())

    def _ask_code(self, question: str, text: str, no: str) -> LineDialog:
        window = self._window

        def take(text: str) -> None:
            code = check_code(text, "reviewer")
            window.keep_settings(replace(window.settings, reviewer=code, is_reviewer_asked=True))
            is_late = window.review is not None
            window.message_bar.say(
                f"You review as {code}" + (" from the next case you open." if is_late else ".")
            )

        dialog = LineDialog(
            window,
            _ME,
            f"{question}\n{_CODE_HINT}",
            text,
            take,
            yes="Review under this code",
            no=no,
        )
        dialog.line.setPlaceholderText("such as A-01")
        dialog.open()
        return dialog


def may_sign(presenter: ReviewPresenter) -> bool:
    """Whether whoever sits at the desk can sign this session."""
    return presenter.is_mine and not presenter.is_signed


def signing_words(presenter: ReviewPresenter) -> str:
    """Ask for the signature, with what is there and what is not."""
    n_tags, n_comments = len(presenter.markup.tags), len(presenter.markup.comments)
    held = f"{_counted(n_tags, 'tag')}, {_counted(n_comments, 'comment')}"
    missing = [presenter.vocabulary.label(c) for c in presenter.figures().order.missing]
    if n_tags and missing:
        verb = "is" if len(missing) == 1 else "are"
        held += f"; {_listed(missing)} {verb} not tagged"
    return f"Sign your review of {presenter.case.code}? {held}."


def _counted(n: int, noun: str) -> str:
    return f"{n} {noun}" + ("" if n == 1 else "s")


def _listed(words: list[str]) -> str:
    if len(words) > _MOST_NAMED:
        words = [*words[: _MOST_NAMED - 1], f"{len(words) - _MOST_NAMED + 1} more phases"]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
