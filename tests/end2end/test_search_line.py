"""`scrubline search`: words that were read from a tag file are found, with case and time."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from command_line import CommandLine

from app.vocabulary.own import file_to_write, vocabulary_today, write_vocabulary
from store import open_store

TAGS = """kind,code,start,end,leaning,weight,comment
phase,sculpt,1,5,,,
event,eye-off-centre,2,,correct,2,bring the eye back
comment,sculpt,3.5,,commend,,Good depth in the groove
"""


def filled(line: CommandLine, case: str, out: Path) -> None:
    file = out / "tags.csv"
    file.write_text(TAGS, encoding="utf-8")
    assert line.run("tags", case, "--from", file).code == 0


def test_words_are_found_for_people_and_as_one_document(
    line: CommandLine, case: str, out: Path
) -> None:
    filled(line, case, out)
    shown = line.run("search", "GROOVE", "dep")
    assert shown.code == 0
    assert case in shown.out
    assert "Good depth in the groove" in shown.out
    found = line.ask("search", "groove dep")
    assert found == {
        "words": "groove dep",
        "is_cut": False,
        "found": [
            {
                "case": case,
                "reviewer": "reviewer",
                "at_s": 3.5,
                "kind": "comment",
                "code": "sculpt",
                "text": "Good depth in the groove",
            }
        ],
    }


def test_a_label_finds_its_tags_and_the_comments_on_them(
    line: CommandLine, case: str, out: Path
) -> None:
    filled(line, case, out)
    assert [(f["at_s"], f["kind"]) for f in line.ask("search", "sculpting")["found"]] == [
        (1, "phase"),
        (3.5, "comment"),
    ]
    cut = line.run("search", "sculpting", "--limit", 1)
    assert "There is more" in cut.err
    assert line.ask("search", "xylophone")["found"] == []
    assert "Nothing has these words" in line.run("search", "xylophone").out


def test_a_label_that_was_changed_finds_what_was_tagged_before(
    line: CommandLine, case: str, out: Path
) -> None:
    filled(line, case, out)
    with open_store(line.store) as store:
        before = vocabulary_today(store.case(case).vocabulary)
    phases = tuple(
        replace(term, label="Furrowing") if term.code == "sculpt" else term
        for term in before.phases
    )
    changed = replace(before, version="next", phases=phases)
    write_vocabulary(changed, file_to_write(before.name))
    for words in ("sculpting", "furrowing"):
        assert [f["at_s"] for f in line.ask("search", words)["found"]] == [1, 3.5]
    assert "Furrowing (also: Sculpting)" in line.run("search", "sculpting").out


def test_no_words_are_refused_in_a_sentence(line: CommandLine, case: str) -> None:
    assert line.refusal("search")
