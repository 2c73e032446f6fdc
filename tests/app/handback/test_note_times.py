"""One moment, one time: every format says the same to the millisecond."""

from __future__ import annotations

import csv
import json
import re
from io import BytesIO, StringIO

import html5lib
import pysubs2
from hypothesis import given, settings
from hypothesis import strategies as st
from note_scenes import comment, scene_note
from pypdf import PdfReader

from annotate.clock import parse_time
from annotate.markup import Markup
from app.handback.note import Note
from app.handback.note_csv import note_csv
from app.handback.note_html import note_html
from app.handback.note_json import note_json
from app.handback.note_markdown import note_markdown
from app.handback.note_pdf import note_pdf
from app.handback.subtitles import note_srt, note_webvtt

CLOCK = r"\d+:\d\d:\d\d\.\d{3}"
Spans = list[tuple[int, int]]


def ms(text: str) -> int:
    return round(parse_time(text) / 1000)


def from_csv(note: Note) -> Spans:
    rows = csv.DictReader(StringIO(note_csv(note), newline=""))
    return [(ms(r["start"]), ms(r["end"])) for r in rows if r["section"] == "comment"]


def from_json(note: Note) -> Spans:
    told = json.loads(note_json(note))["comments"]
    return [(round(c["start_s"] * 1000), round(c["end_s"] * 1000)) for c in told]


def from_markdown(note: Note) -> Spans:
    found = re.findall(rf"^### \d+\. ({CLOCK}) to ({CLOCK})", note_markdown(note), re.MULTILINE)
    return [(ms(start), ms(end)) for start, end in found]


def from_html(note: Note) -> tuple[Spans, Spans]:
    """Times as shown and as told to machines."""
    page = html5lib.parse(note_html(note), namespaceHTMLElements=False)
    shown: Spans = []
    told: Spans = []
    for head in page.findall(".//article//h3"):
        first, last = head.findall("time")
        shown.append((ms(first.text or ""), ms(last.text or "")))
        machine = [t.get("datetime", "") for t in (first, last)]
        told.append((ms(machine[0][2:-1]), ms(machine[1][2:-1])))
    return shown, told


def from_pdf(note: Note) -> Spans:
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(note_pdf(note))).pages)
    return [(ms(a), ms(b)) for a, b in re.findall(rf"({CLOCK}) to ({CLOCK})", text)]


def from_subtitles(text: str, kind: str) -> Spans:
    return [(e.start, e.end) for e in pysubs2.SSAFile.from_string(text, format_=kind)]


@settings(max_examples=12, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(0, 7_200_000_000), st.integers(2_000, 30_000_000)),
        min_size=1,
        max_size=8,
        unique_by=lambda span: span[0],
    )
)
def test_times_agree_in_every_format(spans: list[tuple[int, int]]) -> None:
    made = tuple(comment("words", start, start + length) for start, length in sorted(spans))
    note = scene_note(Markup(comments=made), length_us=10**10)
    wanted = from_json(note)
    assert len(wanted) == len(spans)
    assert from_csv(note) == wanted
    assert from_markdown(note) == wanted
    assert from_html(note) == (wanted, wanted)
    assert from_pdf(note) == wanted
    assert from_subtitles(note_webvtt(note), "vtt") == wanted
    assert from_subtitles(note_srt(note), "srt") == wanted
