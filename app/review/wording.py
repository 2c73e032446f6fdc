"""What was done, in words: for the history, the undo menu and the line at the foot."""

from __future__ import annotations

from annotate.clock import US_PER_S
from annotate.tags import Comment, Tag, TagKind
from annotate.vocabulary import Vocabulary

_LONGEST_QUOTE = 24


def tenths(time_us: int) -> str:
    """A time as M:SS.t, cut to the tenth."""
    minutes, rest_us = divmod(time_us, 60 * US_PER_S)
    return f"{minutes}:{rest_us // US_PER_S:02d}.{rest_us % US_PER_S // 100_000}"


def row_words(row: Tag | Comment, vocabulary: Vocabulary) -> str:
    """Name a tag or a comment."""
    if isinstance(row, Comment):
        text = " ".join(row.text.split())
        is_long = len(text) > _LONGEST_QUOTE
        return f"comment '{text[: _LONGEST_QUOTE - 1]}…'" if is_long else f"comment '{text}'"
    if row.kind is TagKind.HAND_OVER:
        return "Hand-over"
    return vocabulary.label(row.code)


def deed_words(deed: str, row: Tag | Comment, at_us: int, vocabulary: Vocabulary) -> str:
    """Say what was done to a row, and where: 'Sculpting', 'begun at', 0:55.2."""
    words = row_words(row, vocabulary)
    return f"{words[0].upper()}{words[1:]} {deed} {tenths(at_us)}"
