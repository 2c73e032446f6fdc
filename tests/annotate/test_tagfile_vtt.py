"""WebVTT as written by us, read by two parsers that are not ours, and WebVTT of others' making."""

from __future__ import annotations

from pathlib import Path

import av
import pysubs2
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tag_rows import WORDS, tag_rows

from annotate.errors import UserFacingError
from annotate.tagfile import RowKind, TagRow, read_rows, write_rows
from annotate.tagfile.rows import as_written, span_ms
from annotate.tagfile.vtt_form import INSTANT_MS, to_vtt

ROWS = (
    TagRow(RowKind.PHASE, "sculpt", 1_000_000, 74_815_000, comment="slow\n\nand steady"),
    TagRow(RowKind.COMMENT, "sculpt", 2_500_000, comment="a<b & c-->d\n\n<v Someone>x"),
    TagRow(RowKind.HAND_OVER, "attending", 3_599_999_600, 3_700_000_000),
)


def shown_spans(rows: tuple[TagRow, ...]) -> list[tuple[int, int]]:
    spans = [span_ms(row) for row in as_written(rows)]
    return sorted((start, start + INSTANT_MS if end is None else end) for start, end in spans)


@given(rows=st.lists(tag_rows(), min_size=1, max_size=5))
def test_a_subtitle_library_reads_our_cues(rows: list[TagRow]) -> None:
    found = pysubs2.SSAFile.from_string(to_vtt(rows, WORDS), format_="vtt")
    assert sorted((line.start, line.end) for line in found) == shown_spans(tuple(rows))


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(tag_rows(), min_size=1, max_size=4))
def test_a_demuxer_reads_our_cues(tmp_path: Path, rows: list[TagRow]) -> None:
    path = tmp_path / "tags.vtt"
    write_rows(rows, path, WORDS)
    with av.open(str(path)) as container:
        packets = [p for p in container.demux(container.streams.subtitles[0]) if p.size]
        spans = [
            (round(p.pts * p.time_base * 1000), round((p.pts + p.duration) * p.time_base * 1000))
            for p in packets
        ]
    assert set(spans) == set(shown_spans(tuple(rows)))  # it drops a cue that repeats another


def test_chapters_and_notes_read_as_meant_in_a_player() -> None:
    found = pysubs2.SSAFile.from_string(to_vtt(ROWS, WORDS), format_="vtt")
    texts = [line.plaintext.split("\n")[0] for line in found]
    assert texts[0] == "Sculpting"
    assert texts[2] == "Hand-over: attending"


def test_cues_stand_in_order_with_distinct_identifiers() -> None:
    blocks = to_vtt(tuple(reversed(ROWS)), WORDS).strip().split("\n\n")
    assert blocks[0].startswith("WEBVTT")
    starts = [block.split("\n")[1][:12] for block in blocks[1:]]
    assert starts == ["00:00:01.000", "00:00:02.500", "01:00:00.000"]
    assert len({block.split("\n")[0] for block in blocks[1:]}) == 3


FOREIGN = """\
WEBVTT - chapters

STYLE
::cue { color: lime }

NOTE written
by hand

00:01.000 --> 00:02.000 line:0 align:start
sculpting

intro
00:00:02.000 --> 00:00:03.500
<v A-01>Look at the <b>wound</b> &amp; wait
here

00:00:04.000 --> 00:00:05.000
Viscoelastic removal
"""


def test_a_foreign_file_gives_phases_and_comments(tmp_path: Path) -> None:
    path = tmp_path / "chapters.vtt"
    path.write_bytes(FOREIGN.replace("\n", "\r\n").encode())
    assert read_rows(path, WORDS) == (
        TagRow(RowKind.PHASE, "sculpt", 1_000_000, 2_000_000),
        TagRow(RowKind.COMMENT, "", 2_000_000, 3_500_000, comment="Look at the wound & wait\nhere"),
        TagRow(RowKind.PHASE, "viscoelastic-removal", 4_000_000, 5_000_000),
    )


@pytest.mark.parametrize(
    ("cue", "line", "wrong"),
    [
        ("00:00:03.000 --> 00:00:02.000\nx", 6, "not after its start"),
        ("a\n00:00:03.000 --> 00:00:03.000\nx", 6, "not after its start"),
        ("00:00:03 --> 00:00:04.000\nx", 6, "is not written HH:MM:SS.mmm"),
        ("a\n00:00:03,000 --> 00:00:04,000\nx", 7, "is not written"),
        ("00:61:03.000 --> 00:62:04.000\nx", 6, "is not written"),
        ("just words", 6, "neither a cue nor a note"),
        ("00:00:03.000 --> 99:00:04.000\nx", 6, "beyond the end"),
        ("1 phase sculpting - - span\n00:00:03.000 --> 00:00:04.000\nx", 6, "no phase"),
        ("00:00:03.000 --> 00:00:04.000\n" + "x" * 20_001, 6, "at most 20,000"),
    ],
)
def test_a_bad_cue_is_told_with_its_line(tmp_path: Path, cue: str, line: int, wrong: str) -> None:
    path = tmp_path / "tags.vtt"
    path.write_text(f"WEBVTT\n\n00:00:01.000 --> 00:00:02.000\nSculpting\n\n{cue}\n")
    with pytest.raises(UserFacingError, match="1 bad row") as caught:
        read_rows(path, WORDS, 60_000_000)
    assert f"line {line}: " in caught.value.what
    assert wrong in caught.value.what


@pytest.mark.parametrize("first", ["WEBVTTX", "webvtt", "1", " WEBVTT"])
def test_a_file_without_the_signature_is_told(tmp_path: Path, first: str) -> None:
    path = tmp_path / "tags.vtt"
    path.write_text(first + "\n\n00:00:01.000 --> 00:00:02.000\nSculpting\n")
    with pytest.raises(UserFacingError, match="begins with WEBVTT"):
        read_rows(path, WORDS)
