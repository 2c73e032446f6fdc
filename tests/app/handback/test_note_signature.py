"""Every format says which edition a note is of, its signature, and what was watched."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from io import BytesIO, StringIO
from pathlib import Path

import jsonschema
import pytest
from desk_scenes import presenter_on
from new_stores import new_store
from note_scenes import SIGNATURE, WATCHED, S, scene_note
from pypdf import PdfReader
from store_scenes import with_session

from annotate.markup import Markup
from annotate.watching import Watched
from app.handback.note_csv import note_csv
from app.handback.note_html import note_html
from app.handback.note_json import SCHEMA_FILE, note_document
from app.handback.note_markdown import note_markdown
from app.handback.note_pdf import note_pdf
from app.handback.prepare import note_for
from app.handback.subtitles import note_webvtt
from app.watched_words import watched_words
from metrics.watched import watched_figures

WORDS = "94 % of the case, 85 % at 2x or slower; not watched: 11:00 to 11:40"


def _pdf_words(content: bytes) -> str:
    return " ".join(" ".join(p.extract_text() for p in PdfReader(BytesIO(content)).pages).split())


def test_pages_and_tables_say_edition_signature_and_watching() -> None:
    note = scene_note()
    cells = " ".join(row["text"] for row in csv.DictReader(StringIO(note_csv(note))))
    for text in (note_html(note), note_markdown(note), cells, note_webvtt(note)):
        assert WORDS in text
        assert SIGNATURE in text
    for text in (note_html(note), cells):
        assert "2, signature 1a2b3c4d" in text
    assert "edition 2" in note_webvtt(note)
    printed = _pdf_words(note_pdf(note))
    assert WORDS in printed
    assert "2, signature 1a2b3c4d" in printed
    assert SIGNATURE in printed.replace(" ", "")


def test_a_draft_has_an_edition_and_no_signature() -> None:
    note = scene_note(signed=False)
    assert dict(note.facts)["Edition"] == "2"
    assert note_document(note)["content_hash"] is None
    for text in (note_html(note), note_markdown(note), note_csv(note), _pdf_words(note_pdf(note))):
        assert "SHA-256" not in text
        assert WORDS in text


def test_json_has_them_and_its_schema_takes_nothing_else() -> None:
    document = json.loads(json.dumps(note_document(scene_note())))
    checker = jsonschema.Draft202012Validator(json.loads(SCHEMA_FILE.read_text("utf-8")))
    checker.validate(document)
    assert (document["edition"], document["content_hash"]) == (2, SIGNATURE)
    assert document["watched"] == {
        "share": pytest.approx(660 / 700),
        "share_at_2x_or_slower": pytest.approx(600 / 700),
        "spent_s": 615.0,
        "not_watched": [{"start_s": 660.0, "end_s": 700.0}],
    }
    for name, wrong in (
        ("edition", 0),
        ("content_hash", "1a2b"),
        ("watched", {**document["watched"], "share": 1.1}),
        ("watched", {**document["watched"], "by": "A-01"}),
    ):
        assert not checker.is_valid({**document, name: wrong})
        del document[name]
        assert not checker.is_valid(document)
        document = note_document(scene_note())


def test_the_note_of_a_later_edition_counts_what_was_watched_before(tmp_path: Path) -> None:
    with new_store(tmp_path / "desk.sqlite") as store:
        case, first = with_session(store)
        store.keep_watched(first.id, [Watched(0, 30 * S, 1.0)])
        signed = store.sign(first.id, "A-01")
        second = store.next_edition(first.id, "A-01")
        store.keep_watched(second.id, [Watched(30 * S, 45 * S, 4.0)])
        one = note_for(store, case, signed, with_stills=False)
        two = note_for(store, case, second, with_stills=False)
        bare = presenter_on(store, me="A-02")
        without = note_for(store, bare.case, bare.session, with_stills=False)
    assert one.watched is not None
    assert two.watched is not None
    assert (one.watched.share, two.watched.share, two.watched.slow_share) == (0.5, 0.75, 0.5)
    assert (one.content_hash, two.content_hash) == (signed.content_hash, "")
    assert (one.edition, two.edition) == (1, 2)
    assert without.watched is None
    assert "Watched" not in dict(without.facts)


@pytest.mark.parametrize(
    ("watched", "words"),
    [
        ([], "none of the case"),
        ([Watched(0, 700 * S, 1.0)], "100 % of the case, all of that at 2x or slower"),
        (
            [Watched(0, 700 * S - 1, 8.0)],
            "99 % of the case, 0 % at 2x or slower",
        ),
        (
            [Watched(0, S, 1.0)],
            "less than 1 % of the case, all of that at 2x or slower; not watched: 0:01 to 11:40",
        ),
        (
            [Watched(20 * n * S, (20 * n + 14 + n % 6) * S, 1.0) for n in range(35)],
            "82 % of the case, all of that at 2x or slower; not watched: 0:14 to 0:20, "
            "2:14 to 2:20, 4:14 to 4:20 and 32 shorter stretches",
        ),
    ],
)
def test_words_round_down_and_name_the_longest_stretches(
    watched: list[Watched], words: str
) -> None:
    assert watched_words(watched_figures(watched, 700 * S)) == words


def test_a_case_without_a_recording_says_nothing_of_it() -> None:
    assert watched_words(None) == ""
    note = replace(scene_note(Markup()), watched=None)
    assert note_document(note)["watched"] is None
    assert watched_words(WATCHED) == WORDS
