"""The demo caseload, made from the committed clips in a store of its own."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from statistics import mean

import pytest

import app.demo.rendered
from annotate.case import Case, ReviewSession, SessionStatus
from annotate.errors import UserFacingError
from annotate.ids import CaseId, new_id
from annotate.markup import Markup
from annotate.people import ReviewerKind, TrainingLevel
from annotate.tags import TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.demo.caseload import OPENS_WITH, make_demo_store
from app.demo.learning_curve import LEARNERS
from app.jobs.work import Cancelled, Work
from metrics.from_tags import figures
from store import CaseRow, Store, open_store

RENDERED = ["A-01-2400", "R-03-020", "R-07-012", "R-07-041"]
N_TAG_ONLY = sum(len(learner.numbers) for learner in LEARNERS)
S = 1_000_000


class StopsAt(Work):
    """Asks to stop once the work is half done."""

    def advance(self, done: float, total: float = 1.0) -> None:
        if done >= 0.5 * total:
            self.cancel.set()
        super().advance(done, total)


@pytest.fixture
def store(whole_store: Path) -> Iterator[Store]:
    with open_store(whole_store) as opened:
        yield opened


def sessions_of(store: Store) -> Iterator[tuple[Case, ReviewSession, Markup]]:
    for row in store.cases():
        for session in store.sessions(row.case.id):
            yield row.case, session, store.markup(session.id)


def summary(place: Path) -> list[tuple[object, ...]]:
    with open_store(place) as opened:
        return [
            (row.case.code, row.status, row.n_sessions, row.n_tags, row.n_comments, row.edited_at)
            for row in opened.cases()
        ]


def content(rows: list[tuple[object, ...]]) -> list[tuple[object, ...]]:
    """Without the moment of the last edit."""
    return [row[:-1] for row in rows]


def copied_clips(folder: Path) -> Path:
    clips = folder / "clips"
    clips.mkdir()
    for rendered in app.demo.rendered.rendered_cases():
        for path in (*rendered.sample.clips, *rendered.sample.truths):
            shutil.copy(path, clips)
    return clips


def rendered_row(store: Store, code: str) -> CaseRow:
    return next(row for row in store.cases() if row.case.code == code)


def test_caseload_has_the_rendered_cases_and_about_forty_others(store: Store) -> None:
    rows = store.cases()
    with_clips = [row.case.code for row in rows if row.case.clips]
    assert with_clips == RENDERED
    assert N_TAG_ONLY == 40
    assert len(rows) == N_TAG_ONLY + len(RENDERED)
    assert {row.case.operator.code for row in rows} == {"A-01", "R-03", "R-07", "R-11"}


def test_case_to_open_first_has_two_parts_and_two_reviews_still_in_draft(store: Store) -> None:
    case = store.case(OPENS_WITH)
    assert len(case.clips) == 2
    first, second = store.sessions(case.id)
    assert (first.reviewer.code, first.reviewer.kind) == ("A-01", ReviewerKind.ATTENDING)
    assert (second.reviewer.code, second.reviewer.kind) == ("R-07", ReviewerKind.SELF)
    assert {first.status, second.status} == {SessionStatus.DRAFT}
    assert 8 <= len(store.markup(first.id).comments) <= 12
    assert len(store.markup(second.id).tags) < len(store.markup(first.id).tags)


def test_undo_takes_one_small_step_of_a_demo_review_back(own_store: Path) -> None:
    with open_store(own_store) as opened:
        for session in opened.sessions(opened.case(OPENS_WITH).id):
            whole = opened.markup(session.id)
            history = opened.history(session.id)
            assert len(history) > 15
            assert [record.at for record in history] == sorted({record.at for record in history})
            undone = opened.undo(session.id, session.reviewer.code)
            assert undone is not None
            assert 1 <= len(undone.dropped) <= 2, "a row, or a comment with its mark"
            assert len(opened.markup(session.id).tags) >= len(whole.tags) - 1
            assert " at " in undone.kind


def test_model_case_is_an_attendings_reviewed_by_a_peer(store: Store) -> None:
    case = store.case("A-01-2400")
    (session,) = store.sessions(case.id)
    assert case.is_model
    assert case.operator.level is TrainingLevel.ATTENDING
    assert (session.reviewer.code, session.reviewer.kind) == ("A-02", ReviewerKind.PEER)


def test_case_of_variable_rate_waits_for_its_first_review(store: Store) -> None:
    row = rendered_row(store, "R-03-020")
    assert row.status == "new"
    assert row.case.clips[0].is_variable_rate


def test_early_case_is_signed_and_has_a_hand_over_within_the_crack(store: Store) -> None:
    case = store.case("R-07-012")
    (session,) = store.sessions(case.id)
    tags = store.markup(session.id).tags
    (hand_over,) = [tag for tag in tags if tag.kind is TagKind.HAND_OVER]
    (crack,) = [tag for tag in tags if tag.code == "crack"]
    assert session.status is SessionStatus.SIGNED
    assert crack.start_us < hand_over.start_us < (hand_over.end_us or 0) <= (crack.end_us or 0)
    counted = figures(tags, shipped_vocabulary(case.vocabulary))
    assert counted.operator_only is not None
    assert counted.operator_only.observed_us < counted.observed_us


def test_phase_that_the_recorder_cut_is_one_tag_over_the_join(store: Store) -> None:
    case = store.case(OPENS_WITH)
    join_us = case.clock.start_of(1)
    tags = store.markup(store.find_session(case.id, "A-01").id).tags
    over = [
        tag
        for tag in tags
        if tag.kind is TagKind.PHASE and tag.start_us < join_us < (tag.end_us or 0)
    ]
    assert [tag.code for tag in over] == ["crack"]
    assert [tag.code for tag in tags].count("crack") == 1


def test_everything_said_lies_inside_its_case(store: Store) -> None:
    for case, _, markup in sessions_of(store):
        for row in (*markup.tags, *markup.comments, *markup.marks):
            assert 0 <= row.start_us < case.length_us, (case.code, row)
            assert (row.end_us or 0) <= case.length_us, (case.code, row)


def test_every_code_is_in_the_vocabulary(store: Store) -> None:
    for case, _, markup in sessions_of(store):
        vocabulary = shipped_vocabulary(case.vocabulary)
        known = {
            TagKind.PHASE: set(vocabulary.phase_codes),
            TagKind.EVENT: {term.code for term in vocabulary.events},
            TagKind.IDLE: {term.code for term in vocabulary.idle_reasons},
        }
        for tag in markup.tags:
            assert tag.kind is TagKind.HAND_OVER or tag.code in known[tag.kind], case.code
        assert {c.phase for c in markup.comments} <= {"", *vocabulary.phase_codes}


def test_figures_of_every_session_have_no_conflict(store: Store) -> None:
    counted = 0
    for case, _, markup in sessions_of(store):
        result = figures(markup.tags, shipped_vocabulary(case.vocabulary))
        assert result.conflicts == (), case.code
        assert 0 < result.observed_us <= case.length_us
        active_us = sum(phase.active_us for phase in result.phases)
        assert active_us + result.idle.total_us == result.observed_us
        counted += 1
    assert counted == N_TAG_ONLY + 4


def test_every_mark_is_in_the_picture_and_belongs_to_a_comment_at_its_moment(
    store: Store,
) -> None:
    kinds: Counter[str] = Counter()
    for _, _, markup in sessions_of(store):
        comments = {comment.mark_id: comment for comment in markup.comments}
        for mark in markup.marks:
            kinds[mark.kind] += 1
            comment = comments[mark.id]
            assert 0 <= mark.start_us - comment.start_us <= 6 * S
            assert all(0 <= x <= 1 and 0 <= y <= 1 for x, y in mark.points)
    assert {"ring", "arrow", "text"} <= set(kinds)


def test_ring_on_the_needle_lies_at_the_incision(store: Store) -> None:
    """The ring's middle is within one incision's width of the incision's middle, from the truth."""
    case = store.case(OPENS_WITH)
    markup = store.markup(store.find_session(case.id, "A-01").id)
    (mark,) = [m for m in markup.marks if m.text == "leaning here"]
    ordinal, clip_us = case.clock.to_clip(mark.start_us)
    rendered = next(r for r in app.demo.rendered.rendered_cases() if r.code == OPENS_WITH)
    truth = rendered.truths()[ordinal]
    at = truth.frames.time_us.index(clip_us)
    x1, y1, x2, y2 = truth.frames.incision[at]
    width_px = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    x, y = mark.points[0][0] * truth.width, mark.points[0][1] * truth.height
    off_px = ((x - (x1 + x2) / 2) ** 2 + (y - (y1 + y2) / 2) ** 2) ** 0.5
    assert off_px < width_px


def test_tag_only_cases_have_the_length_of_real_ones(store: Store) -> None:
    for row in store.cases():
        if not row.case.clips:
            assert 12 * 60 * S <= row.case.length_us <= 40 * 60 * S, row.case.code


def test_tag_only_cases_have_vocabularies_attributes_and_tears(store: Store) -> None:
    cases = [row.case for row in store.cases() if not row.case.clips]
    assert {case.vocabulary for case in cases} == {
        "phaco-divide-conquer",
        "phaco-stop-chop",
        "phaco-chop",
    }
    for case in cases:
        assert case.attributes["density"] in {"1", "2", "3", "4"}
        assert {case.attributes["small-pupil"], case.attributes["dye"]} <= {"yes", "no"}
    assert {case.eye for case in cases} == {"OD", "OS"}
    codes = Counter(tag.code for _, _, markup in sessions_of(store) for tag in markup.tags)
    assert codes["capsule-tear"] >= 1


def test_later_cases_were_taken_in_later(store: Store) -> None:
    for learner in LEARNERS:
        dates = [
            store.case(f"{learner.code}-{number:03d}").taken_in_at for number in learner.numbers
        ]
        assert dates == sorted(dates)
        assert (dates[-1] - dates[0]).days > 90


def test_first_third_of_r07_is_slower_than_the_last_and_has_more_to_correct(
    store: Store,
) -> None:
    observed: list[int] = []
    wrong: list[int] = []
    numbers = next(learner.numbers for learner in LEARNERS if learner.code == "R-07")
    for number in numbers:
        case = store.case(f"R-07-{number:03d}")
        tags = store.markup(store.find_session(case.id).id).tags
        result = figures(tags, shipped_vocabulary(case.vocabulary))
        observed.append(result.observed_us)
        wrong.append(result.events.by_leaning.get("correct", 0))
    third = len(numbers) // 3
    assert mean(observed[:third]) > 1.15 * mean(observed[-third:])
    assert mean(wrong[:third]) > 1.3 * mean(wrong[-third:])


def test_store_is_sound_and_nothing_lies_beside_it(whole_store: Path, store: Store) -> None:
    assert store.check() == ()
    store.close()
    assert [path.name for path in whole_store.parent.iterdir()] == [whole_store.name]


def test_making_it_again_changes_nothing(own_store: Path) -> None:
    before = summary(own_store)
    work = Work()
    assert make_demo_store(str(own_store), work) == OPENS_WITH
    assert summary(own_store) == before


def test_what_a_user_did_in_the_demo_is_left_alone(own_store: Path) -> None:
    with open_store(own_store) as opened:
        session = opened.find_session(opened.case(OPENS_WITH).id, "A-01")
        opened.undo(session.id, "A-01")
    before = summary(own_store)
    make_demo_store(str(own_store), Work())
    assert summary(own_store) == before


def test_stopping_half_way_leaves_no_store(tmp_path: Path) -> None:
    with pytest.raises(Cancelled):
        make_demo_store(str(tmp_path / "demo.sqlite"), StopsAt())
    assert list(tmp_path.iterdir()) == []


def test_making_that_was_killed_is_made_anew(whole_store: Path, tmp_path: Path) -> None:
    place = tmp_path / "demo.sqlite"
    program = (
        "import os, signal, sys\n"
        "from app.demo.caseload import make_demo_store\n"
        "from app.jobs.work import Work\n"
        "class Killed(Work):\n"
        "    def advance(self, done, total=1.0):\n"
        "        if done >= 0.6 * total:\n"
        "            os.kill(os.getpid(), getattr(signal, 'SIGKILL', signal.SIGTERM))\n"
        "make_demo_store(sys.argv[1], Killed())\n"
    )
    root = Path(app.demo.rendered.__file__).parents[2]
    ended = subprocess.run([sys.executable, "-c", program, str(place)], cwd=root, timeout=60)
    if hasattr(signal, "SIGKILL"):
        assert ended.returncode == -signal.SIGKILL
    assert not place.exists()
    (left,) = tmp_path.glob("demo.sqlite.*.part")
    assert left.stat().st_size > 0
    os.utime(left, (0, 0))
    make_demo_store(str(place), Work())
    assert content(summary(place)) == content(summary(whole_store))
    assert [path.name for path in tmp_path.iterdir()] == [place.name]


def test_store_that_is_there_and_lacks_cases_is_completed(
    whole_store: Path, tmp_path: Path
) -> None:
    place = tmp_path / "demo.sqlite"
    open_store(place).close()
    with pytest.raises(Cancelled):
        make_demo_store(str(place), StopsAt())
    assert 0 < len(summary(place)) < len(summary(whole_store))
    make_demo_store(str(place), Work())
    assert content(summary(place)) == content(summary(whole_store))
    with open_store(place) as opened:
        assert opened.check() == ()


def test_store_of_other_cases_is_refused_and_left_as_it_was(
    whole_store: Path, tmp_path: Path
) -> None:
    place = tmp_path / "own.sqlite"
    with open_store(whole_store) as demo, open_store(place) as own:
        other = replace(demo.case("R-07-001"), id=CaseId(new_id()), code="R-99-001")
        own.take_in(other, "A-01")
    with pytest.raises(UserFacingError, match=r"own\.sqlite holds cases that are not the demo's"):
        make_demo_store(str(place), Work())
    assert [row[0] for row in summary(place)] == ["R-99-001"]


def test_clips_that_have_moved_with_the_program_are_found(own_store: Path) -> None:
    with open_store(own_store) as opened:
        clip = opened.case(OPENS_WITH).clips[1]
        opened.relocate_clip(clip.id, own_store.parent / "gone.mp4")
    make_demo_store(str(own_store), Work())
    with open_store(own_store) as opened:
        assert opened.case(OPENS_WITH).clips[1].path == clip.path


def test_store_of_other_clips_is_set_aside_and_made_anew(
    own_store: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clips = copied_clips(tmp_path)
    changed = next(clips.glob("*.mp4"))
    changed.write_bytes(changed.read_bytes() + (8).to_bytes(4, "big") + b"free")
    monkeypatch.setattr(app.demo.rendered, "CLIPS", clips)
    make_demo_store(str(own_store), Work())
    with open_store(own_store) as opened:
        paths = {Path(clip.path).parent for row in opened.cases() for clip in row.case.clips}
    assert paths == {clips.resolve()}
    assert (tmp_path / "demo.earlier.sqlite").is_file()


def test_missing_clip_is_told_and_no_store_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clips = copied_clips(tmp_path)
    (clips / "r07-041-part2.mp4").unlink()
    monkeypatch.setattr(app.demo.rendered, "CLIPS", clips)
    with pytest.raises(UserFacingError, match=r"r07-041-part2\.mp4 cannot be found"):
        make_demo_store(str(tmp_path / "demo.sqlite"), Work())
    assert [path.name for path in tmp_path.iterdir()] == ["clips"]
