"""What runs is noted; what is stepped, jumped over or only looked at is not."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_scenes import S, opened, presenter_on
from hypothesis import example, given, settings
from hypothesis import strategies as st

from annotate.people import Reviewer
from annotate.watching import Watched
from app.review.presenter import ReviewPresenter
from app.review.watching import Watching
from metrics.watched import watched_figures
from store import Store

FRAME = S // 25


class Run:
    """A clip of 25 frames a second, run by hand on a clock of its own."""

    def __init__(self, presenter: ReviewPresenter, store: Store) -> None:
        self.presenter, self.now_s = presenter, 0.0
        self.watching = Watching(store, presenter, lambda: self.now_s)

    def at(self, time_us: int) -> None:
        self.presenter.move_playhead(time_us, time_us + FRAME)

    def run(self, n_frames: int, *, every: int = 1) -> None:
        """Show frames as they fall due; with `every` above 1 the others are dropped."""
        for _ in range(n_frames):
            self.now_s += every * FRAME / S / self.presenter.speed
            self.at(self.presenter.playhead_us + every * FRAME)

    def play(self, n_frames: int, *, every: int = 1) -> None:
        self.presenter.set_playing(True)
        self.run(n_frames, every=every)
        self.presenter.set_playing(False)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with opened(tmp_path) as made:
        yield made


@pytest.fixture
def run(store: Store) -> Run:
    made = Run(presenter_on(store), store)
    made.at(0)
    return made


def kept(run: Run, store: Store) -> tuple[Watched, ...]:
    assert run.watching.flush()
    return store.watched(run.presenter.session.id)


def test_a_run_is_noted_as_far_as_its_last_frame_with_its_speed(run: Run, store: Store) -> None:
    run.presenter.set_speed(2.0)
    run.play(100)
    assert kept(run, store) == (Watched(0, 101 * FRAME, 2.0),)


def test_stepping_scrubbing_and_going_somewhere_are_not_watching(run: Run, store: Store) -> None:
    for n in range(200):
        run.at(n * FRAME)
    run.at(50 * S)
    run.presenter.set_playing(True)
    run.presenter.set_playing(False)
    assert kept(run, store) == ()


def test_a_jump_while_it_runs_leaves_out_what_was_jumped_over(run: Run, store: Store) -> None:
    run.presenter.set_playing(True)
    run.run(25)
    run.now_s += 0.05
    run.at(2 * S)  # a second on, within a moment
    run.run(25)
    run.at(0)
    run.run(5)
    run.presenter.set_playing(False)
    assert kept(run, store) == (
        Watched(0, 26 * FRAME, 1.0),
        Watched(2 * S, 3 * S + FRAME, 1.0),
        Watched(0, 6 * FRAME, 1.0),
    )


@pytest.mark.parametrize("speed", [0.1, 1.0, 4.0, 8.0])
def test_a_jump_of_a_second_is_told_from_a_run_up_to_eight_times(
    run: Run, store: Store, speed: float
) -> None:
    run.presenter.set_speed(speed)
    run.presenter.set_playing(True)
    run.run(25, every=2)
    before = run.presenter.playhead_us
    run.now_s += 0.02
    run.at(before + S + 50 * FRAME)
    run.run(3, every=2)
    run.presenter.set_playing(False)
    assert next(w.end_us for w in kept(run, store)) == before + FRAME


def test_dropped_and_late_pictures_do_not_break_a_run(run: Run, store: Store) -> None:
    run.presenter.set_speed(8.0)
    run.presenter.set_playing(True)
    run.run(10, every=12)
    run.now_s += 1.5  # the picture stands; then the clip runs on from where it is
    run.run(10, every=12)
    run.presenter.set_playing(False)
    (one,) = kept(run, store)
    assert (one.start_us, one.end_us) == (0, 20 * 12 * FRAME + FRAME)


def test_pauses_and_flushes_join_without_counting_a_frame_twice(run: Run, store: Store) -> None:
    run.play(10)
    run.play(10)
    assert run.watching.waiting == (Watched(0, 21 * FRAME, 1.0),)
    run.presenter.set_playing(True)
    run.run(3)
    first = kept(run, store)
    run.run(4)
    run.presenter.set_playing(False)
    found = kept(run, store)
    assert first == (Watched(0, 24 * FRAME, 1.0),)
    assert found == (Watched(0, 28 * FRAME, 1.0),)
    assert watched_figures(found, 100 * S).spent_us == 28 * FRAME


def test_a_new_speed_is_a_new_stretch(run: Run, store: Store) -> None:
    run.presenter.set_playing(True)
    run.run(10)
    run.presenter.set_speed(4.0)
    run.run(10)
    run.presenter.set_playing(False)
    assert kept(run, store) == (
        Watched(0, 11 * FRAME, 1.0),
        Watched(11 * FRAME, 21 * FRAME, 4.0),
    )


def test_the_end_of_the_case_ends_the_last_stretch(run: Run, store: Store) -> None:
    run.at(99 * S)
    run.presenter.set_playing(True)
    run.run(24)
    run.presenter.move_playhead(99 * S + 24 * FRAME, 100 * S + 7 * FRAME)
    run.presenter.set_playing(False)
    assert kept(run, store) == (Watched(99 * S, 100 * S, 1.0),)


def test_only_a_draft_of_ones_own_is_noted(run: Run, store: Store) -> None:
    theirs = store.start_session(run.presenter.case.id, Reviewer("A-02"))
    other = ReviewPresenter(store, run.presenter.case, theirs, run.presenter.vocabulary, by="A-01")
    looking = Run(other, store)
    looking.play(50)
    assert kept(looking, store) == ()
    run.play(10)
    run.watching.flush()
    run.presenter.sign()
    run.play(10)
    assert kept(run, store) == (Watched(0, 11 * FRAME, 1.0),)


def test_leaving_keeps_what_ran(run: Run, store: Store) -> None:
    run.presenter.set_playing(True)
    run.run(10)
    run.watching.close()
    assert store.watched(run.presenter.session.id) == (Watched(0, 11 * FRAME, 1.0),)
    run.run(10)
    assert run.watching.waiting == ()


deeds = st.lists(
    st.one_of(
        st.tuples(st.just("run"), st.integers(1, 40)),
        st.tuples(st.just("go"), st.integers(0, 2400)),
        st.tuples(st.just("play"), st.booleans()),
        st.tuples(st.just("flush"), st.none()),
    ),
    max_size=30,
)


@settings(max_examples=15, deadline=None)
@example([("play", True), ("play", False), ("play", True), ("run", 1)])
@given(deeds)
def test_noted_is_what_was_shown_while_it_ran(
    tmp_path_factory: pytest.TempPathFactory, done: list[tuple[str, int]]
) -> None:
    """Against the plain count of frames that were shown one after the other while playing."""
    with opened(tmp_path_factory.mktemp("watching")) as store:
        run = Run(presenter_on(store), store)
        run.at(0)
        shown: set[int] = set()
        for what, value in done:
            presenter = run.presenter
            if what == "run" and presenter.is_playing:
                first = presenter.playhead_us // FRAME
                n = min(value, 2499 - first)
                run.run(n)
                shown.update(range(first, first + n + 1) if n else ())
            elif what == "go":
                if abs(value * FRAME - presenter.playhead_us) > 5 * FRAME:
                    run.at(value * FRAME)
            elif what == "play":
                presenter.set_playing(bool(value))
            elif what == "flush":
                run.watching.flush()
        run.watching.close()
        found = watched_figures(store.watched(run.presenter.session.id), 100 * S)
        frames = {n for a, b in found.seen for n in range(a // FRAME, b // FRAME)}
        assert frames == shown
