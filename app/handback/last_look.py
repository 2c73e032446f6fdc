"""What goes out with a note, said plainly before it is written. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from annotate.case import Case, ReviewSession, SessionStatus
from annotate.clock import short_time
from annotate.markup import Markup
from annotate.people import ReviewerKind
from annotate.tags import Comment
from annotate.vocabulary import Vocabulary
from app.handback.comments import folded_events, told_rows, with_leanings
from app.handback.wording import listed
from app.watched_words import short_hash, watched_words
from metrics.watched import WatchedFigures

KINDS: Mapping[str, str] = MappingProxyType(
    {
        "pdf": "PDF, to read and print",
        "html": "Web page in one file",
        "vtt": "Subtitles over the clip, WebVTT",
        "srt": "Subtitles over the clip, SRT",
        "md": "Markdown",
        "csv": "Table",
        "json": "JSON",
    }
)
"""What a note can be written as, by the end of its file's name."""
WITH_STILLS = frozenset({"pdf", "html"})
_SUBTITLES = frozenset({"vtt", "srt"})
DRAFT = (
    "This is a draft, and the note says so: it can still change after you hand it back. "
    "Signing it first freezes what you hand back."
)
DRAFT_OF_ANOTHER = (
    "This is a draft, and the note says so: only {reviewer} can sign it, and may still change it."
)
AS_TYPED = (
    "What the reviewer typed goes out as it was typed. If a name stands in it, that is yours to "
    "see and to change before:"
)
NOTHING_TYPED = "Nothing was typed, so no words of the reviewer's go out."
STILLS_AS_RECORDED = (
    "Look at the stills before you pass the note on: whatever the recorder wrote into the picture, "
    "such as a name, goes out too."
)


@dataclass(frozen=True, slots=True)
class LastLook:
    """All that is to be seen before a review is handed back.

    Attributes
    ----------
    facts : tuple of (str, str)
        Case, review, state and how much was watched, as names and values.
    identity : str
        What the file says, and does not say, of who is who.
    draft : str
        That it is a draft; empty once it is signed.
    typed : tuple of str
        Words that go out as typed, each after its time.
    """

    facts: tuple[tuple[str, str], ...]
    identity: str
    draft: str
    typed: tuple[str, ...]
    n_comments: int
    n_events: int
    n_events_with_comments: int
    n_tags: int
    n_marks: int
    has_clip: bool

    def what_goes_out(self, kind: str) -> str:
        """What a note of that kind holds of the review."""
        n_moments = self.n_comments + self.n_events
        told = self._told()
        if kind in _SUBTITLES:
            subtitles = _counted(n_moments, "subtitle")
            return f"{subtitles}: {told}. No stills, no other tags, no figures."
        tags = f"; {_counted(self.n_tags, 'tag')} as figures and tables" if self.n_tags else ""
        if kind not in WITH_STILLS or (self.has_clip and not n_moments):
            return f"{told}{tags}. No stills."
        if not self.has_clip:
            return f"{told}{tags}. No stills: there is no clip."
        marks = f", with {_counted(self.n_marks, 'mark')} drawn on them" if self.n_marks else ""
        stills = f"{_counted(n_moments, 'still')} (one for each that can be read{marks})"
        return f"{told}; {stills}{tags}."

    def _told(self) -> str:
        """Comments and events that go out; what there is none of is left out."""
        with_them = _counted(self.n_events_with_comments, "event") + " told with "
        with_them += "it" if self.n_comments == 1 else "them"
        alone = _counted(self.n_events, "event") + (" told alone" if self.n_comments else "")
        parts = [
            _counted(self.n_comments, "comment") if self.n_comments else "",
            with_them if self.n_events_with_comments else "",
            alone if self.n_events else "",
        ]
        return ", ".join(part for part in parts if part) or "No comment and no event"

    def is_with_stills(self, kind: str) -> bool:
        """Whether pictures go out with that kind."""
        return kind in WITH_STILLS and self.has_clip and self.n_comments + self.n_events > 0


def last_look(
    case: Case,
    session: ReviewSession,
    markup: Markup,
    vocabulary: Vocabulary,
    watched: WatchedFigures | None,
    *,
    may_sign: bool,
) -> LastLook:
    """Look at a review as it would be handed back now.

    Parameters
    ----------
    may_sign : bool
        Whether who looks can sign it.
    """
    markup_told = with_leanings(markup, vocabulary)
    moments = told_rows(markup_told)
    n_comments = sum(isinstance(row, Comment) for row in moments)
    reviewer, operator = session.reviewer.code, case.operator.code
    is_signed = session.status is SessionStatus.SIGNED and session.signed_at is not None
    draft = DRAFT if may_sign else DRAFT_OF_ANOTHER.format(reviewer=reviewer)
    return LastLook(
        facts=(
            ("Case", f"{case.code}, case {case.case_number} of operator {operator}"),
            ("Review", f"of {reviewer}, {_kind_words(session.reviewer.kind)}"),
            ("State", _state_words(session)),
            ("Watched", watched_words(watched) or "there is no recording to watch"),
        ),
        identity=(
            f"The file names people by their codes alone: {listed(_codes(case, session, markup))}. "
            "It holds neither the name nor any metadata of the recording's files, and no sound."
        ),
        draft="" if is_signed else draft,
        typed=_typed(markup),
        n_comments=n_comments,
        n_events=len(moments) - n_comments,
        n_events_with_comments=len(folded_events(markup_told)),
        n_tags=len(markup.tags),
        n_marks=len(markup.marks),
        has_clip=bool(case.clips),
    )


def _codes(case: Case, session: ReviewSession, markup: Markup) -> list[str]:
    others = sorted({tag.code for tag in markup.tags if tag.kind == "hand-over"})
    return list(dict.fromkeys([case.operator.code, session.reviewer.code, *others]))


def _kind_words(kind: ReviewerKind) -> str:
    return "a self-review" if kind is ReviewerKind.SELF else f"as {kind}"


def _state_words(session: ReviewSession) -> str:
    if session.status is not SessionStatus.SIGNED or session.signed_at is None:
        return f"draft, edition {session.edition}, not signed"
    return (
        f"signed on {session.signed_at.date().isoformat()}, edition {session.edition}, "
        f"signature {short_hash(session.content_hash)}"
    )


def _typed(markup: Markup) -> tuple[str, ...]:
    """Words on comments, tags and marks, in order of time."""
    words = [(comment.start_us, comment.text) for comment in markup.comments]
    words += [(mark.start_us, mark.text) for mark in markup.marks]
    words += [(tag.start_us, tag.comment) for tag in markup.tags]
    said = sorted((at_us, " ".join(text.split())) for at_us, text in words if text.strip())
    return tuple(f"{short_time(at_us)}  {text}" for at_us, text in said)


def _counted(n: int, noun: str) -> str:
    return f"{n} {noun}" + ("" if n == 1 else "s")
