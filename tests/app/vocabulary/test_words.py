"""Changing a vocabulary never breaks a review that was made before."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from command_line import CommandLine
from desk_scenes import VOCABULARY, S, opened, tag_only_case

from annotate.case import ReviewSession
from annotate.errors import UserFacingError
from annotate.ids import RowId, new_id
from annotate.people import Reviewer
from annotate.tags import Leaning, Tag, TagKind
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_check import KEYS
from annotate.vocabulary_file import shipped_vocabulary
from app.commands.table import actions
from app.handback.prepare import note_for
from app.places import vocabularies_folder
from app.strip.layout import strip_content
from app.vocabulary.own import (
    file_to_write,
    names,
    vocabularies_in,
    vocabulary_today,
    write_vocabulary,
)
from app.vocabulary.words import keep_words, words_of
from metrics.from_tags import figures
from store import Put, Store

BEFORE = shipped_vocabulary(VOCABULARY)


def changed() -> Vocabulary:
    """'Sculpting' is gone, 'Cracking' is called otherwise, and so is the first event."""
    return replace(
        BEFORE,
        version="2",
        phases=tuple(
            replace(term, label="Parting") if term.code == "crack" else term
            for term in BEFORE.phases
            if term.code != "sculpt"
        ),
        events=BEFORE.events[1:],
    )


def reviewed(store: Store) -> ReviewSession:
    case = store.take_in(tag_only_case(), "A-01")
    session = store.start_session(case.id, Reviewer("A-01"), keep_words(store, BEFORE))
    spans = [("sculpt", 10, 30), ("crack", 30, 40), ("incision", 45, 60)]
    tags = [
        Tag(RowId(new_id()), session.id, TagKind.PHASE, code, start * S, end * S)
        for code, start, end in spans
    ]
    event = Tag(RowId(new_id()), session.id, TagKind.EVENT, BEFORE.events[0].code, 20 * S)
    store.edit(session.id, "tagged", "A-01", *map(Put, [*tags, event]))
    return session


def test_a_draft_keeps_what_is_gone_and_its_figures(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        session, case = reviewed(store), store.case("R-07-003")
        markup = store.markup(session.id)
        before = figures(markup.tags, words_of(store, case, session))
        write_vocabulary(changed(), file_to_write(VOCABULARY))
        words = words_of(store, case, session)
        after = figures(markup.tags, words)
        renamed = tuple(
            replace(p, label="Parting") if p.code == "crack" else p for p in before.phases
        )
        assert after == replace(before, phases=renamed)
        assert words.label("sculpt") == "Sculpting"
        assert words.label("crack") == "Parting"
        strip = strip_content(markup, words, case.length_us)
        assert strip.labels["sculpt"] == "Sculpting"
        assert "sculpt" in strip.styles
        assert vocabulary_today(VOCABULARY).label("sculpt") == "sculpt"  # nothing new knows it


def test_a_signed_review_reads_as_it_was_signed(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        session, case = reviewed(store), store.case("R-07-003")
        signed = store.sign(session.id, "A-01")
        write_vocabulary(changed(), file_to_write(VOCABULARY))
        assert words_of(store, case, signed) == BEFORE
        note = note_for(store, case, signed, with_stills=False)
        assert [row.label for row in note.figures.phases] == ["Incision", "Sculpting", "Cracking"]
        assert BEFORE.events[0].label in [row.label for row in note.events]


def test_a_review_from_before_editions_were_kept(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        session, case = reviewed(store), store.case("R-07-003")
        store.note_vocabulary(session.id, "")
        write_vocabulary(changed(), file_to_write(VOCABULARY))
        words = words_of(store, case, replace(session, vocabulary_hash=""))
        assert words.label("sculpt") == "Sculpting"
        assert words.events[0].leaning in tuple(Leaning)


def test_uses_are_counted_by_reviews(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        session = reviewed(store)
        other = store.start_session(session.case_id, Reviewer("A-02"))
        tag = Tag(RowId(new_id()), other.id, TagKind.PHASE, "crack", S, 2 * S)
        store.edit(other.id, "tagged", "A-02", Put(tag))
        uses = store.code_uses(VOCABULARY)
        assert uses == {"sculpt": 1, "crack": 2, "incision": 1, BEFORE.events[0].code: 1}
        assert store.code_uses("sics") == {}


@pytest.mark.parametrize("name", ["../evil", "a/b", "", "..", "C:evil", "a" * 41, "Größe", "x\\y"])
def test_no_name_leads_out_of_the_folder(name: str) -> None:
    with pytest.raises(UserFacingError):
        file_to_write(name)
    with pytest.raises(UserFacingError):
        vocabulary_today(name)


def test_the_command_line_says_the_same_before_and_after(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with opened(tmp_path) as store:
        reviewed(store)
    line = CommandLine(tmp_path / "desk.sqlite", capsys)
    before = line.ask("figures", "R-07-003")
    tags, notes = tmp_path / "tags.csv", tmp_path / "note.csv"
    gone = replace(changed(), phases=tuple(p for p in BEFORE.phases if p.code != "sculpt"))
    write_vocabulary(gone, file_to_write(VOCABULARY))
    assert line.ask("figures", "R-07-003") == before
    assert line.run("note", "R-07-003", "--to", notes).code == 0
    assert "Sculpting" in notes.read_text(encoding="utf-8")
    assert line.run("tags", "R-07-003", "--to", tags).code == 0
    assert line.ask("tags", "R-07-003", "--from", tags, "--reviewer", "A-01")["added"] == 0
    assert "sculpt" in line.refusal("tags", "R-07-003", "--from", tags, "--reviewer", "A-09")


def test_a_demo_leaves_ones_own_alone(tmp_path: Path) -> None:
    with vocabularies_in(tmp_path):
        write_vocabulary(replace(changed(), title="Tried out"), file_to_write(VOCABULARY))
        assert vocabulary_today(VOCABULARY).title == "Tried out"
    assert vocabulary_today(VOCABULARY) == BEFORE
    assert not vocabularies_folder().exists()


def test_no_action_takes_a_key_that_any_vocabulary_may_have() -> None:
    plain = {e.key.lower() for e in actions() if len(e.key) == 1}
    shifted = {k[-1] for k in (e.key for e in actions()) if k.startswith("Shift+") and len(k) == 7}
    assert plain
    assert shifted
    assert not KEYS & (plain | shifted)


def test_ones_own_takes_the_place_of_the_shipped(tmp_path: Path) -> None:
    write_vocabulary(replace(changed(), title="Our way"), file_to_write(VOCABULARY))
    write_vocabulary(replace(BEFORE, name="ours"), file_to_write("ours"))
    assert vocabulary_today(VOCABULARY).title == "Our way"
    assert "ours" in names()
    assert "sics" in names()
    assert not list(vocabularies_folder().glob("*.part"))
    (vocabularies_folder() / "ours.toml").rename(vocabularies_folder() / "theirs.toml")
    with pytest.raises(UserFacingError, match="calls itself 'ours'"):
        vocabulary_today("theirs")
