"""What the desk asks about a review: whether to sign, where to go, who reviews."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from annotate.clock import format_time
from annotate.people import check_code
from app.desk.ask import LineDialog, ask_which
from app.desk.signing import may_sign, signed_words, signing_more, signing_words
from app.review.typed_place import HOW
from app.settings import Settings

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

_ME = "Who reviews"
_CODE_HINT = "A code, never a name; your reviews are filed under it."


class Questions:
    """Asks in the desk's window."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def ask_sign(self, then: Callable[[], object] | None = None) -> None:
        """Ask before signing, because it can't be undone; do `then` once it is signed."""
        review = self._window.review
        if review is None or not may_sign(review.presenter):
            return
        review.keeping_watched.flush()
        ask_which(
            self._window,
            signing_words(review.presenter),
            [("Sign", lambda: self._sign(then))],
            more=signing_more(review.presenter),
            is_leaving_default=True,
        )

    def _sign(self, then: Callable[[], object] | None) -> None:
        """Sign, and say what was signed."""
        review = self._window.review
        if review is None:
            return
        review.keeping_watched.flush()
        if review.presenter.sign():
            review.sessions.look_again()
            self._window.message_bar.say(signed_words(review.presenter))
            if then is not None:
                then()

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
