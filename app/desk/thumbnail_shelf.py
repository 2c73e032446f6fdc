"""The small pictures of the clips: brought from the store, made in the background where missing.

They are made one clip after another, those of the case on the screen first, and go on being made
when it is left.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from annotate.case import Case, ClipRecord
from annotate.clip.thumbnails import Thumbnails
from app.intake.small_pictures import make_small_pictures
from app.jobs.background import Background
from app.jobs.work import Work
from store import Store

_MOST_HELD = 16
"""Clips whose small pictures are held in memory; some megabytes each at most."""


@dataclass(frozen=True, slots=True)
class _Wanted:
    case: Case
    clip: ClipRecord


class ThumbnailShelf(QObject):
    """Holds small pictures by a clip's fingerprint. Close it before dropping it.

    Signals
    -------
    changed
        There are more of some clip.
    """

    changed = Signal()

    def __init__(self, store: Store, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store = store
        self._background = Background(self)
        self._background.progressed.connect(self._tell)
        self._background.idle.connect(self._next)
        self._held: OrderedDict[str, Thumbnails] = OrderedDict()
        self._waiting: list[_Wanted] = []
        self._running: _Wanted | None = None
        self._came: Thumbnails | None = None
        self._told: Thumbnails | None = None
        self._is_closed = False

    @property
    def is_idle(self) -> bool:
        """Whether nothing is made or brought."""
        return self._running is None and not self._waiting

    def of(self, fingerprint: str) -> Thumbnails:
        """Those of a clip that are there by now."""
        return self._held.get(fingerprint, Thumbnails())

    def want(self, case: Case, *, at_once: bool = True) -> None:
        """Bring or make those of a case, before all others or after them."""
        clips = {clip.fingerprint: clip for clip in case.clips}
        others = [other for other in self._waiting if other.clip.fingerprint not in clips]
        own = [_Wanted(case, clip) for mark, clip in clips.items() if self._is_missing(mark)]
        running = self._running
        if at_once and own and running is not None and running.clip.fingerprint not in clips:
            self._background.cancel_all()  # what it has made is kept, and it goes on later
            others.append(running)
        self._waiting = [*own, *others] if at_once else [*others, *own]
        if running is None:
            self._next()

    def stop(self) -> None:
        """Make no more; what was made is kept."""
        self._waiting.clear()
        self._background.cancel_all()

    def close(self) -> None:
        """Stop, and wait for it."""
        self._is_closed = True
        self._waiting.clear()
        self._background.close()
        self._running = None

    def _is_missing(self, mark: str) -> bool:
        is_running = self._running is not None and self._running.clip.fingerprint == mark
        return not is_running and not self.of(mark).is_complete

    def _next(self) -> None:
        """Begin with the next clip, once nothing runs."""
        self._tell()
        self._running = None
        if not self._waiting or self._is_closed:
            return
        wanted = self._waiting.pop(0)
        self._running, self._came, self._told = wanted, None, None

        def deed(work: Work) -> Thumbnails:
            return make_small_pictures(self._store, wanted.case, wanted.clip, self._take, work)

        title = f"Small pictures of {wanted.case.code}"
        self._background.run(title, deed, self._take, _leave_out)

    def _take(self, there: Thumbnails) -> None:
        """On the work's thread: leave what there is for the main thread to find."""
        self._came = there

    def _tell(self) -> None:
        came = self._came
        if came is None or came is self._told or self._running is None:
            return
        self._told = came
        mark = self._running.clip.fingerprint
        self._held[mark] = came
        self._held.move_to_end(mark)
        while len(self._held) > _MOST_HELD:
            self._held.popitem(last=False)
        self.changed.emit()


def _leave_out(_sentence: str) -> None:
    """A case goes without small pictures; opening it says what is wrong with a clip."""
