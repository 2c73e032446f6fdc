"""Machine values of a session, without a window: one edit each, no overlap, offers, totals."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from desk_scenes import S, opened, presenter_on
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.marks import Setting
from annotate.tags import Comment, Leaning, Tag, TagKind
from app.review.adding_settings import Added, add_settings
from app.review.dismissed_offers import DismissedOffers
from app.review.machine_values import MachineValues
from app.review.presenter import ReviewPresenter
from app.review.setting_spans import put_setting
from app.setting_words import breach_words, is_taken
from store import Drop, Store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with opened(tmp_path) as made:
        yield made


@pytest.fixture
def presenter(store: Store) -> ReviewPresenter:
    return presenter_on(store)


@pytest.fixture
def values(presenter: ReviewPresenter, tmp_path: Path) -> MachineValues:
    return MachineValues(presenter, DismissedOffers(tmp_path / "aside"))


def go(presenter: ReviewPresenter, at_s: float) -> None:
    presenter.move_playhead(round(at_s * S), round(at_s * S) + 33_333)


def kept(presenter: ReviewPresenter) -> list[tuple[float, float, str]]:
    return [(r.start_us / S, r.end_us / S, r.mode) for r in presenter.markup.settings]


def begin(values: MachineValues, at_s: float, **noted: Any) -> None:
    go(values.presenter, at_s)
    assert values.begin(noted)


def test_new_values_end_those_before_and_undo_brings_both_back(values: MachineValues) -> None:
    presenter = values.presenter
    begin(values, 10, mode="sculpt", vacuum_mmhg=80.0)
    begin(values, 40, mode="quadrants", vacuum_mmhg=350.0)
    assert kept(presenter) == [(10, 40, "sculpt"), (40, 100, "quadrants")]
    assert presenter.undo_words == "Machine values 'quadrants' begun at 0:40.0"
    presenter.undo()
    assert kept(presenter) == [(10, 100, "sculpt")]
    presenter.redo()
    assert kept(presenter) == [(10, 40, "sculpt"), (40, 100, "quadrants")]


def test_running_values_are_shown_as_far_as_one_has_come_and_end_there(
    values: MachineValues,
) -> None:
    presenter = values.presenter
    begin(values, 10, power_percent=40.0)
    go(presenter, 30)
    assert values.shown[0].end_us == 30 * S + 33_333
    assert presenter.markup.settings[0].end_us == 100 * S
    presenter.end_running()
    assert presenter.markup.settings[0].end_us == 30 * S + 33_333
    assert values.totals()[""].phaco_us == pytest.approx(20 * S, abs=33_334)


def test_going_back_before_running_values_ends_them(values: MachineValues) -> None:
    presenter = values.presenter
    begin(values, 10, power_percent=40.0)
    go(presenter, 30)
    go(presenter, 5)
    assert kept(presenter) == [(10, pytest.approx(30.033333), "")]
    assert not values.is_running(presenter.markup.settings[0])


def test_values_begun_at_the_same_frame_are_changed(values: MachineValues) -> None:
    begin(values, 10, mode="sculpt", vacuum_mmhg=80.0)
    begin(values, 10, mode="sculpt", vacuum_mmhg=90.0)
    (row,) = values.presenter.markup.settings
    assert row.vacuum_mmhg == 90
    assert values.presenter.undo_words == "Machine values 'sculpt' changed at 0:10.0"


def test_change_end_and_remove_are_one_edit_each(values: MachineValues) -> None:
    presenter = values.presenter
    begin(values, 10, mode="sculpt")
    row = presenter.markup.settings[0]
    assert values.change(row.id, {"power_percent": 30.0})
    go(presenter, 20)
    assert values.end_here()
    assert kept(presenter) == [(10, pytest.approx(20.033333), "sculpt")]
    go(presenter, 50)
    presenter.end_running()
    assert kept(presenter) == [(10, pytest.approx(20.033333), "sculpt")]
    assert not values.end_here()
    assert values.remove(row.id)
    assert not presenter.markup.settings
    for _ in range(4):
        assert presenter.undo()
    assert presenter.undo_words is None


@pytest.mark.parametrize(
    ("noted", "said"),
    [
        ({"vacuum_mmhg": 1001.0}, "Vacuum is 0 to 1000 mmHg, not 1001."),
        ({"power_percent": -1.0}, "Power is 0 to 100 %, not -1."),
        ({"machine": "North"}, "No value is given."),
        ({"energy_s": 300.0}, "Ultrasound cannot have been on for 300 s in 90.0 s."),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(
    values: MachineValues, noted: dict[str, Any], said: str
) -> None:
    told: list[str] = []
    values.presenter.said.listen(told.append)
    go(values.presenter, 10)
    assert not values.begin(noted)
    assert told == [f"{said} Nothing was changed."]
    assert not values.presenter.markup.settings


def test_a_signed_review_takes_no_values(values: MachineValues) -> None:
    begin(values, 10, mode="sculpt")
    go(values.presenter, 20)
    values.presenter.sign()
    row = values.presenter.markup.settings[0]
    assert row.end_us < 21 * S
    assert not values.begin({"mode": "chop"})
    assert not values.change(row.id, {"mode": "chop"})
    assert not values.remove(row.id)


@given(st.lists(st.tuples(st.integers(0, 90), st.integers(1, 60)), max_size=8))
@settings(deadline=None)
def test_no_two_values_hold_at_a_moment(spans: list[tuple[int, int]]) -> None:
    from setting_rows import setting

    held: dict[str, Setting] = {}
    for start, length in spans:
        fresh = setting(start, start + length, vacuum_mmhg=float(length), energy_s=1.0)
        before = sum(each.energy_s or 0 for each in held.values())
        for change in put_setting(tuple(held.values()), fresh):
            if isinstance(change, Drop):
                before -= held.pop(change.id).energy_s or 0
            else:
                assert isinstance(change.row, Setting)
                held[change.row.id] = change.row
        rows = sorted(held.values(), key=lambda r: r.start_us)
        assert all(a.end_us <= b.start_us for a, b in pairwise(rows))
        assert held[fresh.id] == fresh
        assert sum(each.energy_s or 0 for each in rows) == pytest.approx(before + 1.0)


# Offers


@pytest.fixture
def passed(values: MachineValues) -> MachineValues:
    presenter = values.presenter
    go(presenter, 10)
    assert presenter.press_key(
        next(t.key for t in presenter.vocabulary.phases if t.code == "sculpt")
    )
    begin(values, 12, mode="sculpt", vacuum_mmhg=300.0)
    go(presenter, 20)
    return values


def test_a_limit_passed_is_offered_and_nothing_is_forced(passed: MachineValues) -> None:
    presenter = passed.presenter
    (breach,) = passed.offered()
    assert (breach.start_us, breach.value, breach.bound) == (12 * S, 300, 100)
    said = "Vacuum 300 mmHg, where at most 100 mmHg is usual in sculpting"
    assert (
        breach_words(breach, presenter.vocabulary)
        == f"{said} (common practice, no source: peristaltic pump)."
    )
    assert not presenter.markup.comments
    assert not [tag for tag in presenter.markup.tags if tag.kind is TagKind.EVENT]


def test_taken_it_is_a_comment_to_change_and_is_offered_no_more(passed: MachineValues) -> None:
    presenter = passed.presenter
    (breach,) = passed.offered()
    assert passed.offers.take(breach)
    (comment,) = presenter.markup.comments
    assert isinstance(comment, Comment)
    assert (comment.leaning, comment.start_us, comment.phase) == (
        Leaning.CORRECT, 12 * S, "sculpt",
    )  # fmt: skip
    assert is_taken(breach, presenter.markup)
    assert not passed.offered()
    presenter.undo()
    assert [each.key for each in passed.offered()] == [breach.key]


def test_with_an_event_of_its_own_in_the_vocabulary_it_is_that_event(passed: MachineValues) -> None:
    from dataclasses import replace

    from annotate.vocabulary import EventTerm

    presenter = passed.presenter
    term = EventTerm("setting-limit", "Limit passed", "b", Leaning.CORRECT, "Within limits.", 2)
    presenter.vocabulary = replace(
        presenter.vocabulary, events=(*presenter.vocabulary.events, term)
    )
    (breach,) = passed.offered()
    assert passed.offers.take(breach)
    tag = next(tag for tag in presenter.markup.tags if tag.kind is TagKind.EVENT)
    assert isinstance(tag, Tag)
    assert (tag.code, tag.leaning, tag.weight, tag.start_us) == (
        "setting-limit", Leaning.CORRECT, 2, 12 * S,
    )  # fmt: skip
    assert not passed.offered()


def test_put_aside_it_stays_so_for_the_session(passed: MachineValues, tmp_path: Path) -> None:
    (breach,) = passed.offered()
    passed.offers.put_aside(breach)
    go(passed.presenter, 25)
    assert not passed.offered()
    again = MachineValues(passed.presenter, DismissedOffers(tmp_path / "aside"))
    assert not again.offered()
    row = passed.presenter.markup.settings[0]
    passed.change(row.id, {"vacuum_mmhg": 400.0})
    assert [each.value for each in passed.offered()] == [400]
    fresh = MachineValues(passed.presenter, DismissedOffers(tmp_path / "elsewhere"))
    assert len(fresh.offered()) == 1


@pytest.mark.parametrize("content", ["", "{", '{"a": 1}', "[1, 2]"])
def test_a_file_that_makes_no_sense_puts_nothing_aside(tmp_path: Path, content: str) -> None:
    (tmp_path / "session-1.json").write_text(content, encoding="utf-8")
    assert DismissedOffers(tmp_path).of("session-1") == frozenset()
    with pytest.raises(ValueError, match="no id"):
        DismissedOffers(tmp_path).of("../session-1")


# From a file


def test_reading_twice_adds_nothing_and_what_was_noted_gives_way(
    store: Store, values: MachineValues
) -> None:
    from setting_rows import setting

    presenter = values.presenter
    begin(values, 10, mode="sculpt", vacuum_mmhg=80.0)
    go(presenter, 60)
    presenter.end_running()
    fresh = [
        Setting(f"n{i}", presenter.session.id, r.start_us, r.end_us, vacuum_mmhg=r.vacuum_mmhg)  # type: ignore[arg-type]
        for i, r in enumerate([setting(0, 5, vacuum_mmhg=1), setting(20, 30, vacuum_mmhg=2)])
    ]
    added = add_settings(store, presenter.session.id, fresh, by="A-01")
    assert added == Added(2, 0, 1)
    presenter.look_again()
    assert [(a, round(b)) for a, b, _ in kept(presenter)] == [(0, 5), (10, 20), (20, 30), (30, 60)]
    assert add_settings(store, presenter.session.id, fresh, by="A-01") == Added(0, 2, 0)
    presenter.undo()
    assert [(a, round(b)) for a, b, _ in kept(presenter)] == [(10, 60)]
