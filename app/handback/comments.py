"""The moments of a note: comments, and the events that ask for something, in time order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from annotate.clock import US_PER_S, format_time
from annotate.ids import RowId
from annotate.markup import Markup
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary import EventTerm, Vocabulary
from app.handback.wording import clean_text

LEANING_WORDS: Mapping[Leaning, str] = {
    Leaning.COMMEND: "To commend",
    Leaning.CORRECT: "To correct",
    Leaning.NEUTRAL: "Neutral",
}
"""What a reader is told that a leaning asks for."""


WEIGHT_WORDS: Mapping[int, str] = {1: "minor", 2: "matters", 3: "weighs heavily"}
"""What a reader is told that a weight means."""


@dataclass(frozen=True, slots=True)
class Still:
    """A picture of one moment, with the marks drawn on it.

    Attributes
    ----------
    content : bytes
        The encoded picture, without metadata.
    alt : str
        Read aloud in place of the picture.
    frame_number, time_us : int
        Which frame of the case is shown, and its case time in microseconds.
    """

    content: bytes
    width: int
    height: int
    alt: str
    frame_number: int
    time_us: int
    media_type: str = "image/jpeg"


@dataclass(frozen=True, slots=True)
class NoteComment:
    """One moment of the note.

    Attributes
    ----------
    number : int
        From 1 in time order; what to commend and what to correct refer to it.
    start_us, end_us : int
        Case time, microseconds; no end where it is an instant.
    text : str
        What the reviewer wrote; may be empty where an event speaks for itself.
    phase : str
        Label of the phase it falls in or is about; empty where there is none.
    event : str
        Label of the event; empty where it is a comment.
    good : str
        What good looks like, from the vocabulary, for an event that asks for change.
    """

    number: int
    start_us: int
    end_us: int | None
    text: str
    leaning: Leaning | None = None
    weight: int | None = None
    phase: str = ""
    event: str = ""
    good: str = ""
    still: Still | None = None

    @property
    def leaning_words(self) -> str:
        """What the moment asks for, in words; empty where it says nothing."""
        return LEANING_WORDS[self.leaning] if self.leaning else ""

    @property
    def weight_words(self) -> str:
        """How much it weighs, in words; empty where it says nothing."""
        return WEIGHT_WORDS[self.weight] if self.weight else ""

    @property
    def time_text(self) -> str:
        """Start, and end where there is one, to the millisecond."""
        start = format_time(self.start_us)
        return start if self.end_us is None else f"{start} to {format_time(self.end_us)}"


def with_leanings(markup: Markup, vocabulary: Vocabulary) -> Markup:
    """Give each event that says no leaning or weight those of its term, as the figures do."""
    terms = {term.code: term for term in vocabulary.events}
    tags = tuple(_with_leaning(tag, terms.get(tag.code)) for tag in markup.tags)
    return replace(markup, tags=tags)


def _with_leaning(tag: Tag, term: EventTerm | None) -> Tag:
    if tag.kind is not TagKind.EVENT:
        return tag
    leaning = tag.leaning or (term.leaning if term else Leaning.NEUTRAL)
    return replace(tag, leaning=leaning, weight=tag.weight or (term.weight if term else 1))


def told_rows(markup: Markup) -> tuple[Comment | Tag, ...]:
    """Choose what the note tells: every comment, and each event with a leaning or with words.

    An event without words that a comment speaks about is told with that comment.
    """
    told_with_a_comment = {tag.id for tag in folded_events(markup).values()}
    rows: list[Comment | Tag] = [*markup.comments]
    rows.extend(tag for tag in markup.tags if _is_told(tag) and tag.id not in told_with_a_comment)
    return tuple(sorted(rows, key=lambda row: (row.start_us, isinstance(row, Tag), row.id)))


def folded_events(markup: Markup) -> dict[RowId, Tag]:
    """Pair comments with the events they speak about: by the comment's id.

    The event has no words of its own and starts where the comment does, to within a second; the
    nearest one is taken, and each only once.
    """
    silent = [t for t in markup.tags if t.kind is TagKind.EVENT and not t.comment.strip()]
    pairs = sorted(
        (abs(comment.start_us - event.start_us), comment.id, event.id, event)
        for comment in markup.comments
        for event in silent
        if abs(comment.start_us - event.start_us) <= US_PER_S
    )
    folded: dict[RowId, Tag] = {}
    for _, comment_id, event_id, event in pairs:
        if comment_id not in folded and all(event_id != tag.id for tag in folded.values()):
            folded[comment_id] = event
    return folded


def note_comments(
    markup: Markup, vocabulary: Vocabulary, stills: Mapping[RowId, Still]
) -> tuple[NoteComment, ...]:
    """Tell the moments of a session in time order."""
    terms = {term.code: term for term in vocabulary.events}
    phases = [tag for tag in markup.tags if tag.kind is TagKind.PHASE]
    folded = folded_events(markup)
    return tuple(
        replace(
            _told(row, row if isinstance(row, Tag) else folded.get(row.id), terms),
            number=number,
            phase=_phase_label(row, phases, vocabulary),
            still=stills.get(row.id),
        )
        for number, row in enumerate(told_rows(markup), start=1)
    )


def phase_at(time_us: int, phases: Sequence[Tag]) -> str:
    """Code of the phase that is tagged at a time; the latest begun where several are, else ''."""
    at_once = [p for p in phases if p.start_us <= time_us < (p.end_us or p.start_us)]
    return max(at_once, key=lambda p: p.start_us).code if at_once else ""


def _is_told(tag: Tag) -> bool:
    has_leaning = tag.leaning in (Leaning.COMMEND, Leaning.CORRECT)
    return tag.kind is TagKind.EVENT and (has_leaning or bool(tag.comment.strip()))


def _phase_label(row: Comment | Tag, phases: Sequence[Tag], vocabulary: Vocabulary) -> str:
    own = row.phase if isinstance(row, Comment) else ""
    code = own or phase_at(row.start_us, phases)
    return clean_text(vocabulary.label(code)) if code else ""


def _told(row: Comment | Tag, event: Tag | None, terms: Mapping[str, EventTerm]) -> NoteComment:
    """Tell a row, with the event it is or speaks about; the comment's own say comes first."""
    term = terms.get(event.code) if event else None
    label = (term.label if term else event.code) if event else ""
    leaning = row.leaning or (event.leaning if event else None)
    asks_change = event is not None and leaning is Leaning.CORRECT
    return NoteComment(
        number=0,
        start_us=row.start_us,
        end_us=row.end_us,
        text=clean_text(row.comment if isinstance(row, Tag) else row.text),
        leaning=leaning,
        weight=row.weight or (event.weight if event else None),
        event=clean_text(label),
        good=clean_text(term.good) if term and asks_change else "",
    )
