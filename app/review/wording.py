"""What was done, in words: for the history, the undo menu and the line at the foot."""

from __future__ import annotations

from annotate.clock import US_PER_S
from annotate.marks import Mark, Setting
from annotate.markup import Row
from annotate.tags import Comment, Tag, TagKind
from annotate.vocabulary import Vocabulary

_LONGEST_QUOTE = 24


def tenths(time_us: int) -> str:
    """A time as M:SS.t, cut to the tenth."""
    minutes, rest_us = divmod(time_us, 60 * US_PER_S)
    return f"{minutes}:{rest_us // US_PER_S:02d}.{rest_us % US_PER_S // 100_000}"


def row_words(row: Row, vocabulary: Vocabulary) -> str:
    """Name a tag, a comment, a mark or machine values."""
    if isinstance(row, Setting):
        return f"machine values '{row.mode}'" if row.mode else "machine values"
    if isinstance(row, Mark):
        return f"{row.kind.value} '{_quoted(row.text)}'" if row.text else row.kind.value
    if isinstance(row, Comment):
        return f"comment '{_quoted(row.text)}'"
    if not isinstance(row, Tag):
        raise TypeError(f"the review desk has no words for {type(row).__name__}")
    if row.kind is TagKind.HAND_OVER:
        return "Hand-over"
    return vocabulary.label(row.code)


def _quoted(text: str) -> str:
    words = " ".join(text.split())
    return f"{words[: _LONGEST_QUOTE - 1]}…" if len(words) > _LONGEST_QUOTE else words


def deed_words(deed: str, row: Row, at_us: int, vocabulary: Vocabulary) -> str:
    """Say what was done to a row, and where: 'Sculpting', 'begun at', 0:55.2."""
    words = row_words(row, vocabulary)
    return f"{words[0].upper()}{words[1:]} {deed} {tenths(at_us)}"
