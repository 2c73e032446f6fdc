"""What is said before a note is written is what the note then holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from desk_scenes import VOCABULARY, S, tag_only_case
from store_scenes import clip

from annotate.case import ReviewSession, SessionStatus
from annotate.ids import CaseId, RowId, SessionId
from annotate.marks import Mark, MarkKind
from annotate.markup import Markup
from annotate.people import Reviewer, ReviewerKind
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.handback.last_look import DRAFT, KINDS, LastLook, last_look
from app.handback.note import build_note
from app.handback.write_note import WRITERS
from metrics.from_tags import figures
from metrics.watched import watched_figures

WORDS = shipped_vocabulary(VOCABULARY)
SESSION = SessionId("s")
DRAFT_SESSION = ReviewSession(
    SESSION, CaseId("c"), Reviewer("A-01", ReviewerKind.ATTENDING), SessionStatus.DRAFT,
    datetime(2026, 3, 4, tzinfo=UTC),
)  # fmt: skip
SIGNED = replace(
    DRAFT_SESSION, status=SessionStatus.SIGNED, signed_at=datetime(2026, 3, 5, tzinfo=UTC),
    edition=2, content_hash="1a2b3c4d" + "0" * 56,
)  # fmt: skip
FULL = Markup(
    tags=(
        Tag(RowId("1"), SESSION, TagKind.PHASE, "sculpt", 1 * S, 20 * S, comment="steady"),
        Tag(RowId("2"), SESSION, TagKind.EVENT, "eye-off-centre", 12 * S, None, Leaning.CORRECT),
        Tag(RowId("3"), SESSION, TagKind.HAND_OVER, "A-09", 14 * S, 16 * S),
    ),
    comments=(Comment(RowId("4"), SESSION, "Well held,\nDr. Example", 5 * S),),
    marks=(
        Mark(RowId("5"), SESSION, MarkKind.TEXT, 5 * S, 8 * S, ((0.5, 0.5),), text="here"),
    ),
)  # fmt: skip


def looked(session: ReviewSession, markup: Markup, *, has_clip: bool = True) -> LastLook:
    case = tag_only_case()
    watched = None
    if has_clip:
        case = replace(case, clips=(clip("a", 100 * S),))
        watched = watched_figures((), case.length_us, ())
    return last_look(case, session, markup, WORDS, watched, may_sign=True)


def test_a_draft_says_whose_it_is_and_that_it_can_be_signed_first() -> None:
    look = looked(DRAFT_SESSION, FULL)
    assert dict(look.facts) == {
        "Case": "R-07-003, case 3 of operator R-07",
        "Review": "of A-01, as attending",
        "State": "draft, edition 1, not signed",
        "Watched": "none of the case",
    }
    assert look.draft == DRAFT
    assert "their codes alone: R-07, A-01 and A-09." in look.identity
    assert look.typed == ("0:01  steady", "0:05  Well held, Dr. Example", "0:05  here")


def test_a_signed_review_says_edition_day_and_signature() -> None:
    look = looked(SIGNED, FULL)
    assert dict(look.facts)["State"] == "signed on 2026-03-05, edition 2, signature 1a2b3c4d"
    assert not look.draft


def test_what_goes_out_follows_the_format() -> None:
    look = looked(DRAFT_SESSION, FULL)
    assert look.what_goes_out("pdf") == (
        "1 comment, 1 event told alone; 2 stills (one for each that can be read, with "
        "1 mark drawn on them); 3 tags as figures and tables."
    )
    assert look.what_goes_out("csv").endswith("No stills.")
    assert look.what_goes_out("srt").startswith("2 subtitles: 1 comment, 1 event told alone.")
    assert not look.is_with_stills("json")
    bare = looked(DRAFT_SESSION, FULL, has_clip=False)
    assert dict(bare.facts)["Watched"] == "there is no recording to watch"
    assert bare.what_goes_out("html").endswith("No stills: there is no clip.")


def test_an_event_that_a_comment_speaks_about_is_told_with_it() -> None:
    event = Tag(RowId("6"), SESSION, TagKind.EVENT, WORDS.events[0].code, 5 * S)
    look = looked(DRAFT_SESSION, Markup(tags=(event,), comments=FULL.comments))
    assert look.what_goes_out("csv").startswith("1 comment, 1 event told with it; 1 tag as")
    assert look.what_goes_out("srt").startswith("1 subtitle: 1 comment, 1 event told with it.")


def test_nothing_tagged_is_said_as_nothing() -> None:
    look = looked(DRAFT_SESSION, Markup())
    assert look.what_goes_out("md") == "No comment and no event. No stills."
    assert not look.typed


def test_the_kinds_are_those_that_can_be_written() -> None:
    assert set(KINDS) == set(WRITERS)


@pytest.mark.parametrize("session", [DRAFT_SESSION, SIGNED])
def test_the_note_holds_as_many_moments_as_were_said(session: ReviewSession) -> None:
    look = looked(session, FULL)
    found = figures(FULL.tags, WORDS)
    note = build_note(tag_only_case(), session, FULL, WORDS, found, {})
    assert len(note.comments) == look.n_comments + look.n_events
    assert note.is_draft == bool(look.draft)
