"""The feed over a DICOM file, and over interlaced pictures field by field."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from dicom_clips import wrap
from feed_scenes import case_of, watched
from interlaced_clips import make_interlaced
from known_colours import PATCHES, Kind, errors, make_patches
from numbered_clips import make_clip
from numpy.typing import NDArray
from pytestqt.qtbot import QtBot

from app.playing.shown import Still

WAIT_MS = 30_000


def test_a_dicom_file_is_sought_and_played(qtbot: QtBot, tmp_path: Path) -> None:
    make_clip(tmp_path / "clip.mp4", n_frames=60)
    wrap(tmp_path / "clip.mp4", tmp_path / "IM0001", 3)
    with watched(case_of([tmp_path / "IM0001"])) as watcher:
        for number in (44, 3):
            watcher.feed.show_number(number)
            qtbot.waitUntil(lambda n=number: n in watcher.numbers, timeout=WAIT_MS)
        watcher.feed.play(10, 0.5)
        qtbot.waitUntil(lambda: 18 in watcher.numbers, timeout=WAIT_MS)
    assert not watcher.troubles
    assert all(seen.read == seen.number for seen in watcher.seen)


def test_a_red_reflex_reaches_the_screen_in_its_red(qtbot: QtBot, tmp_path: Path) -> None:
    """What crosses from the decoder's process to the desk, as it is painted."""
    options = {"qmin": "1", "qmax": "1", "flags": "+ildct+ilme", "b": "20000000"}
    kind = Kind(
        "sd.mpg", 360, 288, "mpeg2video", "yuv420p", "bt601", is_interlaced=True, options=options
    )
    make_patches(tmp_path / kind.name, kind)
    pictures: list[NDArray[np.uint8]] = []
    with watched(case_of([tmp_path / kind.name]), (720, 576), reads=False) as watcher:
        feed = watcher.feed
        feed.picture_came.disconnect()

        def take() -> None:
            shown = feed.take()
            if shown is not None and not shown.is_near:
                pictures.append(np.array(shown.pixels))

        feed.picture_came.connect(take)
        feed.show_number(3)
        qtbot.waitUntil(lambda: len(pictures) > 0, timeout=WAIT_MS)
    assert len(PATCHES) == len(errors(pictures[-1][..., 2::-1]))
    assert errors(pictures[-1][..., 2::-1]).max() <= 2


def test_either_field_of_a_picture_is_shown_if_asked_for(qtbot: QtBot, tmp_path: Path) -> None:
    def edge(moment: int) -> NDArray[np.uint8]:
        picture = np.full((192, 256, 3), 40, np.uint8)
        picture[:, : 60 + 3 * moment] = 220
        return picture

    make_interlaced(tmp_path / "clip.mpg", edge, 20, container="vob")
    stills: list[Still] = []
    with watched(case_of([tmp_path / "clip.mpg"]), reads=False) as watcher:
        for field in (0, 1):
            watcher.feed.take_still(9, stills.append, field=field)
        qtbot.waitUntil(lambda: len(stills) == 2, timeout=WAIT_MS)
    places = [
        int((still.rgb[96, :, 0] < 128).argmax()) for still in stills if still.rgb is not None
    ]
    assert [place - 60 for place in places] == [3 * 18, 3 * 19]
