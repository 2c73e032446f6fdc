"""The critique note as plain data, from which every format is written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from annotate.case import Case, Eye, ReviewSession, SessionStatus
from annotate.ids import RowId
from annotate.markup import Markup
from annotate.people import ReviewerKind
from annotate.tags import Leaning
from annotate.vocabulary import Vocabulary
from app.cautions import CAUTIONS
from app.handback.comments import NoteComment, Still, note_comments, with_leanings
from app.handback.machine import MachineSection, machine_section
from app.handback.points import NotePoint, NotePoints, points_of
from app.handback.summary import summary_sentences
from app.handback.tables import (
    EventRow,
    FigureTables,
    IdleRow,
    PhaseRow,
    event_rows,
    figure_tables,
)
from app.handback.wording import clean_text
from app.look.palette import LIGHT
from app.strip.layout import StripFrame, strip_content, strip_shapes
from app.strip.shapes import Shape
from app.watched_words import short_hash, watched_words
from metrics.figures import SessionFigures
from metrics.watched import WatchedFigures

__all__ = [
    "EventRow",
    "FigureTables",
    "IdleRow",
    "Note",
    "NoteComment",
    "NotePoint",
    "NotePoints",
    "NoteStrip",
    "PhaseRow",
    "Still",
    "build_note",
]

STRIP_FRAME = StripFrame(width=720.0, height=92.0, has_ruler=True, has_words=True)
PALETTE = LIGHT
"""Notes are read on paper and in bright rooms."""

STRIP_KEY = (
    "The ribbon is the whole case: each phase in its own colour and hatch, breaks where nothing "
    "moved on. Pins up are to commend, pins down to correct, ticks beneath are comments; where "
    "both edges are lined, somebody else operated."
)
DRAFT = "This is a draft: the reviewer has not signed it and may still change it."
_EYES = {Eye.OD: "right eye", Eye.OS: "left eye"}


@dataclass(frozen=True, slots=True)
class NoteStrip:
    """The case strip, laid out; `alt` is read aloud in place of it."""

    shapes: tuple[Shape, ...]
    width: float
    height: float
    alt: str


@dataclass(frozen=True, slots=True)
class Note:
    """All that a critique note says.

    Attributes
    ----------
    case, operator, reviewer : str
        Codes, never names.
    procedure : str
        Title of the vocabulary.
    signed_on : date or None
        None while it is a draft. No other date stands in a note.
    duration_us : int
        Length of the case, microseconds.
    comments : tuple of NoteComment
        Comments and told events, in time order.
    operator_only : FigureTables or None
        The figures without hand-over spans, where there are any.
    notices : tuple of str
        What the reader must know of the note itself: that it is a draft, that stills are missing.
    edition : int
        Of the review; a signed one that is gone on with gets the next.
    content_hash : str
        SHA-256 of what was signed, 64 digits; empty while it is a draft.
    watched : WatchedFigures or None
        How much of the recording was watched; None where there is none.
    machine : MachineSection or None
        Totals of ultrasound and limits that were taken; None where nothing of it was noted.
    """

    case: str
    case_number: int
    operator: str
    operator_level: str
    reviewer: str
    reviewer_kind: str
    procedure: str
    eye: str
    is_draft: bool
    signed_on: date | None
    duration_us: int
    summary: tuple[str, ...]
    to_keep: NotePoints
    to_change: NotePoints
    comments: tuple[NoteComment, ...]
    figures: FigureTables
    operator_only: FigureTables | None
    events: tuple[EventRow, ...]
    strip: NoteStrip
    notices: tuple[str, ...]
    cautions: tuple[str, ...]
    edition: int = 1
    content_hash: str = ""
    watched: WatchedFigures | None = None
    machine: MachineSection | None = None

    @property
    def title(self) -> str:
        """What the note is called."""
        return f"Critique note, case {self.case}"

    @property
    def status_text(self) -> str:
        """Whether it is signed, and when."""
        return f"Signed on {self.signed_on.isoformat()}" if self.signed_on else "Draft, not signed"

    @property
    def facts(self) -> tuple[tuple[str, str], ...]:
        """Whose case it is and who reviewed it, as names and values in order."""
        eye = f", {self.eye}" if self.eye else ""
        watched = (("Watched", watched_words(self.watched)),) if self.watched else ()
        return (
            ("Operator", f"{self.operator} ({self.operator_level})"),
            ("Case number", str(self.case_number)),
            ("Reviewer", f"{self.reviewer} ({self.reviewer_kind})"),
            ("Status", self.status_text),
            ("Edition", self.edition_text),
            ("Operation", f"{self.procedure}{eye}"),
            *watched,
        )

    @property
    def edition_text(self) -> str:
        """Which edition of the review this is, and the beginning of its signature."""
        signature = short_hash(self.content_hash)
        return f"{self.edition}, signature {signature}" if signature else str(self.edition)

    @property
    def signature_text(self) -> str:
        """What stands at the foot of a signed note; nothing in a draft."""
        if not self.content_hash:
            return ""
        return f"Signature, SHA-256 of all that the review says: {self.content_hash}"


def build_note(
    case: Case,
    session: ReviewSession,
    markup: Markup,
    vocabulary: Vocabulary,
    figures: SessionFigures,
    stills: Mapping[RowId, Still],
    notices: Sequence[str] = (),
    watched: WatchedFigures | None = None,
) -> Note:
    """Put together what a session says of its case.

    Parameters
    ----------
    figures : SessionFigures
        Of this markup, from `metrics`.
    stills : mapping
        Pictures by id of the comment or event tag; a moment without one is told in words alone.
    notices : sequence of str
        Sentences about the making of the note, such as that stills are missing.
    watched : WatchedFigures or None
        What of the recording was watched, from `metrics`.
    """
    markup = with_leanings(markup, vocabulary)
    comments = note_comments(markup, vocabulary, stills)
    is_draft = session.status is not SessionStatus.SIGNED or session.signed_at is None
    alone = figures.operator_only
    return Note(
        case=clean_text(case.code),
        case_number=case.case_number,
        operator=case.operator.code,
        operator_level=str(case.operator.level),
        reviewer=session.reviewer.code,
        reviewer_kind=_kind_words(session.reviewer.kind),
        procedure=clean_text(vocabulary.title),
        eye=_EYES.get(case.eye, "") if case.eye else "",
        is_draft=is_draft,
        signed_on=session.signed_at.date() if session.signed_at and not is_draft else None,
        duration_us=case.length_us,
        summary=summary_sentences(case, session, markup, vocabulary, figures),
        to_keep=points_of(comments, Leaning.COMMEND),
        to_change=points_of(comments, Leaning.CORRECT),
        comments=comments,
        figures=figure_tables(figures, vocabulary, PALETTE),
        operator_only=figure_tables(alone, vocabulary, PALETTE) if alone else None,
        events=event_rows(markup, vocabulary),
        strip=_strip(case, markup, vocabulary, figures),
        notices=((DRAFT,) if is_draft else ()) + tuple(notices),
        cautions=CAUTIONS,
        edition=session.edition,
        content_hash="" if is_draft else session.content_hash,
        watched=watched,
        machine=machine_section(markup, vocabulary, case.operator.code),
    )


def _kind_words(kind: ReviewerKind) -> str:
    return "the operator" if kind is ReviewerKind.SELF else str(kind)


def _strip(
    case: Case, markup: Markup, vocabulary: Vocabulary, figures: SessionFigures
) -> NoteStrip:
    content = strip_content(markup, vocabulary, case.length_us, case.clock.gaps)
    order = [clean_text(vocabulary.label(code)) for code in figures.order.observed]
    told = ", ".join(order) if order else "no phase tagged"
    return NoteStrip(
        shapes=strip_shapes(content, STRIP_FRAME, PALETTE),
        width=STRIP_FRAME.width,
        height=STRIP_FRAME.height,
        alt=f"The case on a line of time: {told}.",
    )
