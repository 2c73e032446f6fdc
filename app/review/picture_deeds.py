"""What keys and buttons do to the picture, to a loop and to sound."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from app.playing.shown import Still
from app.review.copying import image_of, to_clipboard
from app.review.viewpoint import ZOOM_STEP

if TYPE_CHECKING:
    from app.review.view import ReviewView

_LOOK_STEP = 0.25
"""Part of the room by which a key moves an enlarged picture."""


class PictureDeeds:
    """Does the deeds of a review screen that touch its picture.

    Parameters
    ----------
    view : ReviewView
    """

    def __init__(self, view: ReviewView) -> None:
        self._view = view

    def by_action(self) -> dict[str, Callable[[], object]]:
        """What each action does."""
        view = self._view
        picture, presenter = view.picture, view.presenter
        return {
            "step-on": partial(self._step, 1),
            "step-back": partial(self._step, -1),
            "picture-closer": partial(picture.zoom, ZOOM_STEP),
            "picture-farther": partial(picture.zoom, 1 / ZOOM_STEP),
            "whole-picture": lambda: picture.look_from(picture.viewpoint.fitted()),
            "one-to-one": self._one_to_one,
            "look-left": partial(picture.move_by, -_LOOK_STEP, 0),
            "look-right": partial(picture.move_by, _LOOK_STEP, 0),
            "look-up": partial(picture.move_by, 0, -_LOOK_STEP),
            "look-down": partial(picture.move_by, 0, _LOOK_STEP),
            "turn": lambda: picture.look_from(picture.viewpoint.turned()),
            "mirror": lambda: picture.look_from(picture.viewpoint.mirrored()),
            "original": self._original,
            "look-as-filmed": view.looks.as_filmed,
            "look-panel": self.toggle_panel,
            "picture-alone": view.toggle_side,
            "copy-frame": self._copy_frame,
            "copy-view": self._copy_view,
            "loop-start": presenter.loop_from_here,
            "loop-end": presenter.loop_to_here,
            "loop": self._loop,
            "play": self._play,
            "fields": lambda: view.told.emit(view.player.turn_fields()),
            **self._sound(),
        }

    def _sound(self) -> dict[str, Callable[[], object]]:
        knob, view = self._view.sound_knob, self._view
        return {
            "mute": knob.toggle_mute,
            "louder": partial(knob.turn, 1),
            "quieter": partial(knob.turn, -1),
            "sound-track": lambda: view.said.emit(knob.next_track()),
        }

    def _step(self, by: int) -> None:
        """A frame at a press; a key that is held runs at the clip's own rate."""
        held, player = self._view.held_keys, self._view.player
        if held.is_repeating:
            player.hold(by)
            held.when_let_go(player.let_go)
        else:
            player.step(by)
            if player.fields.is_on:
                self._view.told.emit(f"Frame {player.number}, {player.fields.words}.")

    def _play(self) -> None:
        """Run or stand; a run that is to go round in a loop begins in it."""
        if not self._view.presenter.is_playing:
            self._go_into_loop()
        self._view.player.toggle_play()

    def _loop(self) -> None:
        self._view.presenter.toggle_loop()
        self._go_into_loop()

    def _go_into_loop(self) -> None:
        presenter = self._view.presenter
        loop = presenter.loop
        if loop is not None and not loop[0] <= presenter.playhead_us < loop[1]:
            self._view.player.go_to_time(loop[0])

    def _one_to_one(self) -> None:
        picture = self._view.picture
        seen = picture.seen_from
        picture.look_at(
            seen.fitted() if seen.is_one_to_one else seen.one_to_one(picture.look_room())
        )

    def _original(self) -> None:
        """The original while the key is held; chosen from the menu, until chosen again."""
        held, picture = self._view.held_keys, self._view.picture
        if held.is_repeating:
            return
        if not held.is_down:
            picture.show_original(not picture.is_original)
            return
        picture.show_original(True)
        held.when_let_go(partial(picture.show_original, False))

    def toggle_panel(self) -> None:
        """Open or close the panel of tone and way round."""
        view = self._view
        if view.look_panel.isVisible():
            view.look_panel.leave()
            return
        view.look_panel.show_tone(view.picture.chosen_tone)
        view.look_panel.open()
        view.transport.show_panel_open(True)

    def _copy_frame(self) -> None:
        view = self._view

        def copy(still: Still) -> None:
            if still.rgb is None:
                view.said.emit(still.words)
                return
            to_clipboard(image_of(still.rgb))
            view.told.emit(f"Frame {still.number} is on the clipboard, whole and as filmed.")

        view.player.take_still(copy)

    def _copy_view(self) -> None:
        image = self._view.picture.as_on_screen()
        if image is not None:
            to_clipboard(image)
            self._view.told.emit("The picture is on the clipboard as it is shown here.")
