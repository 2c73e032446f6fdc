"""Keeps the transport's words and controls in step with player, picture and sound."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.playing.sound_out import NO_SOUND
from app.review.pace_words import pace_words

if TYPE_CHECKING:
    from app.review.view import ReviewView


class TransportState:
    """Listens to the parts of a review screen and tells its transport.

    Parameters
    ----------
    view : ReviewView
        Its parts are all there already.
    """

    def __init__(self, view: ReviewView) -> None:
        self._view = view
        presenter, player, picture = view.presenter, view.player, view.picture
        picture.framing_changed.connect(self.show_look)
        player.pace_changed.connect(self.show_pace)
        presenter.play_changed.listen(self.show_pace)
        presenter.playhead_moved.listen(self.show_field)
        player.facts_changed.connect(self.show_field)
        presenter.loop_changed.listen(self.run_again)
        view.look_panel.left.connect(self.show_panel)
        view.sound_knob.told.connect(view.told)
        if player.sound is not None:
            view.sound_knob.attach(player.sound, self.run_again)
        else:
            view.sound_knob.tell(why_silent=NO_SOUND)
        self.show_look()

    def show_look(self) -> None:
        """Say how the picture differs from what was filmed."""
        view = self._view
        view.transport.show_look(view.looks.words())
        view.look_panel.show_tone(view.picture.chosen_tone)

    def show_pace(self) -> None:
        """Say how a run goes on."""
        presenter, feed = self._view.presenter, self._view.player.feed
        pace = feed.pace if feed is not None and presenter.is_playing else None
        self._view.transport.show_pace(pace_words(pace, presenter.speed))

    def show_field(self) -> None:
        """Say which field is on the screen, if it is one."""
        self._view.transport.show_field(self._view.player.fields.words)

    def show_panel(self) -> None:
        """Show whether the panel of looks is open."""
        self._view.transport.show_panel_open(self._view.look_panel.isVisible())

    def run_again(self) -> None:
        """A run that goes on takes another loop or sound track from here."""
        if self._view.presenter.is_playing:
            self._view.player.set_speed(self._view.presenter.speed)
