"""Splitting, joining, moving and recoding, without a window."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from desk_scenes import S, opened, presenter_on, tag_only_case

from annotate.ids import RowId, new_id
from annotate.marks import Mark, MarkKind
from annotate.tags import Leaning, Tag, TagKind
from app.review.choosing import choose_all, choose_more
from app.review.presenter import ReviewPresenter
from app.review.reshaping import Reshaping
from store import Put, Store


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with opened(tmp_path_factory.mktemp("desk")) as made:
        yield made


@pytest.fixture
def presenter(store: Store) -> ReviewPresenter:
    return presenter_on(store, tag_only_case(f"R-07-{len(store.cases()):03d}"))


@pytest.fixture
def reshaping(presenter: ReviewPresenter) -> Reshaping:
    return Reshaping(presenter)


@pytest.fixture
def said(presenter: ReviewPresenter) -> list[str]:
    sentences: list[str] = []
    presenter.said.listen(sentences.append)
    presenter.told.listen(sentences.append)
    return sentences


def put(
    presenter: ReviewPresenter,
    code: str,
    start_s: float,
    end_s: float | None = None,
    kind: TagKind = TagKind.PHASE,
) -> RowId:
    end_us = None if end_s is None else round(end_s * S)
    kind = TagKind.EVENT if end_s is None else kind
    tag = Tag(RowId(new_id()), presenter.session.id, kind, code, round(start_s * S), end_us)
    assert presenter.edit("put", Put(tag))
    return tag.id


def spans(presenter: ReviewPresenter) -> list[tuple[str, float, float | None]]:
    return [
        (tag.code, tag.start_us / S, None if tag.end_us is None else tag.end_us / S)
        for tag in presenter.markup.tags
    ]


def test_a_span_is_split_at_the_playhead_and_joined_again(
    presenter: ReviewPresenter, reshaping: Reshaping
) -> None:
    presenter.choose(put(presenter, "sculpt", 10, 20))
    presenter.move_playhead(14 * S)
    assert reshaping.split()
    assert spans(presenter) == [("sculpt", 10, 14), ("sculpt", 14, 20)]
    assert presenter.undo_words == "Sculpting split at 0:14.0"
    presenter.choose(presenter.markup.tags[0].id)
    assert reshaping.join()
    assert spans(presenter) == [("sculpt", 10, 20)]
    presenter.undo()
    presenter.undo()
    assert spans(presenter) == [("sculpt", 10, 20)]


def test_a_phase_under_the_playhead_is_split_where_no_span_is_chosen(
    presenter: ReviewPresenter, reshaping: Reshaping
) -> None:
    put(presenter, "sculpt", 10, 20)
    presenter.choose(put(presenter, "good-move", 12))
    presenter.move_playhead(14 * S)
    assert reshaping.split()


def test_what_cannot_be_split_is_refused_in_a_sentence(
    presenter: ReviewPresenter, reshaping: Reshaping, said: list[str]
) -> None:
    assert not reshaping.split()
    presenter.choose(put(presenter, "sculpt", 10, 20))
    presenter.move_playhead(30 * S)
    assert not reshaping.split()
    assert said == [
        "There is no span here: choose one, go into it, split it there.",
        "Sculpting goes from 0:10.0 to 0:20.0: go to a frame within it, then split it there.",
    ]


def test_a_span_that_runs_is_split_only_as_far_as_one_has_come(
    presenter: ReviewPresenter, reshaping: Reshaping, said: list[str]
) -> None:
    presenter.move_playhead(10 * S)
    presenter.press_key(next(t.key for t in presenter.vocabulary.phases if t.code == "sculpt"))
    presenter.move_playhead(20 * S)
    assert not reshaping.split()
    assert "no farther" in said[-1]
    assert presenter.running  # a refusal leaves it running
    presenter.move_playhead(14 * S)
    assert reshaping.split()
    assert spans(presenter) == [("sculpt", 10, 14), ("sculpt", 14, 20)]
    assert not presenter.running


def test_joining_several_covers_the_gap_and_what_lies_in_it_yields(
    presenter: ReviewPresenter, reshaping: Reshaping, said: list[str]
) -> None:
    first, last = put(presenter, "sculpt", 10, 20), put(presenter, "crack", 40, 50)
    put(presenter, "chop", 25, 30)
    put(presenter, "wait", 22, 23, TagKind.IDLE)
    presenter.choose(first, too=[last])
    assert reshaping.join()
    assert spans(presenter) == [("sculpt", 10, 50), ("wait", 22, 23)]
    assert "is covered and goes" in said[-1]
    presenter.undo()
    assert [code for code, _, _ in spans(presenter)] == ["sculpt", "wait", "chop", "crack"]


def test_kinds_are_not_joined_with_each_other(
    presenter: ReviewPresenter, reshaping: Reshaping, said: list[str]
) -> None:
    phase = put(presenter, "sculpt", 10, 20)
    presenter.choose(phase, too=[put(presenter, "wait", 22, 23, TagKind.IDLE)])
    assert not reshaping.join()
    presenter.choose(phase)
    assert not reshaping.join()
    assert said[0] == "Only spans of one kind are joined: phases, or idle spans."
    assert said[1] == "After this one there is no further 'Sculpting' to join with."


def test_all_chosen_move_together_and_the_neighbour_yields(
    presenter: ReviewPresenter, reshaping: Reshaping, said: list[str]
) -> None:
    first, event = put(presenter, "sculpt", 10, 20), put(presenter, "good-move", 12)
    put(presenter, "crack", 20, 30)
    before = presenter.markup
    presenter.choose(first, too=[event])
    presenter.frame_steps = lambda time_us, by: time_us + by * 40_000
    assert reshaping.move_whole(2)
    assert spans(presenter) == [
        ("sculpt", 10.08, 20.08), ("good-move", 12.08, None), ("crack", 20.08, 30),
    ]  # fmt: skip
    assert "now begins at 0:20.0" in said[-1]
    assert presenter.undo()
    assert presenter.markup == before


def test_nothing_moves_out_of_the_case(presenter: ReviewPresenter, reshaping: Reshaping) -> None:
    presenter.choose(put(presenter, "sculpt", 0.1, 99.5), too=[put(presenter, "good-move", 0.2)])
    assert reshaping.shift(-S)
    assert spans(presenter) == [("sculpt", 0, 99.4), ("good-move", 0.1, None)]
    assert not reshaping.shift(-S)
    assert reshaping.shift(9 * S)
    assert spans(presenter)[0] == ("sculpt", 0.6, 100)


def test_a_following_mark_moves_with_its_anchors(
    presenter: ReviewPresenter, reshaping: Reshaping
) -> None:
    here = ((0.5, 0.5), (0.6, 0.5))
    mark = Mark(
        RowId(new_id()), presenter.session.id, MarkKind.RING, S, 3 * S, here,
        is_following=True, anchors=((2 * S, here),),
    )  # fmt: skip
    presenter.edit("put", Put(mark))
    presenter.choose(mark.id)
    assert reshaping.shift(S)
    (moved,) = presenter.markup.marks
    assert (moved.start_us, moved.end_us, moved.anchors[0][0]) == (2 * S, 4 * S, 3 * S)


def test_the_next_key_gives_the_chosen_another_code(
    presenter: ReviewPresenter, reshaping: Reshaping, said: list[str]
) -> None:
    first = put(presenter, "sculpt", 10, 20)
    presenter.choose(first, too=[put(presenter, "sculpt", 30, 40)])
    keys = {term.code: term.key for term in presenter.vocabulary.terms}
    assert reshaping.ask_code()
    assert reshaping.prompt == "Another code for 2 phases: press its key. Esc leaves it."
    presenter.press_key(keys["good-move"])
    assert "is an event. Press a key of its own kind" in said[-1]
    presenter.press_key(keys["crack"])
    assert [code for code, _, _ in spans(presenter)] == ["crack", "crack"]
    assert not reshaping.prompt
    assert presenter.undo_words == "2 phases given the code Cracking at 0:10.0 to 0:30.0"
    presenter.move_playhead(50 * S)
    presenter.press_key(keys["crack"])
    assert len(presenter.markup.tags) == 3  # keys tag again


def test_escape_leaves_the_code(presenter: ReviewPresenter, reshaping: Reshaping) -> None:
    presenter.choose(put(presenter, "sculpt", 10, 20))
    assert not reshaping.abort()
    reshaping.ask_code()
    assert reshaping.abort()
    assert presenter.term_wanted is None
    reshaping.ask_code()
    presenter.choose(None)
    assert not reshaping.prompt


def test_an_event_takes_the_leaning_of_its_new_code_unless_set_by_hand(
    presenter: ReviewPresenter, reshaping: Reshaping
) -> None:
    terms = {term.code: term for term in presenter.vocabulary.events}
    presenter.press(terms["eye-off-centre"])
    reshaping.recode(terms["good-move"])
    assert presenter.markup.tags[0].leaning is terms["good-move"].leaning
    presenter.weigh_chosen(weight=3, leaning=Leaning.NEUTRAL)
    reshaping.recode(terms["eye-off-centre"])
    (tag,) = presenter.markup.tags
    assert (tag.code, tag.leaning, tag.weight) == ("eye-off-centre", Leaning.NEUTRAL, 3)


def test_several_are_removed_in_one_edit(presenter: ReviewPresenter, said: list[str]) -> None:
    first = put(presenter, "sculpt", 10, 20)
    presenter.choose(first, too=[put(presenter, "crack", 30, 40), put(presenter, "chop", 41, 42)])
    before = presenter.markup
    assert presenter.remove_chosen()
    assert said == ["3 phases removed at 0:10.0 to 0:41.0. Ctrl+Z brings them back."]
    presenter.undo()
    assert presenter.markup == before


def test_edges_of_several_are_nudged_and_weighed_at_once(presenter: ReviewPresenter) -> None:
    presenter.frame_steps = lambda time_us, by: time_us + by * 40_000
    a, b = put(presenter, "sculpt", 10, 20), put(presenter, "crack", 20, 30)
    event = put(presenter, "good-move", 15)
    presenter.choose(a, too=[b, event])
    assert presenter.nudge_chosen(is_start=True, frames=-1)
    assert spans(presenter) == [
        ("sculpt", 9.96, 19.96), ("good-move", 14.96, None), ("crack", 19.96, 30),
    ]  # fmt: skip
    assert presenter.nudge_chosen(is_start=False, frames=1)
    assert spans(presenter)[0] == ("sculpt", 9.96, 20)
    assert spans(presenter)[2] == ("crack", 20, 30.04)
    assert presenter.weigh_chosen(weight=2)
    assert (presenter.undo_words or "").endswith("weighed anew at 0:15.0")
    presenter.undo()
    presenter.undo()
    presenter.undo()
    assert spans(presenter)[0] == ("sculpt", 10, 20)


def test_typed_times_and_a_new_tag(
    presenter: ReviewPresenter, reshaping: Reshaping, said: list[str]
) -> None:
    first = put(presenter, "sculpt", 10, 20)
    assert reshaping.add(TagKind.PHASE, "crack", 15 * S, 30 * S)
    assert spans(presenter) == [("sculpt", 10, 15), ("crack", 15, 30)]
    assert said[-1] == "Makes room: Sculpting now ends at 0:15.0. Ctrl+Z restores both."
    assert reshaping.retime(first, "chop", 14 * S, 16 * S)
    assert spans(presenter) == [("chop", 14, 16), ("crack", 16, 30)]
    assert reshaping.add(TagKind.HAND_OVER, "A-03", 5 * S, 6 * S)
    assert presenter.markup.tags[0].code == "A-03"


def test_choosing_more_goes_on_and_back(presenter: ReviewPresenter) -> None:
    ids = [put(presenter, "good-move", at) for at in (10, 20, 30)]
    presenter.choose(ids[0])
    choose_more(presenter, 1)
    choose_more(presenter, 1)
    assert presenter.chosen == ids[2]
    assert set(presenter.chosen_ids) == set(ids)
    choose_more(presenter, -1)
    assert presenter.chosen == ids[1]
    assert set(presenter.chosen_ids) == set(ids[:2])
    assert choose_more(presenter, 1) is not None
    assert choose_more(presenter, 1) is None


def test_all_of_a_kind_are_chosen(presenter: ReviewPresenter) -> None:
    phase = put(presenter, "sculpt", 10, 20)
    events = [put(presenter, "good-move", at) for at in (12, 22)]
    presenter.choose(events[1])
    assert choose_all(presenter) == 2
    assert presenter.chosen == events[1]
    assert presenter.place_words().startswith("2 chosen: ")
    presenter.choose(None)
    assert choose_all(presenter) == 3
    assert choose_all(presenter, (phase,)) == 1


def test_an_event_that_was_set_back_is_put_to_its_key_press(
    presenter: ReviewPresenter, said: list[str]
) -> None:
    presenter.is_playing = True
    presenter.set_speed(2.0)
    presenter.move_playhead(10 * S)
    presenter.press(next(e for e in presenter.vocabulary.events if e.code == "good-move"))
    assert "is set back by 0.8 s, to 0:09.2. Backspace puts it" in said[-1]
    presenter.choose(None)
    assert presenter.put_as_pressed()
    assert spans(presenter)[0][1] == 10
    assert not presenter.put_as_pressed()
    presenter.undo()
    assert spans(presenter)[0][1] == 9.2
    assert presenter.put_as_pressed()


def test_the_reaction_time_is_changed_by_tenths_within_bounds(presenter: ReviewPresenter) -> None:
    reaction = presenter.reaction
    assert "0.5 s back" in reaction.change(1)
    assert "stay at the key press" in reaction.change(-99)
    reaction.change(99)
    assert reaction.seconds == 2.0
