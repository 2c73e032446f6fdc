"""What Review says and offers where a case has no picture to show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

if TYPE_CHECKING:
    from app.review.presenter import ReviewPresenter
    from app.review.view import ReviewView

NO_CLIP = "This case is known by its tags alone."
_TAGGED = "The timeline and the figures are made of what is tagged. Ctrl+J types another tag."
_EMPTY = (
    "Nothing is tagged yet. Ctrl+J types a tag with its times;\n"
    '"Read tags from a file", in the menu "Case", brings many at once.'
)
_EMPTY_TO_READ = "Nothing is tagged in this review."


def no_clip_words(presenter: ReviewPresenter) -> str:
    """What stands in place of the picture, as true as the review is full."""
    if presenter.markup.tags:
        return f"{NO_CLIP}\n{_TAGGED if presenter.can_edit else ''}".strip()
    return f"{NO_CLIP}\n{_EMPTY if presenter.can_edit else _EMPTY_TO_READ}"


class NoClip(QObject):
    """Follows the review with words in place of the picture, and takes back what needs one.

    Parameters
    ----------
    sentence : str
        Stands in place of the picture whatever is tagged; empty for words of its own.
    """

    def __init__(self, view: ReviewView, sentence: str = "") -> None:
        super().__init__(view)
        self._view, self._sentence = view, sentence
        view.side.draw.show_no_picture()
        view.comment_box.show_no_clip()
        view.presenter.markup_changed.listen(self.say)
        self.say()

    def say(self) -> None:
        """Say it anew."""
        self._view.picture.say(self._sentence or no_clip_words(self._view.presenter))
