"""The note as a table that no spreadsheet runs."""

from __future__ import annotations

import csv
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from note_scenes import S, comment, scene_note

from annotate.clock import format_time
from annotate.markup import Markup
from app.handback.note import Note
from app.handback.note_csv import HEADER, harmless, note_csv


def rows_of(note: Note) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(note_csv(note), newline=""), strict=True))


def test_every_row_has_every_column() -> None:
    rows = list(csv.reader(StringIO(note_csv(scene_note()), newline=""), strict=True))
    assert tuple(rows[0]) == HEADER
    assert {len(row) for row in rows} == {len(HEADER)}


def test_moments_come_back_as_they_were() -> None:
    note = scene_note()
    told = [row for row in rows_of(note) if row["section"] in ("comment", "event")]
    assert [(r["start"], r["text"], r["weight"]) for r in told] == [
        (format_time(c.start_us), c.text, str(c.weight or "")) for c in note.comments
    ]


def test_draft_is_stated_in_the_table() -> None:
    (row,) = [r for r in rows_of(scene_note(signed=False)) if r["section"] == "case"]
    assert "Status: Draft, not signed" in row["text"]


@pytest.mark.parametrize(
    "cell",
    [
        '=HYPERLINK("http://example.invalid","x")',
        "+1+1",
        "-1",
        "@SUM(A1)",
        "  =1+1",
        "\uff1d1+1",
        "\u00a0=1",
    ],
)
def test_formula_is_made_harmless(cell: str) -> None:
    note = scene_note(Markup(comments=(comment(cell, S),)))
    (row,) = [r for r in rows_of(note) if r["section"] == "comment"]
    assert row["text"].startswith("'")
    assert row["text"].endswith(cell.strip())


@given(st.text())
def test_no_cell_begins_as_a_formula(cell: str) -> None:
    assert not harmless(cell).lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r"))


def test_figures_of_the_operator_alone_are_told_apart() -> None:
    sections = {row["section"] for row in rows_of(scene_note())}
    assert {"phase", "idle", "observed", "operator-only phase", "operator-only idle"} <= sections
