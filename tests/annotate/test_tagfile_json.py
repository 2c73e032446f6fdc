from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
from hypothesis import given
from hypothesis import strategies as st
from tag_rows import WORDS, tag_rows

from annotate.tagfile import TagRow
from annotate.tagfile.json_form import to_json
from annotate.tagfile.rows import HEADER, RowKind

SCHEMA = json.loads((files("annotate.tagfile") / "tags.schema.json").read_text(encoding="utf-8"))


def test_the_published_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@given(rows=st.lists(tag_rows(), max_size=4))
def test_what_is_written_keeps_the_published_schema(rows: list[TagRow]) -> None:
    jsonschema.validate(json.loads(to_json(rows, WORDS)), SCHEMA)


def test_json_has_the_entries_of_the_csv_header() -> None:
    assert tuple(SCHEMA["$defs"]["tag"]["properties"]) == HEADER


def test_times_are_seconds_to_the_millisecond() -> None:
    row = TagRow(RowKind.EVENT, "good-move", 74_815_499)
    assert json.loads(to_json([row], WORDS))["tags"][0]["start"] == 74.815


def test_the_schema_is_among_the_installed_files() -> None:
    pyproject = Path(__file__).parents[2] / "pyproject.toml"
    assert '"tagfile/*.json"' in pyproject.read_text(encoding="utf-8")
