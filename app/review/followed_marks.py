"""Finds out in the background where following marks go, and says how far that is."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from annotate.ids import RowId
from annotate.mark_motion import MOST_FOLLOWED_US, MarkPath
from annotate.marks import Mark
from app.intake.mark_paths import kept_path, make_path, path_fingerprint
from app.jobs.background import Background
from app.jobs.work import Work
from app.review.marking import Marking
from app.review.wording import tenths

_MOST_TOLD = 2


class FollowedMarks(QObject):
    """Keeps `Marking.paths` up to date. Close it before dropping it.

    Signals
    -------
    changed
        More is known: look at `words`.
    """

    changed = Signal()

    def __init__(self, marking: Marking, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._marking = marking
        self._presenter = marking.presenter
        self._background = Background(self)
        self._background.progressed.connect(self.changed)
        self._known_as: dict[RowId, str] = {}
        self._troubles: dict[RowId, str] = {}
        self._works: dict[RowId, Work] = {}
        self._presenter.markup_changed.listen(self.look)
        self.look()

    @property
    def is_idle(self) -> bool:
        """Whether nothing is being followed."""
        return not self._works

    def look(self) -> None:
        """Begin with what is new or was changed, and let go of what is not wanted any more."""
        wanted = {mark.id: mark for mark in self._marking.marks if mark.is_following}
        for mark_id in [mark_id for mark_id in self._known_as if mark_id not in wanted]:
            self._forget(mark_id)
        for mark in wanted.values():
            known_as = path_fingerprint(self._presenter.case, mark)
            if self._known_as.get(mark.id) != known_as:
                self._forget(mark.id)
                self._known_as[mark.id] = known_as
                self._find(mark, known_as)

    def close(self) -> None:
        """Stop, and wait for it."""
        self._presenter.markup_changed.forget(self.look)
        self._background.close()
        self._works.clear()

    def words(self, mark: Mark) -> str:
        """Say whether a mark follows, how far that is, or why it does not."""
        if not mark.is_following:
            return ""
        work = self._works.get(mark.id)
        if work is not None:
            share = work.done / work.total if work.total else 0.0
            return f"Looking where the tissue goes: {share * 100:.0f}\N{NO-BREAK SPACE}%"
        if mark.id in self._troubles:
            return f"It stands still: {self._troubles[mark.id]}"
        path = self._marking.paths.get(mark.id)
        if path is None:
            return "It stands still: there is no clip to follow the tissue in."
        return path_words(mark, path)

    def _forget(self, mark_id: RowId) -> None:
        self._known_as.pop(mark_id, None)
        self._troubles.pop(mark_id, None)
        self._marking.paths.pop(mark_id, None)
        work = self._works.pop(mark_id, None)
        if work is not None:
            work.cancel.set()

    def _find(self, mark: Mark, known_as: str) -> None:
        store, case = self._presenter.store, self._presenter.case
        if not case.clips:
            return
        there = kept_path(store, case, mark)
        if there is not None:
            self._marking.paths[mark.id] = there
            return

        def deed(work: Work) -> MarkPath:
            return make_path(store, case, mark, work)

        def take(path: MarkPath) -> None:
            if self._known_as.get(mark.id) == known_as:
                self._works.pop(mark.id, None)
                self._marking.paths[mark.id] = path
                self.changed.emit()

        def give_up(sentence: str) -> None:
            if self._known_as.get(mark.id) == known_as:
                self._works.pop(mark.id, None)
                self._troubles[mark.id] = sentence
                self.changed.emit()

        title = f"Following a {mark.kind.value}"
        self._works[mark.id] = self._background.run(title, deed, take, give_up)


def path_words(mark: Mark, path: MarkPath) -> str:
    """Say how well a mark follows."""
    spans = path.unsure_spans()
    if not spans and mark.end_us - mark.start_us > MOST_FOLLOWED_US:
        return f"It follows for {MOST_FOLLOWED_US // 60_000_000} minutes, then stands still."
    if not spans:
        return "It follows the tissue all the way."
    told = ", ".join(f"{tenths(a)} to {tenths(b)}" for a, b in spans[:_MOST_TOLD])
    more = f" and {len(spans) - _MOST_TOLD} times more" if len(spans) > _MOST_TOLD else ""
    return f"The tissue is lost {told}{more}; it stands still there. Drag it right to go on."
