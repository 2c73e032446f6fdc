"""The reviews of a case from which to choose, as far as they are not kept from who looks."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from annotate.case import ReviewSession, SessionStatus
from app.review.kept_session import KeptSession

KEPT = "kept until both are signed"


@dataclass(frozen=True, slots=True)
class Choice:
    """One review to choose.

    Attributes
    ----------
    key : str
        Id of the session; the code of who looks where they have none yet; empty for one that is
        kept from them, which cannot be chosen.
    """

    key: str
    words: str


def choices(here: KeptSession) -> tuple[Choice, ...]:
    """The review that is shown, those of others, one's own, and what is kept from who looks."""
    store, me = here.store, here.by
    seen = store.sessions_seen_by(here.case.id, me)
    ids = {session.id for session in seen}
    others = [s for s in seen if s.id != here.session.id]
    n_editions = Counter(session.reviewer.code for session in seen)
    made = [
        Choice(session.id, _words(session, me, n_editions[session.reviewer.code]))
        for session in (here.session, *sorted(others, key=_place))
    ]
    if me not in {here.session.reviewer.code, *n_editions}:
        made.append(Choice(me, f"{me} (you), not begun"))
    withheld = {
        session.reviewer.code for session in store.sessions(here.case.id) if session.id not in ids
    }
    return (*made, *(Choice("", f"{code}'s review is {KEPT}") for code in sorted(withheld)))


def _place(session: ReviewSession) -> tuple[str, int]:
    return session.reviewer.code, -session.edition


def _words(session: ReviewSession, me: str, n_editions: int) -> str:
    code = session.reviewer.code
    status = "signed" if session.status is SessionStatus.SIGNED else "draft"
    if n_editions > 1 or session.edition > 1:
        return f"{'You' if code == me else code}, {status}, ed. {session.edition}"
    return f"{code} (you), {status}" if code == me else f"{code}, {status}"
