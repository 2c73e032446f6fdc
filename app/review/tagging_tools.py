"""Reshaping tags on the screen: keys, the panel of typed times, the list of rows."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from app.review.begin_with import ask_begin_with
from app.review.choosing import choose_all, choose_more
from app.review.frame_steps import stepped
from app.review.reshaping import Reshaping
from app.review.typed_tag import Places
from app.review.typed_tag_panel import TypedTagPanel

if TYPE_CHECKING:
    from app.review.view import ReviewView


class TaggingTools:
    """Puts reshaping into a review screen.

    Parameters
    ----------
    view : ReviewView
        Its parts are all there already.
    """

    def __init__(self, view: ReviewView) -> None:
        self._view = view
        presenter = view.presenter
        self.reshaping = Reshaping(presenter)
        self.panel = TypedTagPanel(presenter, self.reshaping, view.side, view)
        self.rows = view.side.rows
        self.panel.left.connect(view.picture.setFocus)
        self.rows.left.connect(view.picture.setFocus)
        self.rows.wished.connect(self._go)
        self.reshaping.prompt_changed.listen(view.chosen_line.show_prompt)
        presenter.told.listen(view.told.emit)
        view.player.facts_changed.connect(self._take_frames)
        self._take_frames()

    def _take_frames(self) -> None:
        """Count steps by the clip's own frames, once they are known."""
        presenter, player = self._view.presenter, self._view.player
        self.panel.places = Places(presenter.length_us, player.feed, player.n_frames)
        presenter.frame_steps = self._stepped if player.n_frames else None

    def _stepped(self, time_us: int, by: int) -> int:
        player, length_us = self._view.player, self._view.presenter.length_us
        if player.feed is None or not player.n_frames:
            return time_us
        return stepped(player.feed, player.n_frames, length_us, time_us, by)

    def deeds(self) -> dict[str, Callable[[], object]]:
        """What each action does."""
        presenter, reshaping = self._view.presenter, self.reshaping
        return {
            "split": reshaping.split,
            "join": reshaping.join,
            "another-code": reshaping.ask_code,
            "type-times": self._type_times,
            "move-earlier": partial(reshaping.move_whole, -1),
            "move-later": partial(reshaping.move_whole, 1),
            "choose-next-too": partial(self._choose_more, 1),
            "choose-last-too": partial(self._choose_more, -1),
            "choose-all": self._choose_all,
            "tag-on": partial(self._go_on, 1),
            "tag-back": partial(self._go_on, -1),
            "events-farther-back": partial(self._change_reaction, 1),
            "events-less-back": partial(self._change_reaction, -1),
            "as-pressed": presenter.put_as_pressed,
            "begin-with": partial(ask_begin_with, self._view),
        }

    def abort(self) -> bool:
        """Leave what was asked for; False where nothing was."""
        return self.reshaping.abort()

    @property
    def _listed(self) -> bool:
        """Whether the list is open, and says what there is to go through."""
        return self._view.side.leaves.open_leaf == "list" and self._view.side.isVisible()

    def _type_times(self) -> None:
        if self.panel.isVisible():
            self.panel.leave()
            return
        self._view.side.show()
        self._view.held_keys.let_go()
        self.panel.open()

    def _choose_more(self, direction: int) -> None:
        rows = self.rows.model.rows if self._listed else None
        row = choose_more(self._view.presenter, direction, rows)
        if row is not None:
            self._view.player.go_to_time(row.start_us)

    def _choose_all(self) -> None:
        presenter = self._view.presenter
        n = choose_all(presenter, self.rows.listed_ids if self._listed else None)
        self._view.told.emit(f"{presenter.place_words()}." if n else "There is nothing to choose.")

    def _go_on(self, direction: int) -> None:
        """Go to the next tag; while a narrowed list is open, to the next one that it lists."""
        if not (self._listed and self.rows.narrowing.is_on):
            self._view.player.go_to_neighbour(direction)
            return
        row = self.rows.neighbour(direction)
        if row is not None:
            self._go(row.start_us, row.id)

    def _go(self, time_us: int, row_id: object) -> None:
        presenter = self._view.presenter
        if presenter.chosen != row_id or presenter.chosen_too:
            presenter.choose(row_id)  # type: ignore[arg-type]
        self._view.player.go_to_time(time_us)

    def _change_reaction(self, steps: int) -> None:
        self._view.told.emit(self._view.presenter.reaction.change(steps))
