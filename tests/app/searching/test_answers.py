"""What a search answers: labels find codes, matches are set apart, places stand by case."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from desk_scenes import VOCABULARY, S, opened, presenter_on, tag_only_case
from hypothesis import given
from hypothesis import strategies as st

from annotate.case import ReviewSession
from annotate.ids import CaseId, RowId, new_id
from annotate.people import Reviewer
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_file import shipped_vocabulary
from app.searching.answers import Searching, emphasised
from app.searching.panel import state_words
from app.searching.words_known import Reading, WordsKnown, plain, words_known
from app.vocabulary.own import file_to_write, write_vocabulary
from app.vocabulary.words import keep_words, words_of
from store import Put, Store


@pytest.fixture(scope="module")
def words() -> WordsKnown:
    return WordsKnown({VOCABULARY: shipped_vocabulary(VOCABULARY)})


def test_a_label_finds_its_code_by_beginnings_of_its_words(words: WordsKnown) -> None:
    vocabulary = shipped_vocabulary(VOCABULARY)
    for term in vocabulary.terms:
        assert term.code in words.codes_for(term.label.upper())
        assert words.label(term.code) == term.label
    assert words.codes_for("sculp") == ("sculpt",)
    assert "attending" in words.codes_for("hand-ov")
    assert words.codes_for("") == ()
    assert words.codes_for("culpt") == ()
    assert (words.noun("sculpt"), words.noun("attending")) == ("phase", "hand-over")
    assert (words.noun("never-heard-of"), words.label("never-heard-of")) == (
        "tag",
        "never-heard-of",
    )


def test_a_vocabulary_that_is_gone_is_passed_over() -> None:
    assert words_known(["nowhere/gone.toml"]).codes_for("sculpting")


def test_what_was_found_is_set_apart() -> None:
    assert emphasised("rim pul", "Pull the rim, trim") == (
        ("Pul", True), ("l the ", False), ("rim", True), (", trim", False),
    )  # fmt: skip
    assert emphasised("naher", "Käthe, NÄHER") == (("Käthe, ", False), ("NÄHER", True))
    assert emphasised("zzz", "a b") == (("a b", False),)


@given(st.text(max_size=60), st.text(max_size=12))
def test_the_pieces_are_the_text(text: str, query: str) -> None:
    pieces = emphasised(query, text)
    assert "".join(piece for piece, _ in pieces) == text
    wanted = plain(query)
    assert all(is_found is False or plain(piece)[:1] in wanted for piece, is_found in pieces)


def test_places_stand_by_case_in_order_of_time(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        first = presenter_on(store)
        second = presenter_on(
            store, replace(tag_only_case("R-07-004"), id=CaseId(new_id())), "B-02"
        )
        first.keep_comment("Lens too deep", 40 * S, Leaning.CORRECT)
        second.keep_comment("Deep groove, " + "well done " * 40, 7 * S, Leaning.COMMEND)
        tag = Tag(RowId(new_id()), first.session.id, TagKind.PHASE, "sculpt", 10 * S, 50 * S)
        first.edit("Sculpting", Put(tag))
        first.keep_comment("deep again", 20 * S, Leaning.NEUTRAL)
        answer = Searching(store, "A-01").ask("DEEP")
        assert [(c, [x.found.start_us // S for x in xs]) for c, xs in answer.cases] == [
            ("R-07-003", [20, 40]),
            ("R-07-004", [7]),
        ]
        near = answer.cases[0][1][0]
        assert (near.kind, near.about, near.words) == ("comment", "Sculpting", "deep again")
        far = answer.cases[1][1][0]
        assert far.found.reviewer == "B-02"
        assert far.words.startswith("Deep groove")
        assert far.words.endswith("…")
        by_label = Searching(store, "A-01").ask("sculpting")
        kinds = [(line.kind, line.words) for _, lines in by_label.cases for line in lines]
        assert kinds == [("phase", "Sculpting"), ("comment", "deep again")]


def test_the_words_shown_are_those_around_what_was_found(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        presenter.keep_comment("before " * 60 + "needle" + " after" * 60, 0, Leaning.NEUTRAL)
        ((_, (line,)),) = Searching(store).ask("need").cases
        assert ("need", True) in line.pieces
        assert line.words[0] == line.words[-1] == "…"
        assert len(line.words) <= 162


def test_what_is_kept_from_the_viewer_is_not_found(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        presenter.keep_comment("Secret", 0, Leaning.NEUTRAL)
        store.veil(presenter.session.id, True, "A-01")
        assert Searching(store, "B-02").ask("secret").cases == ()
        assert Searching(store, "A-01").ask("secret").n_places == 1


def test_more_than_is_shown_is_said(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        session_id = presenter.session.id
        rows = [Comment(RowId(new_id()), session_id, f"rim {n}", n * S) for n in range(30)]
        presenter.edit("Thirty", *map(Put, rows))
        searching = Searching(store)
        cut = searching.ask("rim", 10)
        assert (cut.n_places, cut.is_cut) == (10, True)
        assert (
            state_words(cut)
            == "The newest 10 places in 1 case; in each case by time; more words narrow it"
        )
        whole = searching.ask("rim", 30)
        assert (whole.n_places, whole.is_cut) == (30, False)
        assert state_words(whole) == "30 places in 1 case; in each case by time"
        assert state_words(searching.ask(" ")).startswith("Type what you remember")
        assert state_words(searching.ask("no  such")).startswith("Nothing has 'no such'. Every")


# Labels that changed


def called(**labels: str) -> Vocabulary:
    """The vocabulary with other labels for some codes; one called '' is gone."""
    before = shipped_vocabulary(VOCABULARY)
    phases = tuple(
        replace(term, label=labels.get(term.code, term.label))
        for term in before.phases
        if labels.get(term.code) != ""
    )
    return replace(before, version=" ".join(labels.values()) or "1", phases=phases)


def review_of_cracking(store: Store, reviewer: str, *, is_signed: bool) -> ReviewSession:
    """One phase 'crack' and a comment on it, tagged with the vocabulary as it now is."""
    case = store.case("R-07-003")
    made = keep_words(store, words_of(store, case, None))
    session = store.start_session(case.id, Reviewer(reviewer), made)
    tag = Tag(RowId(new_id()), session.id, TagKind.PHASE, "crack", 10 * S, 20 * S)
    comment = Comment(RowId(new_id()), session.id, "Deep enough", 12 * S, phase="crack")
    store.edit(session.id, "tagged", reviewer, Put(tag), Put(comment))
    return store.sign(session.id, reviewer) if is_signed else session


def lines_for(store: Store, words: str) -> dict[str, list[str]]:
    """What is found of each reviewer's, in words."""
    found: dict[str, list[str]] = {}
    for _, lines in Searching(store).ask(words).cases:
        for line in lines:
            found.setdefault(line.found.reviewer, []).append(line.about or line.words)
    return found


def test_a_code_is_found_by_the_label_it_is_read_with_and_by_todays(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        store.take_in(tag_only_case(), "A-01")
        write_vocabulary(called(crack="Halving"), file_to_write(VOCABULARY))
        signed = review_of_cracking(store, "A-01", is_signed=True)
        write_vocabulary(called(crack="Parting"), file_to_write(VOCABULARY))
        draft = review_of_cracking(store, "B-02", is_signed=False)
        read = {
            session.reviewer.code: words_of(store, store.case("R-07-003"), session).label("crack")
            for session in (signed, draft)
        }
        assert read == {"A-01": "Halving", "B-02": "Parting"}
        by_old, by_new = lines_for(store, "halv"), lines_for(store, "parting")
        assert by_old == {"A-01": ["Halving"] * 2, "B-02": ["Parting (also: Halving)"] * 2}
        assert by_new == {"A-01": ["Halving (also: Parting)"] * 2, "B-02": ["Parting"] * 2}
        assert lines_for(store, "deep enough") == {"A-01": ["Halving"], "B-02": ["Parting"]}
        assert lines_for(store, "crack")["A-01"] == ["Halving"] * 2  # by its code


def test_a_code_that_is_gone_is_found_by_the_label_it_had(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        store.take_in(tag_only_case(), "A-01")
        write_vocabulary(called(crack="Halving"), file_to_write(VOCABULARY))
        draft = review_of_cracking(store, "A-01", is_signed=False)
        write_vocabulary(called(crack="Parting"), file_to_write(VOCABULARY))
        keep_words(store, words_of(store, store.case("R-07-003"), None))
        write_vocabulary(called(crack=""), file_to_write(VOCABULARY))
        assert words_of(store, store.case("R-07-003"), draft).label("crack") == "Halving"
        assert lines_for(store, "halving") == {"A-01": ["Halving"] * 2}
        assert lines_for(store, "parting") == {"A-01": ["Halving (also: Parting)"] * 2}


def test_each_vocabulary_names_its_own_codes() -> None:
    here, there = called(crack="Halving"), replace(called(crack="Parting"), name="own-list")
    known = WordsKnown({VOCABULARY: here, "own-list": there})
    assert known.label("crack", Reading(VOCABULARY)) == "Halving"
    assert known.label("crack", Reading("own-list")) == "Parting"
    assert known.codes_for("parting") == known.codes_for("halving") == ("crack",)
