"""Phrases of one's own: filled, found, kept whole, and never lost to a bad file."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.tags import Leaning
from app.places import settings_file
from app.review.phrase_list import phrase_line
from app.review.phrases import (
    LONGEST_PHRASE,
    STARTERS,
    Phrase,
    Phrases,
    filled,
    next_blank,
    without_blanks,
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "desk" / "phrases.toml"


def test_they_lie_beside_the_settings() -> None:
    assert Phrases().path.parent == settings_file().parent


def test_a_few_come_along_until_one_is_kept(file: Path) -> None:
    assert Phrases(file).all == STARTERS
    assert not file.exists(), "reading writes nothing"
    mine = Phrase("Lift the {wrist}", Leaning.CORRECT)
    assert Phrases(file).keep(mine)
    assert Phrases(file).all == (mine, *STARTERS)
    assert not list(file.parent.glob("*.part"))


def test_all_can_be_removed_and_stay_away(file: Path) -> None:
    assert Phrases(file).change([])
    assert Phrases(file).all == ()


def test_one_is_kept_once(file: Path) -> None:
    phrases = Phrases(file)
    assert phrases.keep(Phrase("  Slow down ", None))
    assert not phrases.keep(Phrase("Slow down"))
    assert not phrases.keep(Phrase("   "))
    assert not phrases.keep(Phrase("x" * (LONGEST_PHRASE + 1)))
    assert "not kept" in phrases.trouble
    assert len(Phrases(file).all) == len(STARTERS) + 1


def test_typing_narrows_them_whatever_the_accents_and_capitals(file: Path) -> None:
    phrases = Phrases(file)
    phrases.change([Phrase("Näher an die Linse"), Phrase("Lift the wrist"), Phrase("Lift it")])
    assert [p.words for p in phrases.matching("lif")] == ["Lift the wrist", "Lift it"]
    assert [p.words for p in phrases.matching("WRI lift")] == ["Lift the wrist"]
    assert [p.words for p in phrases.matching("naher")] == ["Näher an die Linse"]
    assert len(phrases.matching("")) == 3
    assert phrases.matching("rist") == ()


@pytest.mark.parametrize(
    "content",
    [
        b"phrase = [",
        b"\xff\xfe",
        b"phrase = 3",
        b'[[phrase]]\nwords = ""',
        b"[[phrase]]\nwords = 4",
        b'[[phrase]]\nwords = "a"\nleaning = "sideways"',
        b"x = " + b"[" * 5000,
        b"#" * 1_000_001,
    ],
)
def test_a_bad_file_is_put_aside_whole(file: Path, content: bytes) -> None:
    file.parent.mkdir()
    file.with_name("phrases-unread-1.toml").write_text("an earlier one")
    file.write_bytes(content)
    phrases = Phrases(file)
    assert phrases.all == STARTERS
    assert "phrases-unread-2.toml" in phrases.trouble
    assert file.with_name("phrases-unread-2.toml").read_bytes() == content
    assert file.with_name("phrases-unread-1.toml").read_text() == "an earlier one"
    assert phrases.keep(Phrase("New"))
    assert Phrases(file).all[0] == Phrase("New")


def test_where_nothing_can_be_written_it_is_said_and_holds_until_one_leaves(
    tmp_path: Path,
) -> None:
    (tmp_path / "desk").write_text("a file, not a folder")
    phrases = Phrases(tmp_path / "desk" / "phrases.toml")
    assert not phrases.keep(Phrase("Mine"))
    assert "until you leave" in phrases.trouble
    assert phrases.all[0] == Phrase("Mine")


def test_places_are_filled_and_what_has_nothing_stays_a_blank() -> None:
    words = "In {Phase} at {time}: {...}, after {event}, by {hand}"
    places = {"phase": "Sculpting", "time": "0:55", "event": ""}
    assert filled(words, places) == "In Sculpting at 0:55: {...}, after {event}, by {hand}"


def test_what_fills_a_place_is_large_at_the_start_of_a_sentence_alone() -> None:
    places = {"phase": "capsulorhexis", "event": "eye off centre"}
    assert filled("In {phase}: {event}.", places) == "In capsulorhexis: eye off centre."
    assert filled("{event} here. {phase} next.", places) == (
        "Eye off centre here. Capsulorhexis next."
    )
    assert filled("See it?\n{phase}", places) == "See it?\nCapsulorhexis"


def test_blanks_are_gone_through_and_left_out() -> None:
    text = "a {...} b {x}."
    assert next_blank(text) == (2, 7)
    assert next_blank(text, 7) == (10, 13)
    assert next_blank(text, 13) == (2, 7), "round again"
    assert next_blank("no {} blank { here }\n{a\nb}") == (12, 20)
    assert next_blank("none") is None
    assert without_blanks("Slow down before {...}; there is time.") == (
        "Slow down before; there is time."
    )


@given(
    st.lists(
        st.builds(
            Phrase,
            st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=60)
            .map(str.strip)
            .filter(bool),
            st.none() | st.sampled_from(Leaning),
        ),
        max_size=8,
    )
)
def test_whatever_is_kept_is_read_again(
    tmp_path_factory: pytest.TempPathFactory, phrases: list[Phrase]
) -> None:
    file = tmp_path_factory.mktemp("phrases") / "phrases.toml"
    assert Phrases(file).change(phrases)
    assert Phrases(file).all == tuple(phrases)
    tomllib.loads(file.read_text(encoding="utf-8"))


@given(st.text(), st.dictionaries(st.sampled_from(["phase", "time", "event"]), st.text()))
def test_words_without_braces_stay_as_they_are(text: str, places: dict[str, str]) -> None:
    plain = text.replace("{", "").replace("}", "")
    assert filled(plain, places) == plain
    assert next_blank(plain) is None


def test_the_list_shows_the_sign_and_no_brace_for_what_it_will_ask() -> None:
    praise, ask = Phrase("Good {phase} at {time}.", Leaning.COMMEND), Phrase("{event} here.")
    assert phrase_line(praise, {"time": "0:12"}) == "▲  Good the phase at 0:12."
    assert phrase_line(praise, {"time": "0:12", "phase": "chop"}) == "▲  Good chop at 0:12."
    assert phrase_line(ask, {"event": ""}).strip() == "The event here."
