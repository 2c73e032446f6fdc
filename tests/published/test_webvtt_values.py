"""WebVTT against W3C, WebVTT: The Web Video Text Tracks Format, sections 4 and 4.3.1 (from memory).

A time stamp is hours of two digits or more, minutes, seconds, and exactly three digits of
milliseconds; a cue ends after it starts; ``&``, ``<`` and ``>`` are escaped, so that no arrow can
stand in a text.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tag_rows import WORDS, tag_rows

from annotate.tagfile import TagRow, read_rows
from annotate.tagfile.vtt_form import cue_text, escaped, to_vtt, vtt_time

TIME = r"(?:\d{2,}):[0-5]\d:[0-5]\d\.\d{3}"


@pytest.mark.parametrize(
    ("time_us", "text"),
    [
        (0, "00:00:00.000"),
        (74_815_000, "00:01:14.815"),
        (3_599_999_600, "01:00:00.000"),
        (360_000_500_000, "100:00:00.500"),
        (3_661_042_500, "01:01:01.042"),
        (3_661_043_500, "01:01:01.044"),
    ],
)
def test_time_stamps(time_us: int, text: str) -> None:
    """The last two are halves of a millisecond, which round to even (our rule, stated)."""
    assert vtt_time(time_us) == text


def test_escapes() -> None:
    assert escaped("a<b & c-->d") == "a&lt;b &amp; c--&gt;d"


def test_no_empty_line_ends_a_cue() -> None:
    assert cue_text("a\n\nb") == "a\n&nbsp;\nb"


@given(rows=st.lists(tag_rows(), max_size=6))
def test_every_cue_keeps_the_syntax(rows: list[TagRow]) -> None:
    header, *blocks = to_vtt(rows, WORDS).rstrip("\n").split("\n\n")
    assert re.fullmatch(r"WEBVTT( [^\n]*)?", header)
    assert len(blocks) == len(rows)
    starts = []
    for block in blocks:
        identifier, timings, *payload = block.split("\n")
        assert "-->" not in identifier
        found = re.fullmatch(rf"({TIME}) --> ({TIME})", timings)
        assert found
        starts.append(found[1].rjust(16))
        assert found[1].rjust(16) < found[2].rjust(16)
        text = "\n".join(payload)
        assert not re.search(r"[<>\0]|&(?!amp;|lt;|gt;|nbsp;)", text)
    assert starts == sorted(starts)


def test_a_cue_without_hours_and_with_settings_is_read(tmp_path: Path) -> None:
    path = tmp_path / "chapters.vtt"
    path.write_text("WEBVTT\n\n01:14.815 --> 100:00:00.500 line:0 position:50%\nSculpting\n")
    (row,) = read_rows(path, WORDS)
    assert (row.start_us, row.end_us) == (74_815_000, 360_000_500_000)
