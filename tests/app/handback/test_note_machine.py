"""The note's section on the machine, in every format that has sections."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from io import BytesIO, StringIO

import html5lib
import jsonschema
import pytest
from note_scenes import SESSION, TYPICAL, S, comment, scene_note
from pypdf import PdfReader

from annotate.ids import RowId
from annotate.marks import Setting
from annotate.markup import Markup
from annotate.tags import Leaning
from app.handback.note_csv import note_csv
from app.handback.note_html import note_html
from app.handback.note_json import SCHEMA_FILE, note_document
from app.handback.note_markdown import note_markdown
from app.handback.note_pdf import note_pdf

LIMIT = (
    "Vacuum 180 mmHg, where at most 100 mmHg is usual in sculpting (common practice, no "
    "source: peristaltic pump)."
)


def setting(number: int, start_s: int, end_s: int, **values: object) -> Setting:
    return Setting(RowId(f"v{number}"), SESSION, start_s * S, end_s * S, **values)  # type: ignore[arg-type]


NOTED = replace(
    TYPICAL,
    comments=(*TYPICAL.comments, comment(LIMIT, 195 * S, 301 * S, Leaning.CORRECT, 1)),
    settings=(
        setting(1, 195, 301, vacuum_mmhg=180.0, power_percent=40.0, energy_s=60.0, machine="<N> 4"),
        setting(
            2, 349, 520, power_percent=0.0, torsional_percent=40.0, duty_cycle_percent=50.0,
            vacuum_mmhg=900.0, machine="<N> 4",
        ),
        setting(3, 544, 655, power_percent=10.0, energy_s=10.0, machine="=South"),
    ),
)  # fmt: skip
"""Worked out by hand. First machine: 60 s at 40 % are 24; 171 s x 50 % = 85.5 s of amplitude 40 %,
weighing 0.4, are 13.68: 145.5 s, 24 / 145.5 = 16.5 %, 37.68. Without the hand-over of 52 s the
second span is 59.5 s: 119.5 s, 20.1 %, 24 + 9.52 = 33.52. The second machine: 10 s at 10 %."""

CELLS = (
    ("<N> 4", "145.5 s", "16.5 %", "24.0 s", "37.7"),
    ("<N> 4, R-07 alone", "119.5 s", "20.1 %", "24.0 s", "33.5"),
    ("=South", "10.0 s", "10.0 %", "1.0 s", "1.0"),
    ("=South, R-07 alone", "10.0 s", "10.0 %", "1.0 s", "1.0"),
)


def test_the_section_holds_each_machine_apart() -> None:
    section = scene_note(NOTED).machine
    assert section is not None
    assert tuple((row.label, *row.cells) for row in section.rows) == CELLS
    assert [limit.text for limit in section.limits] == [LIMIT]  # the other was not taken
    assert "cannot be compared" in " ".join(section.remarks)


def test_without_machine_values_there_is_no_section() -> None:
    note = scene_note()
    assert note.machine is None
    for text in (note_html(note), note_markdown(note), note_csv(note)):
        assert "issipated" not in text
    assert note_document(note)["machine"] is None


def test_pages_say_it() -> None:
    note = scene_note(NOTED)
    page = html5lib.parse(note_html(note), namespaceHTMLElements=False)
    table = next(t for t in page.iter("table") if t.get("class") == "machine")
    rows = [tuple("".join(cell.itertext()) for cell in row) for row in table.iter("tr")]
    assert tuple(rows[1:]) == CELLS
    words = " ".join(
        " ".join(p.extract_text() for p in PdfReader(BytesIO(note_pdf(note))).pages).split()
    )
    for text in (words, "".join(page.itertext())):
        assert "37.7" in text
        assert "33.5" in text
        assert "where at most 100 mmHg is usual in sculpting" in text
        assert "what the machine itself shows counts" in text
    assert "\\<N\\> 4, R-07 alone | 119.5 s" in note_markdown(note)


def test_the_table_says_it_and_no_cell_can_act_as_a_formula() -> None:
    rows = list(csv.DictReader(StringIO(note_csv(scene_note(NOTED)))))
    machine = [row["text"] for row in rows if row["section"] == "machine"]
    assert machine[0] == (
        "<N> 4: phaco time 145.5 s, mean longitudinal power 16.5 %, effective phaco time 24.0 s, "
        "dissipated energy 37.7"
    )
    assert machine[2].startswith("'=South")
    (limit,) = (row for row in rows if row["section"] == "machine limit")
    assert (limit["start"], limit["end"], limit["text"]) == ("0:03:15.000", "0:05:01.000", LIMIT)


def test_json_says_it_and_its_schema_takes_nothing_else() -> None:
    document = json.loads(json.dumps(note_document(scene_note(NOTED))))
    checker = jsonschema.Draft202012Validator(json.loads(SCHEMA_FILE.read_text("utf-8")))
    checker.validate(document)
    first = document["machine"]["machines"][0]
    assert (first["machine"], first["phaco_s"]) == ("<N> 4", 145.5)
    assert first["dissipated_energy"] == pytest.approx(37.68)
    assert first["operator_only"]["dissipated_energy"] == pytest.approx(33.52)
    assert document["machine"]["limits_passed"] == [
        {"start_s": 195.0, "end_s": 301.0, "text": LIMIT}
    ]
    for wrong in ({**document["machine"], "sum": 1}, {**document["machine"], "machines": [{}]}, []):
        assert not checker.is_valid({**document, "machine": wrong})


def test_power_that_was_not_noted_is_said() -> None:
    markup = Markup(settings=(setting(1, 0, 42, energy_s=42.0, machine="North"),))
    section = scene_note(markup).machine
    assert section is not None
    assert section.rows[0].cells == ("42.0 s", "not noted", "not noted", "not noted")
    assert section.remarks[0] == "North: Power not noted for 0:42."
