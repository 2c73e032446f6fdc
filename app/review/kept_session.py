"""One reviewer's session as the store keeps it: every edit is kept before it is shown."""

from __future__ import annotations

from annotate.case import Case, ReviewSession, SessionStatus
from annotate.errors import UserFacingError
from annotate.ids import RowId
from annotate.markup import Markup
from annotate.tags import Comment, Tag
from app.notify import Notifier
from app.review.spans import Change
from store import Store


class KeptSession:
    """Reads and edits one session.

    Parameters
    ----------
    by : str
        Who sits at the desk; another reviewer's session is shown to them and takes no edit.

    Attributes
    ----------
    markup_changed, chosen_changed, said : Notifier
        What a view listens to. `said` carries a sentence for the user.
    """

    def __init__(self, store: Store, case: Case, session: ReviewSession, by: str = "") -> None:
        self._store = store
        self.case = case
        self.session = session
        self.by = by or session.reviewer.code
        self.markup: Markup = store.markup(session.id)
        self.chosen: RowId | None = None
        self.markup_changed: Notifier[[]] = Notifier()
        self.chosen_changed: Notifier[[]] = Notifier()
        self.said: Notifier[[str]] = Notifier()

    @property
    def is_signed(self) -> bool:
        """Whether the session takes no more edits."""
        return self.session.status is SessionStatus.SIGNED

    @property
    def is_mine(self) -> bool:
        """Whether the session belongs to whoever sits at the desk."""
        return self.by == self.session.reviewer.code

    @property
    def rows(self) -> tuple[Tag | Comment, ...]:
        """Tags and comments."""
        return (*self.markup.tags, *self.markup.comments)

    def row(self, row_id: RowId | None) -> Tag | Comment | None:
        """The tag or comment of that id."""
        return next((row for row in self.rows if row.id == row_id), None)

    def choose(self, row_id: RowId | None) -> None:
        """Choose a tag or comment to act on."""
        if row_id != self.chosen:
            self.chosen = row_id
            self.chosen_changed.tell()

    def forget_running(self) -> None:
        """Let go of what was started and not ended; a session without a clip has none."""

    def edit(self, kind: str, *changes: Change) -> bool:
        """Keep changes as one edit; False, with a sentence said, where they are refused."""
        if self.is_refused():
            return False
        try:
            self._store.edit(self.session.id, kind, self.by, *changes)
        except UserFacingError as trouble:
            self.said.tell(str(trouble))
            return False
        self.look_again()
        return True

    def is_refused(self) -> bool:
        """Whether the session takes no edit from whoever sits at the desk; says why."""
        if self.can_edit:
            return False
        self.said.tell(self.why_not)
        return True

    @property
    def can_edit(self) -> bool:
        """Whether tags and comments can be entered and changed."""
        return self.is_mine and not self.is_signed

    @property
    def why_not(self) -> str:
        """Why the session takes no edit; empty where it does."""
        owner = self.session.reviewer.code
        if not self.is_mine:
            return f"This is the review of {owner}, to look at. Choose your own above to tag."
        return "This review is signed and takes no more edits." if self.is_signed else ""

    def undo(self) -> bool:
        """Take the last edit back."""
        return self._travel_edits("undo")

    def redo(self) -> bool:
        """Do again what was undone."""
        return self._travel_edits("redo")

    def _travel_edits(self, direction: str) -> bool:
        if self.is_refused():
            return False
        step = self._store.undo if direction == "undo" else self._store.redo
        try:
            changes = step(self.session.id, self.by)
        except UserFacingError as trouble:
            self.said.tell(str(trouble))
            return False
        if changes is None:
            return False
        self.forget_running()
        self.look_again()
        what = "Taken back" if direction == "undo" else "Done again"
        self.said.tell(f"{what}: {changes.kind}.")
        return True

    @property
    def undo_words(self) -> str | None:
        """What undo would take back; None where there is nothing."""
        return self._store.undo_kind(self.session.id)

    @property
    def redo_words(self) -> str | None:
        """What redo would do again; None where there is nothing."""
        return self._store.redo_kind(self.session.id)

    def look_again(self) -> None:
        """Read the session from the store and tell the views."""
        self.markup = self._store.markup(self.session.id)
        if self.row(self.chosen) is None:
            self.choose(None)
        self.markup_changed.tell()

    def sign(self) -> bool:
        """Sign the session; it takes no more edits."""
        if self.is_refused():
            return False
        try:
            self.session = self._store.sign(self.session.id, self.by)
        except UserFacingError as trouble:
            self.said.tell(str(trouble))
            return False
        self.look_again()
        return True
