"""The note as JSON, checked against the published schema by a library."""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any

import jsonschema
import pytest
from note_scenes import full_markup, scene_note

from annotate.clock import to_ms
from annotate.markup import Markup
from app.handback.note import Note
from app.handback.note_json import SCHEMA_FILE, note_json

SCHEMA = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
CHECKER = jsonschema.Draft202012Validator(SCHEMA)


def test_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize(
    "note",
    [
        scene_note(Markup(), signed=False),
        scene_note(with_stills=True),
        scene_note(full_markup(30), length_us=0),
    ],
    ids=["empty", "typical", "full"],
)
def test_document_follows_the_schema(note: Note) -> None:
    CHECKER.validate(json.loads(note_json(note)))


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("status",), "finished"),
        (("comments", 0, "start_s"), -1),
        (("comments", 0, "leaning"), "good"),
        (("figures", "idle", "share"), 1.5),
        (("surname",), "x"),
    ],
)
def test_schema_refuses_what_is_no_note(where: tuple[Any, ...], value: object) -> None:
    document = json.loads(note_json(scene_note()))
    broken: Any = deepcopy(document)
    at = broken
    for step in where[:-1]:
        at = at[step]
    at[where[-1]] = value
    with pytest.raises(jsonschema.ValidationError):
        CHECKER.validate(broken)


def test_document_says_what_the_note_says() -> None:
    note = scene_note(with_stills=True)
    document = json.loads(note_json(note))
    assert [c["text"] for c in document["comments"]] == [c.text for c in note.comments]
    assert [round(c["start_s"] * 1000) for c in document["comments"]] == [
        to_ms(c.start_us) for c in note.comments
    ]
    assert document["status"] == "signed"
    assert document["operator_only"]["observed_s"] == 776.0
    assert document["comments"][0]["still"]["frame_number"] == note.comments[0].still.frame_number
