"""Machine values of a session: begun, changed, ended and removed, each as one edit. No Qt.

New values run on to the next ones, or to the end of the case. Like a started phase they are shown
as far as the viewer has come, and end there when the viewer leaves them or the case.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from annotate.errors import UserFacingError
from annotate.ids import RowId, new_id
from annotate.marks import Setting
from annotate.setting_values import checked, same_values
from app.notify import Notifier
from app.review.dismissed_offers import DismissedOffers
from app.review.presenter import ReviewPresenter
from app.review.setting_offers import SettingOffers
from app.review.setting_spans import opened_end_us, put_setting, setting_at, setting_before
from app.review.spans import Change
from app.review.wording import deed_words
from metrics.energy import MachineTotals, energy
from metrics.setting_limits import Breach
from store import Drop

_SHORTEST_US = 1000


class MachineValues:
    """Edits of a session's machine values, and what follows from them.

    Attributes
    ----------
    offers : SettingOffers
        Limits that the values pass.
    changed : Notifier
        Told when something else than the session changed: what runs, what is put aside.
    """

    def __init__(
        self, presenter: ReviewPresenter, dismissed: DismissedOffers | None = None
    ) -> None:
        self.presenter = presenter
        self.offers = SettingOffers(presenter, dismissed)
        self.changed: Notifier[[]] = Notifier()
        self._running: RowId | None = None
        self._run_us = (0, 0)
        self._reached_us = 0
        presenter.setting_as_shown = self.as_shown
        presenter.markup_changed.listen(self._see_run)
        presenter.playhead_moved.listen(self._follow)
        presenter.leaving.listen(self.end_running)

    def close(self) -> None:
        """Listen no more."""
        self.presenter.markup_changed.forget(self._see_run)
        self.presenter.playhead_moved.forget(self._follow)
        self.presenter.leaving.forget(self.end_running)

    # What there is

    @property
    def shown(self) -> tuple[Setting, ...]:
        """All values, those that run as far as the viewer has come."""
        return tuple(self.as_shown(each) for each in self.presenter.markup.settings)

    @property
    def here(self) -> Setting | None:
        """The values that hold at the playhead, as they are kept."""
        return setting_at(self.presenter.markup.settings, self.presenter.playhead_us)

    @property
    def last(self) -> Setting | None:
        """The values begun last before the playhead, or at it."""
        return setting_before(self.presenter.markup.settings, self.presenter.playhead_us)

    @property
    def has_running(self) -> bool:
        """Whether any values were begun and not ended."""
        return self._running is not None

    def is_running(self, setting: Setting) -> bool:
        """Whether values were begun here and not ended."""
        return setting.id == self._running

    def totals(self) -> Mapping[str, MachineTotals]:
        """Totals of each machine, of values and hand-overs as they are shown."""
        return energy(self.shown, self.presenter.shown_markup().tags)

    def offered(self) -> tuple[Breach, ...]:
        """Limits that the values pass, neither taken nor put aside."""
        return self.offers.open_ones(self.shown)

    # Edits

    def begin(self, values: Mapping[str, Any], at_us: int | None = None) -> bool:
        """Begin new values; those before end here. Values that begin at the same frame change.

        Parameters
        ----------
        values : mapping
            Fields of `Setting` by name; what is left out is not noted.
        at_us : int, optional
            When they began, case time; the playhead if left out.
        """
        presenter = self.presenter
        if presenter.is_refused():
            return False
        start_us = presenter.playhead_us if at_us is None else at_us
        settings = presenter.markup.settings
        same = next((each for each in settings if each.start_us == start_us), None)
        if same is not None:
            return self.change(same.id, values)
        if start_us >= presenter.length_us:
            presenter.said.tell("Machine values cannot begin here: the case ends.")
            return False
        fresh = Setting(
            RowId(new_id()),
            presenter.session.id,
            start_us,
            opened_end_us(settings, start_us, presenter.length_us),
            **dict(values),
        )
        if not self._keep("begun at", fresh, start_us, put_setting(settings, fresh)):
            return False
        self._running, self._reached_us = fresh.id, max(start_us, presenter.playhead_us)
        self._run_us = fresh.start_us, fresh.end_us
        presenter.choose(fresh.id)
        self.changed.tell()
        return True

    def change(self, row_id: RowId, values: Mapping[str, Any]) -> bool:
        """Change what is noted over a span; fields that are left out stay."""
        old = self._row(row_id)
        if old is None or self.presenter.is_refused():
            return False
        changed = replace(old, **dict(values))
        if same_values(old, changed):
            return True
        return self._keep("changed at", changed, old.start_us, put_setting((), changed))

    def end_here(self) -> bool:
        """End the values at the playhead; the frame on the screen is the last that they hold."""
        presenter = self.presenter
        here = self.here
        if here is None:
            presenter.said.tell("No machine values hold here. Ctrl+M begins new ones.")
            return False
        return self.set_edges(here.id, end_us=presenter.until_us)

    def set_edges(
        self, row_id: RowId, *, start_us: int | None = None, end_us: int | None = None
    ) -> bool:
        """Let values begin or end elsewhere; those noted for the same moments before yield."""
        old = self._row(row_id)
        if old is None or self.presenter.is_refused():
            return False
        self._let_go_of(old)
        start = old.start_us if start_us is None else max(0, start_us)
        end = old.end_us if end_us is None else min(end_us, self.presenter.length_us)
        if start_us is not None:
            start = min(start, end - _SHORTEST_US)
        shaped = replace(old, start_us=start, end_us=max(end, start + _SHORTEST_US))
        if shaped == old:
            return True
        edge, at_us = ("start", start) if start_us is not None else ("end", shaped.end_us)
        changes = put_setting(self.presenter.markup.settings, shaped)
        return self._keep(f"set to {edge} at", shaped, at_us, changes)

    def remove(self, row_id: RowId) -> bool:
        """Remove values, and say which they were."""
        old = self._row(row_id)
        if old is None or self.presenter.is_refused():
            return False
        presenter = self.presenter
        words = deed_words("removed at", old, old.start_us, presenter.vocabulary)
        if not presenter.edit(words, Drop(Setting, old.id)):
            return False
        presenter.said.tell(f"{words}. Ctrl+Z brings them back.")
        return True

    def end_running(self) -> None:
        """End values that run where the viewer has got to."""
        running = self._row(self._running)
        reached_us = self._reached_us
        self._running = None
        if running is None or not self.presenter.can_edit:
            return
        end_us = max(reached_us, running.start_us + _SHORTEST_US)
        if end_us < running.end_us:
            self.set_edges(running.id, end_us=end_us)

    # Within

    def _row(self, row_id: RowId | None) -> Setting | None:
        row = self.presenter.any_row(row_id)
        return row if isinstance(row, Setting) else None

    def _keep(self, deed: str, row: Setting, at_us: int, changes: list[Change]) -> bool:
        presenter = self.presenter
        try:
            checked(row)
        except UserFacingError as trouble:
            presenter.said.tell(str(trouble))
            return False
        return presenter.edit(deed_words(deed, row, at_us, presenter.vocabulary), *changes)

    def as_shown(self, setting: Setting) -> Setting:
        """Values as they are shown: those that run, as far as the viewer has come."""
        if setting.id != self._running:
            return setting
        end_us = max(min(self._reached_us, setting.end_us), setting.start_us + _SHORTEST_US)
        return replace(setting, end_us=end_us)

    def _see_run(self) -> None:
        """Values that run no longer do so once another edit gave them other edges."""
        running = self._row(self._running)
        if running is not None and (running.start_us, running.end_us) != self._run_us:
            self._running = None

    def _let_go_of(self, setting: Setting) -> None:
        if setting.id == self._running:
            self._running = None

    def _follow(self) -> None:
        """Take running values along; they end where the viewer leaves them behind."""
        running = self._row(self._running)
        presenter = self.presenter
        if running is None or presenter.playhead_us >= running.end_us:
            self._running = None
        elif presenter.playhead_us < running.start_us:
            self.end_running()
        else:
            self._reached_us = max(self._reached_us, presenter.until_us)
