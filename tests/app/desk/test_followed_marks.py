"""A mark that follows the tissue, on the desk: found in another process, kept, told, put right."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from new_stores import new_store
from numpy.typing import NDArray
from PIL import Image
from pytestqt.qtbot import QtBot

from annotate.case import Case
from annotate.marks import MarkKind, Point
from annotate.people import Reviewer
from annotate.tags import Leaning
from annotate.vocabulary_file import shipped_vocabulary
from app.handback.prepare import note_for
from app.intake.mark_paths import kept_path, make_path, path_fingerprint
from app.intake.take_in import Intake, take_in
from app.jobs.work import Work
from app.review.followed_marks import FollowedMarks
from app.review.marking import Marking
from app.review.presenter import ReviewPresenter
from store import Store

CLIP = Path(__file__).parents[3] / "sample_clips" / "r07-012.mp4"
S = 1_000_000
BEGUN_US = 29 * S


def limbus(time_us: int) -> tuple[Point, Point]:
    """Centre and rim of the limbus, in shares of the picture, from the clip's truth."""
    told = json.loads(CLIP.with_suffix(".truth.json").read_text("utf-8"))
    frames = told["frames"]
    place = int(np.searchsorted(frames["time_us"], time_us + 2, side="right")) - 1
    x, y, radius = (frames[k][place] for k in ("eye_x_px", "eye_y_px", "limbus_r_px"))
    return (x / told["width"], y / told["height"]), (
        (x + radius) / told["width"], y / told["height"],
    )  # fmt: skip


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with new_store(tmp_path / "desk.sqlite") as made:
        yield made


@pytest.fixture
def case(store: Store) -> Case:
    return take_in(store, Intake([CLIP], "R-07", 12, "phaco-divide-conquer", code="R-07-012"),
                   "A-01")  # fmt: skip


@pytest.fixture
def marking(store: Store, case: Case) -> Marking:
    session = store.start_session(case.id, Reviewer("A-01"))
    words = shipped_vocabulary("phaco-divide-conquer")
    presenter = ReviewPresenter(store, case, session, words, 0.4, "A-01")
    presenter.move_playhead(BEGUN_US, BEGUN_US + 40_000)
    made = Marking(presenter)
    made.is_following = True
    return made


def test_a_mark_follows_once_its_path_is_there_and_it_is_not_made_twice(
    qtbot: QtBot, marking: Marking, store: Store, case: Case
) -> None:
    followed = FollowedMarks(marking)
    try:
        mark = marking.keep(MarkKind.RING, limbus(BEGUN_US))
        assert mark is not None
        assert followed.words(mark).startswith("Looking where the tissue goes")
        assert marking.points(mark) == mark.points
        qtbot.waitUntil(lambda: mark.id in marking.paths, timeout=60_000)
        assert followed.words(mark) == "It follows the tissue all the way."
        marking.presenter.move_playhead(30_400_000, 30_440_000)  # the eye is far off there
        there = marking.points(mark)
        assert np.abs(np.array(there[0]) - limbus(30_400_000)[0]).max() < 0.003
        assert np.abs(np.array(there[0]) - mark.points[0]).max() > 0.05
        assert kept_path(store, case, mark) is not None
    finally:
        followed.close()
    again = FollowedMarks(Marking(marking.presenter))
    try:
        assert again.is_idle
        assert mark.id in again._marking.paths
    finally:
        again.close()


def test_a_correction_is_followed_anew(
    qtbot: QtBot, marking: Marking, store: Store, case: Case
) -> None:
    followed = FollowedMarks(marking)
    try:
        drawn = marking.keep(MarkKind.RING, ((0.2, 0.2), (0.3, 0.2)))
        assert drawn is not None
        qtbot.waitUntil(lambda: drawn.id in marking.paths, timeout=60_000)
        marking.presenter.move_playhead(30 * S, 30 * S + 40_000)
        assert marking.move_points(drawn, limbus(30 * S))
        assert drawn.id not in marking.paths  # what was found of the other place is let go
        qtbot.waitUntil(lambda: drawn.id in marking.paths, timeout=60_000)
        (mark,) = marking.marks
        marking.presenter.move_playhead(30_800_000, 30_840_000)
        away = np.abs(np.array(marking.points(mark)[0]) - limbus(30_800_000)[0]).max()
        assert away < 0.003
        assert path_fingerprint(case, mark) != path_fingerprint(case, drawn)
        marking.presenter.undo()
        assert drawn.id in marking.paths  # from the store, at once
    finally:
        followed.close()


def test_damaged_content_is_made_again(marking: Marking, store: Store, case: Case) -> None:
    mark = replace(marking.drawn(MarkKind.RING, limbus(BEGUN_US)), end_us=BEGUN_US + 200_000)
    path = make_path(store, case, mark, Work())
    store.keep_derived("mark-path", path_fingerprint(case, mark), "1.0", b"x")
    assert kept_path(store, case, mark) is None
    again = make_path(store, case, mark, Work())
    assert np.array_equal(again.points, path.points)


def test_without_its_clip_a_mark_stands_still_and_says_why(
    qtbot: QtBot, tmp_path: Path, store: Store
) -> None:
    copied = tmp_path / "clip.mp4"
    copied.write_bytes(CLIP.read_bytes())
    case = take_in(store, Intake([copied], "R-07", 13, "phaco-divide-conquer"), "A-01")
    session = store.start_session(case.id, Reviewer("A-01"))
    words = shipped_vocabulary("phaco-divide-conquer")
    marking = Marking(ReviewPresenter(store, case, session, words, 0.4, "A-01"))
    marking.is_following = True
    copied.unlink()
    followed = FollowedMarks(marking)
    try:
        mark = marking.keep_default(MarkKind.RING)
        assert mark is not None
        qtbot.waitUntil(lambda: followed.is_idle, timeout=60_000)
        assert followed.words(mark).startswith("It stands still: ")
        assert marking.points(mark) == mark.points
    finally:
        followed.close()


def test_the_notes_still_has_the_mark_where_the_tissue_is(
    marking: Marking, store: Store, case: Case
) -> None:
    """A comment a second into the span: the ring is drawn on the limbus as it lies then."""
    p = marking.presenter
    mark = marking.keep(MarkKind.RING, limbus(BEGUN_US))
    assert mark is not None
    at_us = 30_400_000
    assert p.keep_comment("The eye is off.", at_us, Leaning.CORRECT)
    note = note_for(store, case, p.session, with_stills=True)
    (still,) = [told.still for told in note.comments if told.still is not None]
    image = np.asarray(Image.open(BytesIO(still.content)).convert("RGB"), int)
    assert chalk_at(image, limbus(at_us)) > 0.8
    assert chalk_at(image, mark.points) < 0.3


def chalk_at(image: NDArray[np.int_], ring: tuple[Point, ...]) -> float:
    """Share of a ring along which the picture is as light as chalk."""
    (x, y), (rim, _) = ring
    height, width = image.shape[:2]
    turns = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    radius = (rim - x) * width
    rows = np.rint(y * height + radius * np.sin(turns) - 0.5).astype(int)
    columns = np.rint(x * width + radius * np.cos(turns) - 0.5).astype(int)
    inside = (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
    return float((image[rows[inside], columns[inside]].min(axis=1) > 200).mean())
