"""The note as data: what a session says, before any format."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date

import pytest
from note_scenes import (
    LENGTH_US,
    TYPICAL,
    S,
    comment,
    event,
    full_markup,
    hand_over,
    phase,
    scene_note,
    scene_stills,
)

from annotate.markup import Markup
from annotate.tags import Leaning
from app.cautions import CAUTIONS


def test_comments_and_told_events_stand_in_one_order_of_time() -> None:
    note = scene_note()
    starts = [told.start_us for told in note.comments]
    assert starts == sorted(starts)
    assert [told.number for told in note.comments] == list(range(1, 11))
    assert sum(bool(told.event) for told in note.comments) == 5


def test_neutral_event_without_words_is_counted_but_not_told() -> None:
    markup = Markup(tags=(event("eye-off-centre", 5 * S, leaning=Leaning.NEUTRAL),))
    note = scene_note(markup)
    assert note.comments == ()
    assert [(row.label, row.count) for row in note.events] == [("Eye off centre", 1)]


def test_event_without_leaning_takes_its_terms() -> None:
    note = scene_note(Markup(tags=(event("capsule-tear", 5 * S),)))
    (told,) = note.comments
    assert told.leaning is Leaning.CORRECT
    assert told.weight == 3
    assert told.good


def test_points_come_weight_first_then_time() -> None:
    note = scene_note()
    change = note.to_change
    assert [point.weight for point in change.points] == [3, 2, 2, 2, 1]
    assert change.points[0].times_us == (207_333_500,)
    assert change.n_more == 1
    assert [point.weight for point in note.to_keep.points] == [3, 2, 1]


def test_points_refer_to_the_moments_they_are_about() -> None:
    note = scene_note()
    by_number = {told.number: told for told in note.comments}
    for point in (*note.to_keep.points, *note.to_change.points):
        assert tuple(by_number[n].start_us for n in point.numbers) == point.times_us


def test_events_of_one_kind_without_words_make_one_point() -> None:
    markup = Markup(tags=(event("iris-touch", 4 * S), event("iris-touch", 9 * S)))
    (point,) = scene_note(markup).to_change.points
    assert point.times_us == (4 * S, 9 * S)
    assert point.text == "Iris touched"


def test_phase_of_a_comment_is_the_one_tagged_at_its_start() -> None:
    places = {told.start_us: told.phase for told in scene_note().comments}
    assert places[207_333_500] == "Sculpting"
    assert places[345 * S] == ""


def test_figures_are_those_of_metrics_to_the_microsecond() -> None:
    tables = scene_note().figures
    active = sum(row.active_us for row in tables.phases)
    assert tables.observed_us == 828 * S
    assert active + tables.idle_total_us == tables.observed_us
    assert sum(row.total_us for row in tables.idle) == tables.idle_total_us


def test_operator_alone_is_given_only_where_there_is_a_hand_over() -> None:
    assert scene_note().operator_only is not None
    without = Markup(tags=tuple(tag for tag in TYPICAL.tags if tag.kind != "hand-over"))
    assert scene_note(without).operator_only is None


def test_unsigned_session_is_called_a_draft() -> None:
    note = scene_note(signed=False)
    assert note.is_draft
    assert note.signed_on is None
    assert note.notices[0].startswith("This is a draft")
    assert note.status_text == "Draft, not signed"


def test_signed_session_has_the_date_of_signing_and_no_other() -> None:
    note = scene_note(signed=True)
    assert note.signed_on == date(2031, 6, 2)
    text = str(asdict(note))
    assert "2031, 5, 6" not in text
    assert "2031-05-06" not in text
    assert note.notices == ()


def test_stills_stand_with_their_moment() -> None:
    note = scene_note(with_stills=True)
    made = scene_stills(TYPICAL)
    assert [told.still for told in note.comments] == sorted(
        made.values(), key=lambda still: still.time_us
    )


def test_cautions_close_every_note() -> None:
    assert scene_note(Markup()).cautions == CAUTIONS
    words = " ".join(CAUTIONS).lower()
    for needed in ("education", "not a medical device", "diagnosis", "consent", "surgeon"):
        assert needed in words


def test_empty_session_says_that_nothing_is_there_yet() -> None:
    note = scene_note(Markup())
    assert note.summary == (
        "This is operator R-07's case number 23; no phase has been tagged yet, "
        "so there are no times.",
        "There are no comments and no events yet.",
    )
    assert note.to_keep.points == note.to_change.points == ()


def test_summary_says_the_figures_in_sentences() -> None:
    """Derived by hand.

    Phases run from 4 s to 832 s: 828 s = 13 min 48 s. Fragments are 171 s of it, 20.7 %. The
    breaks between phases are 2+7+14.5625+12+5+9+24+17+5+5 = 100.5625 s, and 11 s of exchange:
    111.5625 s, 13.5 %. The longest, 24 s, begins at 520 s = 8:40, when fragments end.
    """
    assert scene_note().summary == (
        "This is operator R-07's case number 23; from the first phase to the last it took "
        "13 min 48 s.",
        "Most time went into fragment removal: 2 min 51 s, 21 % of the whole.",
        "Idle time came to 1 min 52 s (13 %); the longest pause, 24 seconds, came at 8:40, "
        "after fragment removal.",
        "Five comments and five events stand in this review; among the events, one to commend "
        "and four to correct.",
        "Capsule polishing is expected in this operation and was not tagged.",
        "The attending operated for 52 seconds of the time from first to last phase; the figures "
        "for R-07 alone stand under those of the whole case.",  # from 400 s to 452 s
    )


def test_summary_names_steps_out_of_order_and_conflicts() -> None:
    markup = Markup(
        tags=(
            phase("capsulorhexis", 0, 10 * S),
            phase("incision", 8 * S, 20 * S),
            hand_over(1 * S, 2 * S),
            hand_over(3 * S, 4 * S),
        )
    )
    summary = " ".join(scene_note(markup).summary)
    assert "Incision began after a step that should follow it." in summary
    assert "In one place two phases are tagged at once" in summary
    assert "in two stretches" in summary
    assert "There was no idle time" in summary


def test_pause_within_a_phase_is_placed_there() -> None:
    from note_scenes import idle

    markup = Markup(tags=(phase("sculpt", 0, 60 * S), idle("wait", 20 * S, 45 * S)))
    assert "the longest pause, 25 seconds, came at 0:20, during sculpting." in " ".join(
        scene_note(markup).summary
    )


def test_strip_is_told_in_words_too() -> None:
    strip = scene_note().strip
    assert strip.shapes
    assert strip.alt.startswith("The case on a line of time: Incision, Viscoelastic, ")


def test_a_full_session_keeps_every_comment() -> None:
    note = scene_note(full_markup(300))
    assert sum(bool(entry.text) for entry in note.comments) >= 300
    assert len(note.comments) == 302  # two of TYPICAL's events have words, the others a comment
    assert note.to_change.n_more > 0


@pytest.mark.parametrize("length_us", [0, LENGTH_US])
def test_case_of_unknown_length_still_makes_a_note(length_us: int) -> None:
    assert scene_note(length_us=length_us).strip.shapes


def test_control_characters_leave_a_comment() -> None:
    note = scene_note(Markup(comments=(comment("a\x00b\x1b[31m\u202ec\r\nd\ud800", S),)))
    assert note.comments[0].text == "ab[31mc\nd"


def test_a_silent_event_is_told_with_the_comment_that_speaks_about_it() -> None:
    tags = (event("iris-touch", 10 * S, leaning=Leaning.CORRECT),)
    (told,) = scene_note(
        Markup(tags=tags, comments=(comment("Mind the iris", 10 * S + 400_000),))
    ).comments
    assert (told.text, told.event, told.weight) == ("Mind the iris", "Iris touched", 2)
    assert told.leaning is Leaning.CORRECT
    assert told.good


def test_an_event_with_words_or_far_from_any_comment_is_told_by_itself() -> None:
    tags = (
        event("iris-touch", 10 * S, "It was grazed", Leaning.CORRECT),
        event("good-move", 30 * S, leaning=Leaning.COMMEND),
    )
    told = scene_note(Markup(tags=tags, comments=(comment("Mind the iris", 10 * S),))).comments
    assert [entry.event for entry in told] == ["", "Iris touched", "Good move"]


def test_each_event_is_told_once_however_many_comments_are_near() -> None:
    tags = (event("iris-touch", 10 * S, leaning=Leaning.CORRECT),)
    near = (comment("First", 10 * S + 500_000), comment("Second", 10 * S + 100_000))
    told = scene_note(Markup(tags=tags, comments=near)).comments
    assert [(entry.text, entry.event) for entry in told] == [
        ("Second", "Iris touched"),
        ("First", ""),
    ]
