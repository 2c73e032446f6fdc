"""From a store and real clips to a note."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from new_stores import new_store
from numbered_clips import make_clip, read_number
from PIL import Image

from annotate.case import Case, ReviewSession
from annotate.ids import RowId, new_id
from annotate.people import Reviewer
from annotate.tags import Comment, Leaning
from app.handback.note import Note
from app.handback.note_html import note_html
from app.handback.note_pdf import note_pdf
from app.handback.prepare import note_for
from app.intake.take_in import Intake, take_in
from store import Put, Store

TIMES_US = (0, 1_234_567, 2_999_999, 3_000_000, 4_100_000, 5_966_000)


@dataclass(frozen=True)
class Scene:
    store: Store
    case: Case
    session: ReviewSession
    clips: tuple[Path, Path]

    def note(self) -> Note:
        return note_for(self.store, self.case, self.session, with_stills=True)


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("recording")
    make_clip(folder / "patient-name-1.mp4")
    make_clip(folder / "patient-name-2.mp4", first_number=90)
    return folder / "patient-name-1.mp4", folder / "patient-name-2.mp4"


@pytest.fixture
def scene(tmp_path: Path, recording: tuple[Path, Path]) -> Iterator[Scene]:
    """Two clips of 90 frames at 30 a second, end to end, and a comment at each of TIMES_US."""
    first, second = (Path(shutil.copy(clip, tmp_path)) for clip in recording)
    clips = (first, second)
    with new_store(tmp_path / "store.sqlite") as store:
        wanted = Intake(clips, "R-07", 3, "phaco-chop")
        case = take_in(store, wanted, "A-01")
        session = store.start_session(case.id, Reviewer("A-01"))
        for time_us in TIMES_US:
            about = Comment(
                RowId(new_id()), session.id, f"at {time_us}", time_us, None, Leaning.CORRECT, 1
            )
            store.edit(session.id, "add comment", "A-01", Put(about))
        yield Scene(store, case, session, clips)


def shown_number(note: Note, place: int) -> int | None:
    still = note.comments[place].still
    assert still is not None
    with Image.open(BytesIO(still.content)) as image:
        return read_number(np.asarray(image.convert("RGB")))


def test_stills_are_the_frames_shown_over_all_clips(scene: Scene) -> None:
    note = scene.note()
    for place, time_us in enumerate(TIMES_US):
        still = note.comments[place].still
        assert still is not None
        assert still.frame_number == time_us * 30 // 1_000_000
        assert shown_number(note, place) == still.frame_number
        assert still.time_us <= time_us


def test_note_without_stills_opens_no_clip(scene: Scene) -> None:
    for clip in scene.clips:
        clip.unlink()
    note = note_for(scene.store, scene.case, scene.session, with_stills=False)
    assert len(note.comments) == len(TIMES_US)
    assert not any("stills" in notice for notice in note.notices)


def test_missing_clip_costs_only_its_own_stills(scene: Scene) -> None:
    scene.clips[1].unlink()
    note = scene.note()
    assert [told.still is not None for told in note.comments] == [True] * 3 + [False] * 3
    assert note.notices[-1] == (
        "Three stills are missing from this note: part 2 of 2 of the recording is not where it "
        "was, or is damaged."
    )


def test_cut_off_clip_costs_only_its_own_stills(scene: Scene) -> None:
    scene.clips[0].write_bytes(scene.clips[0].read_bytes()[:2000])
    note = scene.note()
    assert [told.still is not None for told in note.comments] == [False] * 3 + [True] * 3


def test_no_name_of_a_file_reaches_the_note(scene: Scene) -> None:
    scene.clips[1].unlink()
    note = scene.note()
    for content in (note_html(note).encode(), note_pdf(note)):
        assert b"patient" not in content
        assert str(scene.clips[0].parent).encode() not in content
