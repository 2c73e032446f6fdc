"""What the desk says when a review is signed, and of a signed one when it is opened."""

from __future__ import annotations

from typing import TYPE_CHECKING

from annotate.case import Case, ReviewSession, SessionStatus
from annotate.clock import short_time
from annotate.tags import TagKind
from app.review.read_only_line import may_go_on
from app.review.session_deeds import may_turn_veil
from app.watched_words import short_hash, watched_for, watched_words
from store import Store

if TYPE_CHECKING:
    from app.desk.actions import DeskActions
    from app.review.presenter import ReviewPresenter

_MOST_NAMED = 5
"""Phases that are named where some are missing."""
FINAL = (
    "It takes no more edits then, and what was done can no longer be undone. You can go on with it "
    "in a new edition."
)


def may_sign(presenter: ReviewPresenter) -> bool:
    """Whether whoever sits at the desk can sign this session."""
    return presenter.is_mine and not presenter.is_signed


def name_session_deeds(table: DeskActions, presenter: ReviewPresenter) -> None:
    """Let the menu offer what can be done with this review as a whole, and tick what is so."""
    table["sign"].setEnabled(may_sign(presenter))
    table["go-on"].setEnabled(may_go_on(presenter))
    table["veil"].setEnabled(may_turn_veil(presenter))
    table["veil"].setCheckable(True)
    table["veil"].setChecked(presenter.is_mine and presenter.session.is_veiled)


def signing_words(presenter: ReviewPresenter) -> str:
    """Ask for the signature, with what is there and what is not."""
    missing = [presenter.vocabulary.label(c) for c in presenter.figures().order.missing]
    held = content_words(presenter)
    if presenter.markup.tags and missing:
        verb = "is" if len(missing) == 1 else "are"
        held += f"; {_listed(missing)} {verb} not tagged"
    edition = presenter.session.edition
    which = f", edition {edition}" if edition > 1 else ""
    return f"Sign your review of {presenter.case.code}{which}? {held}."


def signing_more(presenter: ReviewPresenter) -> str:
    """What else to know before signing: how much was watched, and what still runs."""
    watched = watched_for(presenter.store, presenter.case, presenter.session)
    said = [f"Watched: {watched_words(watched)}."] if watched else []
    for kind in TagKind:
        tag = presenter.running_tag(kind)
        if tag is not None:
            label = (
                "Hand-over" if kind is TagKind.HAND_OVER else presenter.vocabulary.label(tag.code)
            )
            until = next(t for t in presenter.shown_markup().tags if t.id == tag.id).end_us
            said.append(f"{label} still runs; it is ended at {short_time(until or tag.start_us)}.")
    return "\n".join([*said, FINAL])


def signed_words(presenter: ReviewPresenter) -> str:
    """What was signed, to be said once it is."""
    session = presenter.session
    signature = short_hash(session.content_hash)
    edition = f"edition {session.edition}, " if session.edition > 1 else ""
    return (
        f"Signed: {edition}{content_words(presenter)}; signature {signature}. The note carries it."
    )


def content_words(presenter: ReviewPresenter) -> str:
    """'12 tags, 3 comments, 1 mark': what a review holds."""
    markup = presenter.markup
    counts = [_counted(len(markup.tags), "tag"), _counted(len(markup.comments), "comment")]
    if markup.marks:
        counts.append(_counted(len(markup.marks), "mark"))
    if markup.settings:
        counts.append(_counted(len(markup.settings), "machine value"))
    return ", ".join(counts)


def not_as_signed(store: Store, case: Case, session: ReviewSession) -> str:
    """Say so where a signed review no longer says what was signed; else nothing."""
    if session.status is not SessionStatus.SIGNED or session.signed_at is None:
        return ""
    if store.is_as_signed(session.id) is not False:
        return ""
    when = session.signed_at.date().isoformat()
    said = (
        f"This review no longer says what {session.reviewer.code} signed on {when} "
        f"(signature {short_hash(session.content_hash)})"
    )
    moved = any(edit.at >= session.signed_at for edit in store.case_history(case.id))
    if moved:
        return f"{said}: the parts of the recording were moved since, and its times with them."
    return (
        f"{said}: it was changed outside this desk. A note written then still says what was signed."
    )


def _counted(n: int, noun: str) -> str:
    return f"{n} {noun}" + ("" if n == 1 else "s")


def _listed(words: list[str]) -> str:
    if len(words) > _MOST_NAMED:
        words = [*words[: _MOST_NAMED - 1], f"{len(words) - _MOST_NAMED + 1} more phases"]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
