"""Subtitles, read back by parsers that aren't ours."""

from __future__ import annotations

from html import unescape
from pathlib import Path

import av
import pysubs2
import pytest
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st
from note_scenes import S, comment, event, full_markup, scene_note

from annotate.clock import to_ms
from annotate.markup import Markup
from annotate.tags import LONGEST_TEXT, Leaning
from app.handback.note import Note
from app.handback.subtitles import cues, note_srt, note_webvtt, reading_ms


def one_comment(text: str, start_us: int = S, length_us: int = 10**13) -> Note:
    return scene_note(Markup(comments=(comment(text, start_us),)), length_us=length_us)


def vtt_payload(note: Note) -> str:
    """The first cue's text as written, without id and times."""
    blocks = note_webvtt(note).rstrip("\n").split("\n\n")
    return next(b for b in blocks if b.startswith("1\n")).split("\n", 2)[2]


# Values of time codes: from memory of the W3C's WebVTT, 3.3 (two digits of hours or more, three
# of milliseconds, carried), and common practice for SubRip, which has no standard.
@pytest.mark.parametrize(
    ("start_us", "vtt", "srt"),
    [
        (0, "00:00:00.000", "00:00:00,000"),
        (74_815_000, "00:01:14.815", "00:01:14,815"),
        (3_599_999_600, "01:00:00.000", "01:00:00,000"),
        (360_000_500_000, "100:00:00.500", "100:00:00,500"),
        (3_661_042_500, "01:01:01.042", "01:01:01,042"),
    ],
)
def test_time_codes_carry_and_round_half_to_even(start_us: int, vtt: str, srt: str) -> None:
    note = one_comment("x", start_us)
    assert f"\n{vtt} --> " in note_webvtt(note)
    assert f"\n{srt} --> " in note_srt(note)


def test_webvtt_escapes_what_the_standard_asks_for() -> None:
    assert vtt_payload(one_comment("a<b & c-->d")) == "a&lt;b &amp; c--&gt;d"


def test_webvtt_begins_with_its_signature_and_a_blank_line() -> None:
    assert note_webvtt(scene_note(Markup())).startswith("WEBVTT\n\nNOTE ")


def test_webvtt_is_read_back_by_another_parser(tmp_path: Path) -> None:
    note = scene_note()
    (tmp_path / "n.vtt").write_text(note_webvtt(note), encoding="utf-8", newline="")
    read = webvtt.read(str(tmp_path / "n.vtt"))
    assert [c.start for c in read] == [
        f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"
        for ms in (to_ms(told.start_us) for told in note.comments)
    ]
    assert "grasped again in good time" in read[1].text
    assert read[1].text.startswith("To commend: ")
    assert read[0].text == "To correct, Eye off centre"


@pytest.mark.parametrize("kind", ["vtt", "srt"])
def test_subtitles_are_read_back_by_a_subtitle_library(kind: str) -> None:
    note = scene_note()
    text = note_webvtt(note) if kind == "vtt" else note_srt(note)
    read = pysubs2.SSAFile.from_string(text, format_=kind)
    assert [(e.start, e.end) for e in read] == [(c.start_ms, c.end_ms) for c in cues(note)]
    assert "Lens in the bag with the leading haptic" in read[-1].plaintext


@pytest.mark.parametrize("kind", ["vtt", "srt"])
def test_subtitles_are_demuxed_by_ffmpegs_libraries(kind: str, tmp_path: Path) -> None:
    note = scene_note()
    path = tmp_path / f"n.{kind}"
    path.write_bytes((note_webvtt(note) if kind == "vtt" else note_srt(note)).encode())
    with av.open(path) as container:
        stream = container.streams.subtitles[0]
        packets = [p for p in container.demux(stream) if p.pts is not None]
        assert [
            (round(p.pts * 1000 * p.time_base), round(p.duration * 1000 * p.time_base))
            for p in packets
        ] == [(c.start_ms, c.end_ms - c.start_ms) for c in cues(note)]


def test_reading_time_follows_the_length_within_bounds() -> None:
    assert [reading_ms("x" * n) for n in (1, 30, 60, 120, 20_000)] == [2000, 2000, 4000, 8000, 8000]


def test_moment_with_an_end_stays_until_then() -> None:
    note = scene_note()
    assert (cues(note)[1].start_ms, cues(note)[1].end_ms) == (81_000, 96_000)


def test_cue_does_not_go_on_beyond_the_case() -> None:
    note = one_comment("word " * 60, start_us=9_500_000, length_us=10_000_000)
    assert cues(note)[0].end_ms == 10_000


def test_cue_at_the_very_end_still_lasts() -> None:
    (cue,) = cues(one_comment("x", start_us=10_000_000, length_us=10_000_000))
    assert cue.end_ms > cue.start_ms


def test_starts_are_in_order_and_overlaps_are_allowed() -> None:
    starts = [cue.start_ms for cue in cues(scene_note(full_markup(50)))]
    assert starts == sorted(starts)


def test_event_without_words_shows_what_it_is() -> None:
    note = scene_note(Markup(tags=(event("iris-touch", S, leaning=Leaning.CORRECT),)))
    assert cues(note)[0].lines == ("To correct, Iris touched",)


def test_longest_comment_is_one_cue() -> None:
    note = one_comment("w " * (LONGEST_TEXT // 2 - 1) + "w.")
    read = pysubs2.SSAFile.from_string(note_webvtt(note), format_="vtt")
    assert len(read) == 1
    assert read[0].plaintext == note.comments[0].text


def test_srt_text_cannot_start_a_cue_or_a_tag() -> None:
    hostile = "a\n2\n00:00:01,000 --> 00:00:02,000\n\n<b>bold</b> {\\an8}vacuum <100 and >50"
    read = pysubs2.SSAFile.from_string(note_srt(one_comment(hostile)), format_="srt")
    assert len(read) == 1
    assert "vacuum" in read[0].plaintext
    assert "bold" in read[0].plaintext
    assert "100 and" in read[0].plaintext


@settings(max_examples=60, deadline=None)
@given(st.text(min_size=1, max_size=200))
def test_any_text_comes_back_whole_from_webvtt(text: str) -> None:
    note = one_comment(text)
    lines = vtt_payload(note).split("\n")
    assert all("-->" not in line and "<" not in line and line.strip() for line in lines)
    wanted = [line for line in note.comments[0].text.split("\n") if line.strip()]
    assert [unescape(line) for line in lines] == (wanted or ["(no words)"])
    assert len(webvtt.from_string(note_webvtt(note))) == 1


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text(max_size=60), min_size=1, max_size=5))
def test_any_texts_make_as_many_srt_cues(texts: list[str]) -> None:
    made = tuple(comment(text, i * S) for i, text in enumerate(texts))
    note = scene_note(Markup(comments=made), length_us=10**12)
    read = pysubs2.SSAFile.from_string(note_srt(note), format_="srt")
    assert [e.start for e in read] == [i * 1000 for i in range(len(texts))]
