"""What was done, in words: for the history, the undo menu and the line at the foot."""

from __future__ import annotations

from collections.abc import Sequence

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


_NOUNS = {
    TagKind.PHASE: "phases",
    TagKind.EVENT: "events",
    TagKind.IDLE: "idle spans",
    TagKind.HAND_OVER: "hand-overs",
}


def rows_deed_words(deed: str, rows: Sequence[Row], vocabulary: Vocabulary) -> str:
    """Say what was done to one row or to several: '3 phases removed at 0:55.2 to 1:20.0'.

    Parameters
    ----------
    rows : sequence of Row
        In order of time, at least one.
    """
    first_us, last_us = _start_of(rows[0]), _start_of(rows[-1])
    if len(rows) == 1:
        return deed_words(deed, rows[0], first_us, vocabulary)
    place = tenths(first_us) if first_us == last_us else f"{tenths(first_us)} to {tenths(last_us)}"
    return f"{counted_rows(rows)} {deed} {place}"


def counted_rows(rows: Sequence[Row]) -> str:
    """How many rows of what: '3 phases', '4 rows' where they are of several kinds."""
    nouns = {_NOUNS[row.kind] if isinstance(row, Tag) else _plural(row) for row in rows}
    noun = nouns.pop() if len(nouns) == 1 else "rows"
    if len(rows) == 1:
        noun = noun.removesuffix("s") if noun != "machine values" else noun
    return f"{len(rows)} {noun}"


def _plural(row: Row) -> str:
    return {Comment: "comments", Mark: "marks", Setting: "machine values"}.get(type(row), "rows")


def _start_of(row: Row) -> int:
    return int(getattr(row, "start_us", getattr(row, "at_us", 0)))


def yield_words(
    gave_way: Sequence[tuple[Tag, Tag | None]], vocabulary: Vocabulary, *, is_done: bool = True
) -> str:
    """Say which neighbours made room: as they were, as they are now (None: gone).

    Parameters
    ----------
    is_done : bool
        Whether it has happened, or would.
    """
    now = "now " if is_done else "then "
    told = []
    for before, after in gave_way[:2]:
        name = row_words(before, vocabulary)
        if after is None:
            told.append(f"{name} at {tenths(before.start_us)} is covered and goes")
        elif after.start_us != before.start_us:
            told.append(f"{name} {now}begins at {tenths(after.start_us)}")
        else:
            told.append(f"{name} {now}ends at {tenths(after.end_us or 0)}")
    if len(gave_way) > len(told):
        told.append(f"and {len(gave_way) - len(told)} more")
    return f"Makes room: {'; '.join(told)}.{' Ctrl+Z restores both.' if is_done else ''}"
