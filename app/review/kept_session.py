"""One reviewer's session as the store keeps it: every edit is kept before it is shown."""

from __future__ import annotations

from collections.abc import Iterable

from annotate.case import Case, ReviewSession, SessionStatus
from annotate.errors import UserFacingError
from annotate.ids import RowId
from annotate.markup import Markup, Row, place_of
from annotate.tags import Comment, Tag
from app.notify import Notifier
from app.review.spans import Change
from store import Changes, EditRecord, Store


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
        self._indexed: Markup | None = None
        self._next_deeds: tuple[str | None, str | None] | None = None
        self._by_id: dict[RowId, Row] = {}
        self.chosen: RowId | None = None
        self.chosen_too: frozenset[RowId] = frozenset()
        self.markup_changed: Notifier[[]] = Notifier()
        self.chosen_changed: Notifier[[]] = Notifier()
        self.said: Notifier[[str]] = Notifier()

    @property
    def store(self) -> Store:
        """Where the session is kept."""
        return self._store

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
        row = self.any_row(row_id)
        return row if isinstance(row, Tag | Comment) else None

    def any_row(self, row_id: RowId | None) -> Row | None:
        """Whatever has that id: a tag, a comment, a mark, a setting."""
        if self._indexed is not self.markup:
            markup = self.markup
            rows: tuple[Row, ...] = (
                *markup.tags,
                *markup.comments,
                *markup.marks,
                *markup.settings,
            )
            self._by_id = {row.id: row for row in rows}
            self._indexed = markup
        return None if row_id is None else self._by_id.get(row_id)

    def choose(self, row_id: RowId | None, *, too: Iterable[RowId] = ()) -> None:
        """Choose a row to act on, and others that are acted on with it."""
        others = frozenset(too) - {row_id}
        if (row_id, others) != (self.chosen, self.chosen_too):
            self.chosen, self.chosen_too = row_id, others
            self.chosen_changed.tell()

    def choose_too(self, row_id: RowId) -> None:
        """Choose one more, or let one of several go."""
        ids = set(self.chosen_ids) ^ {row_id}
        lead = row_id if row_id in ids else next((i for i in self.chosen_ids if i in ids), None)
        self.choose(lead, too=ids)

    @property
    def chosen_ids(self) -> tuple[RowId, ...]:
        """Ids of all that is chosen, the one chosen last first."""
        first = () if self.chosen is None else (self.chosen,)
        return (*first, *sorted(self.chosen_too))

    @property
    def chosen_rows(self) -> tuple[Row, ...]:
        """All that is chosen, in order of time."""
        found = (self.any_row(row_id) for row_id in self.chosen_ids)
        return tuple(sorted((row for row in found if row is not None), key=place_of))

    def forget_running(self) -> None:
        """Let go of what was started and not ended; a session without a clip has none."""

    def edit(self, kind: str, *changes: Change) -> bool:
        """Keep changes as one edit; False, with a sentence said, where they are refused."""
        if self.is_refused():
            return False
        try:
            done = self._store.edit(self.session.id, kind, self.by, *changes)
        except UserFacingError as trouble:
            self.said.tell(str(trouble))
            return False
        if done.edit_id:  # known without asking the store: a key press is not to wait for that
            self._next_deeds = (done.kind, None)
        self._take(done)
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
        self._next_deeds = None
        self._take(changes)
        what = "Taken back" if direction == "undo" else "Done again"
        self.said.tell(f"{what}: {changes.kind}.")
        return True

    @property
    def undo_words(self) -> str | None:
        """What undo would take back; None where there is nothing."""
        return self._deeds()[0]

    @property
    def redo_words(self) -> str | None:
        """What redo would do again; None where there is nothing."""
        return self._deeds()[1]

    def _deeds(self) -> tuple[str | None, str | None]:
        """What undo and redo would do."""
        if self._next_deeds is None:
            store, session_id = self._store, self.session.id
            self._next_deeds = (store.undo_kind(session_id), store.redo_kind(session_id))
        return self._next_deeds

    def history(self) -> tuple[EditRecord, ...]:
        """All that was done in the session, oldest first."""
        return self._store.history(self.session.id)

    def look_again(self) -> None:
        """Read the session from the store and tell the views."""
        self._next_deeds = None
        self._show(self._store.markup(self.session.id))

    def _take(self, done: Changes) -> None:
        """Show what was kept, without reading all of it again."""
        self._show(self.markup.with_rows(done.rows, done.dropped))

    def _show(self, markup: Markup) -> None:
        self.markup = markup
        left = [row_id for row_id in self.chosen_ids if self.any_row(row_id) is not None]
        self.choose(left[0] if left else None, too=left[1:])
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
