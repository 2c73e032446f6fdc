"""Limits that machine values pass, offered to the reviewer and never forced on them. No Qt.

A breach is taken as an event where the vocabulary has one with the code ``setting-limit``; the
shipped ones have none, and there it becomes a comment to correct, with a sentence that says what
was noted, what the limit is and on whose word. What is put aside stays so.
"""

from __future__ import annotations

from annotate.ids import RowId, new_id
from annotate.marks import Setting
from annotate.tags import Comment, Leaning, Tag, TagKind
from app.review.dismissed_offers import DismissedOffers
from app.review.presenter import ReviewPresenter
from app.review.wording import tenths
from app.setting_words import breach_words, is_taken
from metrics.setting_limits import Breach, breaches
from store import Put

EVENT_CODE = "setting-limit"


class SettingOffers:
    """Breaches of one session that were neither taken nor put aside."""

    def __init__(
        self, presenter: ReviewPresenter, dismissed: DismissedOffers | None = None
    ) -> None:
        self._presenter = presenter
        self._dismissed = dismissed or DismissedOffers()
        self._aside = self._dismissed.of(presenter.session.id)

    def open_ones(self, settings: tuple[Setting, ...]) -> tuple[Breach, ...]:
        """What is on offer, in order of time."""
        presenter = self._presenter
        if not settings:
            return ()
        found = breaches(settings, presenter.shown_markup().tags, presenter.vocabulary)
        return tuple(
            breach
            for breach in found
            if not self.is_aside(breach) and not is_taken(breach, presenter.markup)
        )

    def take(self, breach: Breach) -> bool:
        """Make a breach an event, or a comment where the vocabulary has no such event."""
        presenter = self._presenter
        words = breach_words(breach, presenter.vocabulary)
        row = _row_of(breach, presenter)
        if not presenter.edit(f"Limit passed taken at {tenths(breach.start_us)}", Put(row)):
            return False
        presenter.choose(row.id)
        what = "an event" if isinstance(row, Tag) else "a comment"
        presenter.said.tell(f"Taken as {what}: {words} Ctrl+Z takes it back.")
        return True

    def is_aside(self, breach: Breach) -> bool:
        """Whether it was put aside."""
        return offer_key(breach) in self._aside

    def put_aside(self, breach: Breach) -> None:
        """Offer it no more in this session, on this desk."""
        self._aside |= {offer_key(breach)}
        self._dismissed.keep(self._presenter.session.id, self._aside)


def offer_key(breach: Breach) -> str:
    """What a breach is known by: it stays the same while edges move."""
    return "|".join(str(part) for part in breach.key)


def _row_of(breach: Breach, presenter: ReviewPresenter) -> Tag | Comment:
    vocabulary = presenter.vocabulary
    words = breach_words(breach, vocabulary)
    term = next((term for term in vocabulary.events if term.code == EVENT_CODE), None)
    if term is not None:
        return Tag(
            RowId(new_id()),
            presenter.session.id,
            TagKind.EVENT,
            term.code,
            breach.start_us,
            breach.end_us,
            leaning=term.leaning,
            weight=term.weight,
            comment=words,
        )
    return Comment(
        RowId(new_id()),
        presenter.session.id,
        words,
        breach.start_us,
        breach.end_us,
        leaning=Leaning.CORRECT,
        weight=1,
        phase=breach.phase,
    )
