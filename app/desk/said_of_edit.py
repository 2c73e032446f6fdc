"""What was said of an edit stands until the next one."""

from __future__ import annotations

from annotate.markup import Markup
from app.desk.message_bar import MessageBar


class SaidOfEdit:
    """Says why an edit was refused, or what was taken back, in the line at the foot."""

    def __init__(self, bar: MessageBar) -> None:
        self._bar = bar
        self._sentence = ""
        self._markup: Markup | None = None

    def say(self, sentence: str) -> None:
        """Say it."""
        self._sentence = sentence
        self._bar.say_trouble(sentence)

    def follow(self, markup: Markup) -> None:
        """Take it back once the review says something else; a running span only grows."""
        if markup is self._markup:
            return
        self._markup = markup
        if self._sentence and self._bar.words == self._sentence:
            self._bar.hide_words()
        self._sentence = ""
