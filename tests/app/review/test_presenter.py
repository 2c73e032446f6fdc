"""What keys do to a session, without a window."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_scenes import S, opened, presenter_on, tag_only_case
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from annotate.tags import LONGEST_TEXT, Leaning, TagKind
from app.review.choosing import choose_all, choose_more
from app.review.presenter import ReviewPresenter
from app.review.reshaping import Reshaping
from app.review.spans import EXCLUSIVE
from metrics.from_tags import figures
from store import Store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with opened(tmp_path) as made:
        yield made


@pytest.fixture
def presenter(store: Store) -> ReviewPresenter:
    return presenter_on(store)


def phases(presenter: ReviewPresenter) -> list[tuple[str, float, float]]:
    return [
        (tag.code, tag.start_us / S, (tag.end_us or 0) / S)
        for tag in presenter.markup.tags
        if tag.kind is TagKind.PHASE
    ]


def key_of(presenter: ReviewPresenter, code: str) -> str:
    return next(term.key for term in presenter.vocabulary.terms if term.code == code)


def press(presenter: ReviewPresenter, code: str, at_s: float) -> None:
    presenter.move_playhead(round(at_s * S))
    assert presenter.press_key(key_of(presenter, code))


def test_one_key_starts_a_phase_and_ends_the_one_before(presenter: ReviewPresenter) -> None:
    press(presenter, "incision", 1)
    press(presenter, "viscoelastic", 5)
    press(presenter, "viscoelastic", 9)
    assert phases(presenter) == [("incision", 1, 5), ("viscoelastic", 5, 9)]
    assert not presenter.running


def test_a_running_phase_is_shown_as_far_as_the_playhead(presenter: ReviewPresenter) -> None:
    press(presenter, "incision", 1)
    presenter.move_playhead(4 * S)
    assert presenter.shown_markup().tags[0].end_us == 4 * S
    assert presenter.figures().observed_us == 3 * S


def test_a_started_phase_is_kept_before_it_ends(presenter: ReviewPresenter, store: Store) -> None:
    press(presenter, "incision", 1)
    assert [tag.code for tag in store.markup(presenter.session.id).tags] == ["incision"]


def test_a_phase_started_twice_at_the_same_moment_is_taken_back(presenter: ReviewPresenter) -> None:
    press(presenter, "incision", 1)
    press(presenter, "incision", 1)
    assert phases(presenter) == []


def test_going_back_before_a_running_phase_ends_it_where_one_had_got_to(
    presenter: ReviewPresenter,
) -> None:
    press(presenter, "incision", 10)
    presenter.move_playhead(14 * S)
    presenter.move_playhead(12 * S)
    assert presenter.running
    presenter.move_playhead(2 * S)
    assert not presenter.running
    assert phases(presenter) == [("incision", 10, 14)]


def test_starting_an_earlier_phase_ends_the_running_one_where_one_had_got_to(
    presenter: ReviewPresenter,
) -> None:
    press(presenter, "sculpt", 50)
    presenter.move_playhead(60 * S)
    press(presenter, "incision", 10)
    presenter.move_playhead(20 * S)
    presenter.end_running()
    assert phases(presenter) == [("incision", 10, 20), ("sculpt", 50, 60)]


def test_nothing_begins_on_the_last_frame(presenter: ReviewPresenter) -> None:
    said: list[str] = []
    presenter.said.listen(said.append)
    presenter.move_playhead(99_960_000, 100 * S)
    presenter.press_key(key_of(presenter, "closure"))
    assert not presenter.markup.tags
    assert said == ["Closure cannot begin here: the case ends with this frame."]


def test_a_running_phase_stops_at_the_next_one(presenter: ReviewPresenter) -> None:
    press(presenter, "sculpt", 50)
    press(presenter, "sculpt", 60)
    press(presenter, "incision", 40)
    presenter.move_playhead(50 * S)
    assert not presenter.running
    assert phases(presenter) == [("incision", 40, 50), ("sculpt", 50, 60)]


def test_leaving_ends_what_runs_at_the_playhead(presenter: ReviewPresenter) -> None:
    press(presenter, "incision", 1)
    presenter.move_playhead(6 * S)
    presenter.end_running()
    assert phases(presenter) == [("incision", 1, 6)]


def test_an_event_while_playing_is_set_back_by_the_reaction_time(
    presenter: ReviewPresenter,
) -> None:
    presenter.is_playing = True
    presenter.set_speed(2.0)
    press(presenter, "eye-off-centre", 10)
    assert presenter.markup.tags[0].start_us == 9_200_000  # 0.4 s at twice the speed


def test_an_event_while_standing_is_set_where_it_is(presenter: ReviewPresenter) -> None:
    press(presenter, "eye-off-centre", 10)
    tag = presenter.markup.tags[0]
    assert (tag.start_us, tag.end_us, tag.leaning) == (10 * S, None, Leaning.CORRECT)


def test_an_event_is_never_set_before_the_case(presenter: ReviewPresenter) -> None:
    presenter.is_playing = True
    press(presenter, "good-move", 0.1)
    assert presenter.markup.tags[0].start_us == 0


def test_an_idle_reason_runs_beside_a_phase(presenter: ReviewPresenter) -> None:
    press(presenter, "sculpt", 10)
    press(presenter, "wait", 12)
    press(presenter, "wait", 15)
    presenter.move_playhead(20 * S)
    presenter.end_running()
    result = presenter.figures()
    assert result.phases[0].total_us == 10 * S
    assert result.phases[0].active_us == 7 * S
    assert result.idle.by_reason == {"wait": 3 * S}


def test_hand_over_sets_the_operator_apart(presenter: ReviewPresenter) -> None:
    press(presenter, "sculpt", 10)
    presenter.move_playhead(14 * S)
    presenter.press_hand_over()
    presenter.move_playhead(16 * S)
    presenter.press_hand_over()
    press(presenter, "sculpt", 20)
    own = presenter.figures().operator_only
    assert own is not None
    assert own.observed_us == 8 * S


def test_a_comment_takes_the_time_of_its_beginning_and_its_phase(
    presenter: ReviewPresenter,
) -> None:
    press(presenter, "sculpt", 10)
    presenter.move_playhead(30 * S)
    assert presenter.keep_comment("  Lift the wrist  ", 12 * S, Leaning.CORRECT)
    comment = presenter.markup.comments[0]
    assert (comment.text, comment.start_us, comment.phase) == ("Lift the wrist", 12 * S, "sculpt")


def test_a_comment_can_be_reworded_and_keeps_its_time(presenter: ReviewPresenter) -> None:
    presenter.keep_comment("First", 12 * S, Leaning.NEUTRAL)
    old = presenter.markup.comments[0]
    presenter.keep_comment("Second", 50 * S, Leaning.COMMEND, old.id)
    (now,) = presenter.markup.comments
    assert (now.id, now.text, now.start_us, now.leaning) == (
        old.id, "Second", 12 * S, Leaning.COMMEND,
    )  # fmt: skip


def test_too_long_a_comment_is_refused_in_a_sentence(presenter: ReviewPresenter) -> None:
    said: list[str] = []
    presenter.said.listen(said.append)
    assert not presenter.keep_comment("x" * (LONGEST_TEXT + 1), 0, Leaning.NEUTRAL)
    assert "20,001 characters" in said[0]
    assert not presenter.markup.comments


def test_an_edge_is_never_dragged_past_the_other(presenter: ReviewPresenter) -> None:
    press(presenter, "sculpt", 10)
    press(presenter, "sculpt", 20)
    tag = presenter.markup.tags[0]
    presenter.move_edge(tag.id, True, 90 * S)
    assert phases(presenter) == [("sculpt", 19.999, 20)]
    presenter.move_edge(tag.id, False, 900 * S)
    assert phases(presenter) == [("sculpt", 19.999, 100)]


def test_remove_takes_the_chosen_one_and_undo_brings_it_back(presenter: ReviewPresenter) -> None:
    press(presenter, "good-move", 10)
    before = presenter.markup
    assert presenter.remove_chosen()
    assert not presenter.markup.tags
    assert presenter.undo()
    assert presenter.markup == before


def test_undo_and_redo_go_to_both_ends(presenter: ReviewPresenter) -> None:
    states = [presenter.markup]
    for i, code in enumerate(("incision", "viscoelastic", "capsulorhexis", "good-move")):
        press(presenter, code, 5 + i * 5)
        states.append(presenter.markup)
    for state in reversed(states[:-1]):
        assert presenter.undo()
        assert presenter.markup == state
    assert not presenter.undo()
    for state in states[1:]:
        assert presenter.redo()
        assert presenter.markup == state
    assert not presenter.redo()


def test_a_signed_session_takes_no_edit_and_says_why(presenter: ReviewPresenter) -> None:
    press(presenter, "incision", 1)
    presenter.move_playhead(5 * S)
    assert presenter.sign()
    said: list[str] = []
    presenter.said.listen(said.append)
    before = presenter.markup
    presenter.press_key(key_of(presenter, "good-move"))
    assert presenter.markup == before
    assert "signed" in said[0].lower()


def test_anothers_session_takes_no_edit_and_says_why(store: Store) -> None:
    theirs = presenter_on(store, me="A-02")
    mine = ReviewPresenter(store, theirs.case, theirs.session, theirs.vocabulary, by="A-01")
    said: list[str] = []
    mine.said.listen(said.append)
    mine.press_key(key_of(mine, "good-move"))
    assert not mine.undo()
    assert not store.markup(theirs.session.id).tags
    assert "review of A-02" in said[0]


def start_of(presenter: ReviewPresenter, direction: int) -> float | None:
    row = presenter.neighbour(direction)
    return row.start_us / S if row else None


def test_neighbours_are_the_starts_before_and_after(presenter: ReviewPresenter) -> None:
    press(presenter, "good-move", 10)
    press(presenter, "good-move", 20)
    presenter.choose(None)
    presenter.move_playhead(15 * S)
    assert (start_of(presenter, -1), start_of(presenter, 1)) == (10, 20)
    presenter.move_playhead(0)
    assert presenter.neighbour(-1) is None


def test_going_through_tags_never_sticks_where_starts_lie_between_frames(
    presenter: ReviewPresenter,
) -> None:
    """Frames last 40 ms; a start 20 ms into a frame is shown by the frame before it."""
    starts = (1_020_000, 1_030_000, 2_500_000, 2_500_000, 7_777_777)
    for at_us in starts:
        presenter.move_playhead(at_us)
        presenter.press_key(key_of(presenter, "good-move"))
    presenter.choose(None)
    presenter.move_playhead(0, 40_000)
    seen = []
    while (row := presenter.neighbour(1)) is not None:
        seen.append(row.id)
        presenter.choose(row.id)
        frame_us = row.start_us // 40_000 * 40_000
        presenter.move_playhead(frame_us, frame_us + 40_000)
    assert len(seen) == len(set(seen)) == len(starts)
    while (row := presenter.neighbour(-1)) is not None:
        presenter.choose(row.id)
        frame_us = row.start_us // 40_000 * 40_000
        presenter.move_playhead(frame_us, frame_us + 40_000)
        seen.pop()
    assert len(seen) == 1


def test_dragging_a_running_phase_stops_it_where_one_had_got_to(presenter: ReviewPresenter) -> None:
    press(presenter, "sculpt", 10)
    presenter.move_playhead(60 * S)
    presenter.move_edge(presenter.markup.tags[0].id, True, 70 * S)
    assert not presenter.running
    assert phases(presenter) == [("sculpt", 59.999, 60)]
    press(presenter, "crack", 40)
    assert [code for code, _, _ in phases(presenter)] == ["crack", "sculpt"]
    assert not presenter.figures().conflicts


def test_the_chosen_span_is_set_and_nudged_by_keys(presenter: ReviewPresenter) -> None:
    press(presenter, "sculpt", 10)
    press(presenter, "sculpt", 20)
    presenter.choose(presenter.markup.tags[0].id)
    presenter.move_playhead(12 * S, 12_040_000)
    assert presenter.set_chosen_here(is_start=True)
    assert presenter.nudge_chosen(is_start=True, frames=-1)
    assert presenter.nudge_chosen(is_start=False, frames=2)
    assert phases(presenter) == [("sculpt", 11.96, 20.08)]


def test_a_chosen_event_is_moved_and_weighed(presenter: ReviewPresenter) -> None:
    press(presenter, "eye-off-centre", 10)
    presenter.move_playhead(11 * S, 11_040_000)
    presenter.set_chosen_here(is_start=True)
    presenter.nudge_chosen(is_start=True, frames=1)
    presenter.weigh_chosen(weight=3)
    presenter.weigh_chosen(leaning=Leaning.COMMEND)
    (tag,) = presenter.markup.tags
    assert (tag.start_us, tag.weight, tag.leaning) == (11_040_000, 3, Leaning.COMMEND)


def test_removing_says_what_went(presenter: ReviewPresenter) -> None:
    said: list[str] = []
    presenter.said.listen(said.append)
    press(presenter, "eye-off-centre", 16.2)
    presenter.remove_chosen()
    presenter.undo()
    assert said == [
        "Eye off centre removed at 0:16.2. Ctrl+Z brings it back.",
        "Taken back: Eye off centre removed at 0:16.2.",
    ]


def test_a_key_inside_its_own_phase_of_a_signed_review_changes_nothing_on_the_screen(
    presenter: ReviewPresenter,
) -> None:
    press(presenter, "sculpt", 10)
    press(presenter, "sculpt", 20)
    presenter.sign()
    presenter.move_playhead(15 * S)
    before = presenter.shown_markup()
    presenter.press_key(key_of(presenter, "sculpt"))
    assert presenter.shown_markup() == before


def test_speeds_stop_at_both_ends(presenter: ReviewPresenter) -> None:
    presenter.set_speed(16.0)
    assert presenter.next_speed(1) == 16.0
    presenter.set_speed(0.1)
    assert presenter.next_speed(-1) == 0.1


class Tagging(RuleBasedStateMachine):
    """Any order of keys, travels, drags, undos: what is shown is what is kept, with no overlap."""

    def __init__(self) -> None:
        super().__init__()
        import tempfile

        self.folder = tempfile.TemporaryDirectory()
        self.store = opened(Path(self.folder.name))
        self.presenter = presenter_on(self.store, tag_only_case())
        self.reshaping = Reshaping(self.presenter)

    @rule(at_ms=st.integers(0, 100_000))
    def travel(self, at_ms: int) -> None:
        self.presenter.move_playhead(at_ms * 1000)

    @rule(place=st.integers(0, 40))
    def press_any_key(self, place: int) -> None:
        terms = self.presenter.vocabulary.terms
        self.presenter.press_key(terms[place % len(terms)].key)

    @rule()
    def hand_over(self) -> None:
        self.presenter.press_hand_over()

    @rule(at_ms=st.integers(0, 100_000), is_start=st.booleans(), place=st.integers(0, 20))
    def drag(self, at_ms: int, is_start: bool, place: int) -> None:
        tags = self.presenter.markup.tags
        if tags:
            self.presenter.move_edge(tags[place % len(tags)].id, is_start, at_ms * 1000)

    @rule(words=st.text(min_size=1, max_size=20))
    def comment(self, words: str) -> None:
        self.presenter.keep_comment(words, self.presenter.playhead_us, Leaning.NEUTRAL)

    @rule()
    def remove(self) -> None:
        self.presenter.remove_chosen()

    @rule(is_start=st.booleans(), frames=st.integers(-3, 3))
    def nudge(self, is_start: bool, frames: int) -> None:
        self.presenter.nudge_chosen(is_start=is_start, frames=frames)

    @rule(is_start=st.booleans())
    def set_here(self, is_start: bool) -> None:
        self.presenter.set_chosen_here(is_start=is_start)

    @rule(direction=st.sampled_from([-1, 1]))
    def go_to_neighbour(self, direction: int) -> None:
        row = self.presenter.neighbour(direction)
        if row is not None:
            self.presenter.choose(row.id)
            self.presenter.move_playhead(row.start_us)

    @rule()
    def split(self) -> None:
        self.reshaping.split()

    @rule()
    def join(self) -> None:
        self.reshaping.join()

    @rule(frames=st.integers(-300, 300))
    def move_whole(self, frames: int) -> None:
        self.reshaping.move_whole(frames)

    @rule(direction=st.sampled_from([-1, 1]))
    def choose_one_more(self, direction: int) -> None:
        choose_more(self.presenter, direction)

    @rule()
    def choose_all_of_the_kind(self) -> None:
        choose_all(self.presenter)

    @rule(place=st.integers(0, 40))
    def give_another_code(self, place: int) -> None:
        terms = self.presenter.vocabulary.terms
        if self.reshaping.ask_code():
            self.presenter.press_key(terms[place % len(terms)].key)
            self.reshaping.abort()

    @rule(
        at_ms=st.integers(0, 99_999), ms=st.integers(1, 50_000), kind=st.sampled_from(TagKind),
        place=st.integers(0, 20), is_new=st.booleans(),
    )  # fmt: skip
    def type_times(self, at_ms: int, ms: int, kind: TagKind, place: int, is_new: bool) -> None:
        start_us, end_us = at_ms * 1000, min(at_ms + ms, 100_000) * 1000
        tags = self.presenter.markup.tags
        if is_new:
            self.reshaping.add(kind, "sculpt", start_us, end_us)
        elif tags:
            tag = tags[place % len(tags)]
            self.reshaping.retime(tag.id, tag.code, start_us, end_us)

    @rule(playing=st.booleans())
    def play_or_stand(self, playing: bool) -> None:
        self.presenter.is_playing = playing

    @rule()
    def put_as_pressed(self) -> None:
        self.presenter.put_as_pressed()

    @rule()
    def undo(self) -> None:
        self.presenter.undo()

    @rule()
    def redo(self) -> None:
        self.presenter.redo()

    @invariant()
    def shown_is_kept(self) -> None:
        assert self.presenter.markup == self.store.markup(self.presenter.session.id)

    @invariant()
    def phases_never_overlap(self) -> None:
        result = figures(self.presenter.markup.tags, self.presenter.vocabulary)
        assert not result.conflicts
        active = sum(phase.active_us for phase in result.phases)
        assert active + result.idle.total_us == result.observed_us

    @invariant()
    def no_two_of_an_exclusive_kind_overlap(self) -> None:
        for kind in EXCLUSIVE:
            spans = [tag for tag in self.presenter.markup.tags if tag.kind is kind]
            for tag, following in itertools.pairwise(spans):
                assert (tag.end_us or 0) <= following.start_us

    @invariant()
    def all_lies_within_the_case(self) -> None:
        for tag in self.presenter.markup.tags:
            assert (tag.end_us or tag.start_us) <= self.presenter.length_us

    def teardown(self) -> None:
        self.store.close()
        self.folder.cleanup()


TestTagging = Tagging.TestCase
TestTagging.settings = settings(max_examples=15, stateful_step_count=30, deadline=None)
