"""Another review of the same case, laid over one's own: whose, what it says, where it differs."""

from __future__ import annotations

from annotate.case import ReviewSession
from annotate.ids import SessionId
from annotate.markup import Markup
from annotate.tags import Comment, Tag, TagKind
from app.look.palette import Palette
from app.notify import Notifier
from app.review.presenter import ReviewPresenter
from app.strip.layout import StripFrame, strip_content, strip_shapes
from app.strip.shapes import Shape

_NOTHING = "nothing tagged"


class OtherReview:
    """Which other review is laid over; never one that is kept from who looks.

    Attributes
    ----------
    session : ReviewSession or None
        None while nothing is laid over.
    markup : Markup
        What it says.
    changed : Notifier
        Told when another one, or none, is laid over.
    """

    def __init__(self, presenter: ReviewPresenter) -> None:
        self._presenter = presenter
        self.session: ReviewSession | None = None
        self.markup = Markup()
        self.changed: Notifier[[]] = Notifier()

    def choices(self) -> tuple[ReviewSession, ...]:
        """What can be laid over: reviews of others, then other editions of this one."""
        here = self._presenter
        seen = here.store.sessions_seen_by(here.case.id, here.by)
        others = [session for session in seen if session.id != here.session.id]
        owner = here.session.reviewer.code
        return tuple(
            sorted(others, key=lambda s: (s.reviewer.code == owner, s.reviewer.code, -s.edition))
        )

    def lay(self, session_id: SessionId | None) -> None:
        """Lay a review over, or none; one that is kept from who looks is none."""
        wanted = (s for s in self.choices() if s.id == session_id)
        self.session = next(wanted, None)
        store = self._presenter.store
        self.markup = store.markup(self.session.id) if self.session else Markup()
        self.changed.tell()

    def turn(self) -> str:
        """Lay the next review over, after the last one none; returns what to say of it."""
        found = self.choices()
        if not found:
            self.lay(None)
            return self._why_none()
        ids = [session.id for session in found]
        place = ids.index(self.session.id) + 1 if self.session and self.session.id in ids else 0
        if self.session is not None and place == len(ids):
            self.lay(None)
            return "Only this review is shown again."
        self.lay(ids[place])
        more = f" ({place + 1} of {len(ids)}; press again for the next)" if len(ids) > 1 else ""
        return f"{self.name}'s review lies under this one{more}. Its comments are in the list."

    def _why_none(self) -> str:
        here = self._presenter
        all_there = here.store.sessions(here.case.id)
        if len(all_there) > 1:
            return "The other review is kept until both are signed; then it can be laid over."
        return "Nobody else has reviewed this case yet."

    @property
    def name(self) -> str:
        """Code of whose review is laid over, with the edition where that tells it apart."""
        if self.session is None:
            return ""
        code = self.session.reviewer.code
        is_same = code == self._presenter.session.reviewer.code
        return f"{code}, edition {self.session.edition}" if is_same else code

    @property
    def short_name(self) -> str:
        """The same in the room at the left of a lane."""
        if self.session is None:
            return ""
        code = self.session.reviewer.code
        is_same = code == self._presenter.session.reviewer.code
        return f"Edition {self.session.edition}" if is_same else code

    @property
    def comments(self) -> tuple[Comment, ...]:
        """Comments of the review that is laid over."""
        return self.markup.comments

    def words_at_playhead(self) -> str:
        """'A-01: Chopping; R-07: Fragment removal'; empty while nothing is laid over."""
        if self.session is None:
            return ""
        here = self._presenter
        own = here.session.reviewer.code
        if self.session.reviewer.code == own:
            own += f", edition {here.session.edition}"
        said_here = self._said(here.shown_markup())
        said_there = self._said(self.markup)
        if said_here == said_there:
            return f"{own} and {self.name}: {said_here}"
        return f"{own}: {said_here}; {self.name}: {said_there}"

    def _said(self, markup: Markup) -> str:
        at_us = self._presenter.playhead_us
        spans = [tag for tag in markup.tags if tag.end_us is not None and _holds(tag, at_us)]
        return ", ".join(self._label(tag) for tag in spans) or _NOTHING

    def _label(self, tag: Tag) -> str:
        label = self._presenter.vocabulary.label(tag.code)
        if tag.kind is TagKind.HAND_OVER:
            return f"{tag.code} operates"
        return f"idle ({label})" if tag.kind is TagKind.IDLE else label

    def shapes(self, _own: Markup, frame: StripFrame, palette: Palette) -> tuple[Shape, ...]:
        """The other review's ribbon in a lane, by the one code that draws strips."""
        here = self._presenter
        content = strip_content(self.markup, here.vocabulary, here.length_us, here.case.clock.gaps)
        return strip_shapes(content, frame, palette)


def _holds(tag: Tag, at_us: int) -> bool:
    return tag.start_us <= at_us < (tag.end_us or tag.start_us)
