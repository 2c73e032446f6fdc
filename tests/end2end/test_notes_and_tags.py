"""The note in its seven formats, and tags on their way out and in again, by the command line."""

from __future__ import annotations

import csv
import json
import re
from io import StringIO
from pathlib import Path

import html5lib
import pysubs2
import pytest
import webvtt
from annotated_times import clock_text
from command_line import CommandLine
from known_clips import known_clip
from pypdf import PdfReader

KINDS = ("pdf", "html", "md", "vtt", "srt", "csv", "json")

TAGS = """kind,code,start,end,leaning,weight,comment
phase,incision,0.0005,3.0014999,,,
phase,sculpt,3.0015,9.999999,,,
idle,talk,4.0004,4.0006,,,
event,iris-touch,1.2345674,,correct,3,"too near, <b>too</b> low & late"
event,good-move,17.0085,,,,
hand-over,A-01,5,6.5,,,
comment,,0:00:02.500500,0:00:02.501500,commend,1,"=1+1 is not a formula
and this is its second line"
comment,sculpt,7.7777777,,correct,2,- a dash first
comment,,30.0005,31.25,,,Ünïcode 漢字 --> and an arrow
"""
TOLD_MS = [(1235, None), (2500, 2502), (7778, None), (17008, None), (30000, 31250)]
"""Start and end of what a note tells, worked out by hand: microseconds first, then half to even.

1.2345674 is 1234567 us; 2.5005 and 2.5015 go to the even millisecond; 17.0085 to 17.008.
"""


@pytest.fixture
def tagged(line: CommandLine, case: str, out: Path) -> str:
    (out / "in.csv").write_text(TAGS, encoding="utf-8")
    line.ask("tags", case, "--from", out / "in.csv", "--reviewer", "A-01")
    return case


@pytest.fixture
def notes(line: CommandLine, tagged: str, out: Path) -> dict[str, Path]:
    written = {kind: out / f"note.{kind}" for kind in KINDS}
    for kind, path in written.items():
        answer = line.ask("note", tagged, "--to", path)
        assert answer["file"] == f"note.{kind}"
        assert answer["comments"] == len(TOLD_MS)
    return written


def test_times_agree_to_the_millisecond_in_all_seven_formats(notes: dict[str, Path]) -> None:
    starts = [start for start, _ in TOLD_MS]
    document = json.loads(notes["json"].read_text(encoding="utf-8"))
    told = document["comments"]
    assert [round(c["start_s"] * 1000, 6) for c in told] == starts
    assert [c["end_s"] and round(c["end_s"] * 1000, 6) for c in told] == [e for _, e in TOLD_MS]
    rows = list(csv.DictReader(StringIO(notes["csv"].read_text(encoding="utf-8-sig"))))
    moments = [row for row in rows if row["section"] in {"event", "comment"}]
    assert [row["start"] for row in moments] == [clock_text(start) for start in starts]
    cues = webvtt.read(str(notes["vtt"]))
    assert [cue.start for cue in cues] == [f"0{clock_text(start)}" for start in starts]
    titles = pysubs2.load(str(notes["srt"]))
    assert [title.start for title in titles] == starts
    assert [f"0{clock_text(title.end)}" for title in titles] == [cue.end for cue in cues]
    pages = {
        "pdf": "\n".join(page.extract_text() for page in PdfReader(notes["pdf"]).pages),
        "html": _html_text(notes["html"]),
        "md": notes["md"].read_text(encoding="utf-8"),
    }
    for kind, text in pages.items():
        found = set(re.findall(r"\d:\d\d:\d\d\.\d\d\d", text))
        wanted = {clock_text(ms) for span in TOLD_MS for ms in span if ms is not None}
        assert wanted <= found, kind


def test_phases_and_idle_agree_in_the_tables(line: CommandLine, notes: dict[str, Path]) -> None:
    figures = line.ask("figures", "R-07-014")
    document = json.loads(notes["json"].read_text(encoding="utf-8"))["figures"]
    assert document["observed_s"] == pytest.approx(figures["observed_s"], abs=0.0005)
    assert document["idle"]["total_s"] == pytest.approx(figures["idle"]["total_s"], abs=0.0005)
    totals = [phase["total_s"] for phase in figures["phases"]]
    assert [p["total_s"] for p in document["phases"]] == pytest.approx(totals, abs=0.0005)


def test_a_tag_file_written_and_read_into_another_case_says_the_same(
    line: CommandLine, tagged: str, out: Path
) -> None:
    twin = known_clip(out / "twin.mp4", n_frames=20, times=[n * 60_000 for n in range(20)]).path
    words = ("--operator", "R-08", "--case-number", 1, "--vocabulary", "phaco-divide-conquer")
    other = line.ask("intake", twin, *words)["case"]
    here = line.ask("figures", tagged)
    for kind in ("csv", "json", "vtt"):
        first, again = out / f"first.{kind}", out / f"again.{kind}"
        reviewer = f"B-{kind}"
        assert line.ask("tags", tagged, "--to", first)["written"] == 9
        added = line.ask("tags", other, "--from", first, "--reviewer", reviewer)
        assert (added["added"], added["already_there"]) == (9, 0)
        line.ask("tags", other, "--to", again, "--reviewer", reviewer)
        assert again.read_bytes() == first.read_bytes()
        there = line.ask("figures", other, "--reviewer", reviewer)
        for part in ("order", "transitions", "conflicts"):
            assert there[part] == here[part]
        for part in ("by_code", "by_leaning", "by_weight"):
            assert there["events"][part] == here["events"][part]
        for phase, same in zip(there["phases"], here["phases"], strict=True):
            assert phase["code"] == same["code"]
            assert phase["total_s"] == pytest.approx(same["total_s"], abs=0.0021)


def test_reading_a_file_again_adds_nothing(line: CommandLine, tagged: str, out: Path) -> None:
    mine = ("--reviewer", "A-01")
    with line.unchanged():
        answer = line.ask("tags", tagged, "--from", out / "in.csv", *mine)
        assert (answer["added"], answer["already_there"]) == (0, 9)
        for kind in ("csv", "json", "vtt"):
            line.ask("tags", tagged, "--to", out / f"out.{kind}", *mine)
            assert line.ask("tags", tagged, "--from", out / f"out.{kind}", *mine)["added"] == 0


OVERLAPS = """kind,code,start,end,leaning,weight,comment
phase,sculpt,10,14,,,
phase,crack,12,16,,,
phase,incision,1,2,,,
"""


def test_what_is_there_stands_and_overlaps_in_a_file_are_told(
    line: CommandLine, tagged: str, out: Path
) -> None:
    """The incision lies over the one of 0.0005 s to 3.0015 s, which stays; the sculpting yields."""
    (out / "over.csv").write_text(OVERLAPS, encoding="utf-8")
    asked = ("tags", tagged, "--from", out / "over.csv", "--reviewer", "A-01")
    answer = line.ask(*asked, "--overlaps", "yield")
    assert (answer["added"], answer["already_there"], answer["left_out"]) == (2, 0, 1)
    incision, sculpt = answer["met"]
    assert incision.endswith("was there and stays.")
    assert "0:10.0 to 0:14.0, ends at 0:12.0, where " in sculpt
    conflicts = ("figures", tagged, "--reviewer", "A-01")
    assert line.ask(*conflicts)["conflicts"] == []
    again = line.run(*asked, "--overlaps", "yield")
    assert again.out.startswith("Session of A-01 on ")
    assert "0 rows are new and kept, 1 there already; 2 left out" in again.out
    assert len(again.err.splitlines()) == 2


def test_overlaps_that_a_file_has_may_stay_and_are_conflicts(
    line: CommandLine, tagged: str, out: Path
) -> None:
    (out / "over.csv").write_text(OVERLAPS, encoding="utf-8")
    answer = line.ask("tags", tagged, "--from", out / "over.csv", "--reviewer", "B-02")
    assert (answer["added"], answer["left_out"]) == (3, 0)
    (told,) = answer["met"]
    assert told.endswith("both stay, and figures report it as a conflict.")
    (conflict,) = line.ask("figures", tagged, "--reviewer", "B-02")["conflicts"]
    assert (conflict["start_s"], conflict["end_s"]) == (12.0, 14.0)


def test_a_note_written_twice_is_the_same_and_replaces_the_first(
    line: CommandLine, notes: dict[str, Path], out: Path
) -> None:
    for kind in ("html", "md", "vtt", "srt", "csv", "json"):
        before = notes[kind].read_bytes()
        line.ask("note", "R-07-014", "--to", notes[kind])
        assert notes[kind].read_bytes() == before
    assert not list(out.glob("*.part"))


def _html_text(path: Path) -> str:
    tree = html5lib.parse(path.read_text(encoding="utf-8"))
    return " ".join(tree.itertext())
