"""What a search answers: labels find codes, matches are set apart, places stand by case."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from desk_scenes import S, opened, presenter_on, tag_only_case
from hypothesis import given
from hypothesis import strategies as st

from annotate.ids import CaseId, RowId, new_id
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.searching.answers import Searching, emphasised
from app.searching.panel import state_words
from app.searching.words_known import WordsKnown, plain, words_of
from store import Put


@pytest.fixture(scope="module")
def words() -> WordsKnown:
    return WordsKnown([shipped_vocabulary("phaco-divide-conquer")])


def test_a_label_finds_its_code_by_beginnings_of_its_words(words: WordsKnown) -> None:
    vocabulary = shipped_vocabulary("phaco-divide-conquer")
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
    assert words_of(["nowhere/gone.toml"]).codes_for("sculpting")


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
            state_words(cut, 0.0123)
            == "The newest 10 places in 1 case (12 ms); more words narrow it"
        )
        whole = searching.ask("rim", 30)
        assert (whole.n_places, whole.is_cut) == (30, False)
        assert state_words(whole, 0.0) == "30 places in 1 case (1 ms)"
        assert state_words(searching.ask(" "), 0.0).startswith("Type what you remember")
        assert state_words(searching.ask("no  such"), 0.004).startswith(
            "Nothing has 'no such' (4 ms)."
        )
