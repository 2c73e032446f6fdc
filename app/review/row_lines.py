"""Tags and comments as lines of a list: in order of time, narrowed by kind and words. No Qt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from annotate.clock import US_PER_S
from annotate.markup import Markup, place_of
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary import Vocabulary

ListedRow = Tag | Comment
KINDS: tuple[tuple[str, str], ...] = (
    ("", "All"),
    (TagKind.PHASE, "Phases"),
    (TagKind.EVENT, "Events"),
    (TagKind.IDLE, "Idle"),
    (TagKind.HAND_OVER, "Hand-over"),
    ("comment", "Comments"),
)
"""What the list is narrowed to, and its word."""
_LEANING_WORDS = {Leaning.COMMEND: "to commend", Leaning.CORRECT: "to correct"}
_LONGEST, _LONGEST_WHOLE = 300, 1500
"""Characters of a text in a line, and in what is shown of it when pointed at."""


@dataclass(frozen=True, slots=True)
class Narrowing:
    """What a list is narrowed to.

    Attributes
    ----------
    kind : str
        One of `KINDS`; empty for all.
    words : str
        Each of these words stands in the row's name, code or text.
    """

    kind: str = ""
    words: str = ""

    @property
    def is_on(self) -> bool:
        """Whether anything may be left out."""
        return bool(self.kind or self.words.strip())


def kind_of_row(row: ListedRow) -> str:
    """Kind of a tag, or ``comment``."""
    return row.kind if isinstance(row, Tag) else "comment"


def lines_of(markup: Markup, narrowing: Narrowing, vocabulary: Vocabulary) -> list[ListedRow]:
    """The rows that are listed, in order of time."""
    rows: list[ListedRow] = sorted((*markup.tags, *markup.comments), key=place_of)
    if narrowing.kind:
        rows = [row for row in rows if kind_of_row(row) == narrowing.kind]
    words = narrowing.words.casefold().split()
    if not words:
        return rows
    text = _texts(vocabulary)
    return [row for row in rows if all(word in text(row) for word in words)]


def _texts(vocabulary: Vocabulary) -> Callable[[ListedRow], str]:
    labels: dict[str, str] = {}

    def text(row: ListedRow) -> str:
        if isinstance(row, Comment):
            return row.text.casefold()
        if row.code not in labels:
            labels[row.code] = f"{vocabulary.label(row.code)} {row.code}".casefold()
        kind = "hand-over " if row.kind is TagKind.HAND_OVER else ""
        return f"{kind}{labels[row.code]} {row.comment.casefold()}"

    return text


def what_words(row: ListedRow, vocabulary: Vocabulary) -> str:
    """Say what a row is, in one line."""
    if isinstance(row, Comment):
        return f"“{_one_line(row.text)}”"
    label = vocabulary.label(row.code)
    if row.kind is TagKind.HAND_OVER:
        label = f"Hand-over: {row.code}"
    elif row.kind is TagKind.IDLE:
        label = f"Idle: {label}"
    return f"{label}: {_one_line(row.comment)}" if row.comment else label


def leaning_words(row: ListedRow) -> str:
    """Say in words what the row's sign shows of its leaning; nothing where it has none."""
    return _LEANING_WORDS.get(row.leaning or Leaning.NEUTRAL, "")


def whole_words(row: ListedRow, vocabulary: Vocabulary) -> str:
    """Say all of a row, as it was written, with line breaks."""
    text = row.text if isinstance(row, Comment) else row.comment
    if not text:
        return what_words(row, vocabulary)
    if len(text) > _LONGEST_WHOLE:
        text = f"{text[:_LONGEST_WHOLE]} …"
    return text if isinstance(row, Comment) else f"{vocabulary.label(row.code)}: {text}"


def _one_line(text: str) -> str:
    words = " ".join(text[:_LONGEST].split())
    return f"{words} …" if len(text) > _LONGEST else words


def end_words(row: ListedRow) -> str:
    """Say the same shorter for a comment, whose words want the room: a weight above the least."""
    if isinstance(row, Comment):
        return f"weight {row.weight}" if (row.weight or 1) > 1 else ""
    return long_words(row)


def long_words(row: ListedRow) -> str:
    """Say how long a row lasts, and how much it weighs."""
    weight = f"weight {row.weight}" if row.weight else ""
    if row.end_us is None:
        return weight
    lasts_us = row.end_us - row.start_us
    minutes, rest_us = divmod(lasts_us, 60 * US_PER_S)
    lasts = f"{rest_us / US_PER_S:.1f} s" if not minutes else f"{minutes}:{rest_us // US_PER_S:02d}"
    return f"{lasts}, {weight}" if weight else lasts
