"""Stills, from frames that carry their number in their pixels."""

from __future__ import annotations

import threading
from io import BytesIO

import numpy as np
import pytest
from note_scenes import SESSION, TYPICAL, S, comment, event, scene_vocabulary
from numbered_clips import paint, read_number
from PIL import Image

from annotate.clip.stopping import ReadingStopped
from annotate.ids import RowId
from annotate.marks import Mark, MarkKind
from annotate.markup import Markup
from annotate.tags import Comment, Leaning
from app.handback.stills import FrameMissing, ShownFrame, collect_stills, encoded

WORDS = scene_vocabulary()


def numbered(time_us: int) -> ShownFrame:
    """Twenty-five frames a second that show their number."""
    number = time_us // 40_000
    return ShownFrame(number, number * 40_000, paint(number, 320, 240))


def pixels(content: bytes) -> np.ndarray:
    with Image.open(BytesIO(content)) as image:
        return np.asarray(image.convert("RGB"))


def test_each_told_moment_has_the_frame_shown_then() -> None:
    stills = collect_stills(TYPICAL, WORDS, numbered)
    assert len(stills.by_row) == 10
    assert stills.notices == ()
    for row in (*TYPICAL.comments, *TYPICAL.tags):
        still = stills.by_row.get(row.id)
        if still and still.time_us // 1_000_000 != 207:  # that one has marks over its number
            assert still.frame_number == row.start_us // 40_000
            assert read_number(pixels(still.content)) == still.frame_number


def test_neutral_event_gets_no_still() -> None:
    markup = Markup(tags=(event("iris-touch", S, leaning=Leaning.NEUTRAL),))
    assert collect_stills(markup, WORDS, numbered).by_row == {}


def test_own_mark_that_appears_later_sets_the_time() -> None:
    mark = Mark(RowId("m"), SESSION, MarkKind.RING, 3 * S, 4 * S, ((0.9, 0.9), (0.95, 0.9)))
    about = Comment(RowId("c"), SESSION, "here", 2 * S, 5 * S, mark_id=RowId("m"))
    stills = collect_stills(Markup(comments=(about,), marks=(mark,)), WORDS, numbered)
    still = stills.by_row[RowId("c")]
    assert still.frame_number == 75
    assert "with one mark drawn on it" in still.alt


def test_marks_are_drawn_only_in_their_span() -> None:
    ring = Mark(RowId("m"), SESSION, MarkKind.RING, 2 * S, 3 * S, ((0.85, 0.85), (0.95, 0.85)))
    made = (comment("before", 2 * S - 40_000), comment("in", 2 * S), comment("after", 3 * S))
    stills = collect_stills(Markup(comments=made, marks=(ring,)), WORDS, numbered)
    drawn = ["mark" in stills.by_row[c.id].alt for c in made]
    assert drawn == [False, True, False]


def test_missing_frame_leaves_its_moment_and_says_so() -> None:
    def half_there(time_us: int) -> ShownFrame:
        if time_us > 400 * S:
            raise FrameMissing("Part 2 of 2 of the recording is not where it was, or is damaged.")
        return numbered(time_us)

    stills = collect_stills(TYPICAL, WORDS, half_there)
    assert len(stills.by_row) == 7
    assert stills.notices == (
        "Three stills are missing from this note: Part 2 of 2 of the recording is not where it "
        "was, or is damaged.",
    )


def test_neighbours_picture_is_owned_up_to() -> None:
    def damaged(time_us: int) -> ShownFrame:
        frame = numbered(time_us)
        return ShownFrame(frame.number, frame.time_us, frame.rgb, is_stand_in=True)

    stills = collect_stills(Markup(comments=(comment("x", S),)), WORDS, damaged)
    assert stills.notices[0].startswith("The recording is damaged at 0:00:01.000")


def test_work_can_be_called_off_between_stills() -> None:
    cancel = threading.Event()

    def then_cancel(time_us: int) -> ShownFrame:
        cancel.set()
        return numbered(time_us)

    with pytest.raises(ReadingStopped):
        collect_stills(TYPICAL, WORDS, then_cancel, cancel=cancel)


def test_progress_rises_to_the_whole() -> None:
    told: list[float] = []
    collect_stills(TYPICAL, WORDS, numbered, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) == 10


def test_large_picture_is_scaled_down_and_keeps_its_shape() -> None:
    content, width, height = encoded(np.zeros((1080, 1920, 3), dtype=np.uint8))
    assert (width, height) == (960, 540)
    assert pixels(content).shape == (540, 960, 3)


def test_small_picture_keeps_its_size() -> None:
    assert encoded(np.zeros((240, 320, 3), dtype=np.uint8))[1:] == (320, 240)


def test_picture_carries_no_metadata() -> None:
    content, _, _ = encoded(paint(5, 320, 240))
    with Image.open(BytesIO(content)) as image:
        assert not image.getexif()
        assert "comment" not in image.info
        assert "xmp" not in image.info
