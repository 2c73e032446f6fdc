"""A clip says where it is damaged, and what was joined."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from clip_kinds import KINDS
from numbered_clips import jittered_times, make_clip, remux

from annotate.clip import ClipIndex, ClipReader, build_index
from annotate.clip.damage import MOST_SPANS

ClipMaker = Callable[[str], Path]
SMALL = {"width": 128, "height": 96}
TS_PACKET = 188
JOINED = {"clock_starts_again.ts", "clock_falls_a_little.ts", "clock_jumps_ahead.ts",
          "clock_starts_again.mpg", "size_changes.ts", "depth_changes.ts"}  # fmt: skip


@pytest.mark.parametrize("kind", sorted(set(KINDS) - JOINED))
def test_a_whole_clip_has_nothing_to_say(kind: str, clip_of: ClipMaker) -> None:
    assert build_index(clip_of(kind)).remarks == ()


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("clock_starts_again.ts", "The recorder's clock starts again at 0:01."),
        ("clock_falls_a_little.ts", "The recorder's clock starts again at 0:01."),
        ("clock_starts_again.mpg", "The recorder's clock starts again at 0:01."),
        ("clock_jumps_ahead.ts", "The recorder's clock jumps ahead by 1:58 at 0:01: something may"
                                 " be missing there."),
    ],
)  # fmt: skip
def test_clocks_are_joined_and_said_to_be(kind: str, words: str, clip_of: ClipMaker) -> None:
    """32 frames at 30 a second, then 32 more: the second clock begins at 1.0667 s of the clip."""
    index = build_index(clip_of(kind))
    assert words in index.remarks
    place = next(span for span in index.damaged if span.words == words)
    assert (place.start_us, place.end_us) == (1_066_666, 1_066_666)
    assert index.is_complete
    assert index.duration_us == pytest.approx(64 / 30 * 1e6, abs=1)


def test_packets_missing_from_a_transport_stream_are_told_with_their_place(tmp_path: Path) -> None:
    """Ten transport packets are taken out of the middle: their counters no longer follow on."""
    make_clip(tmp_path / "a.ts", n_frames=300, **SMALL)
    index = build_index(tmp_path / "a.ts")
    content = (tmp_path / "a.ts").read_bytes()
    at = int(index.packets.pos[150]) // TS_PACKET * TS_PACKET + TS_PACKET
    (tmp_path / "b.ts").write_bytes(content[:at] + content[at + 10 * TS_PACKET :])
    damaged = build_index(tmp_path / "b.ts")
    assert damaged.damaged
    assert all(4.8 < s.start_us / 1e6 < 5.4 for s in damaged.damaged)  # frame 150 is at 5.0 s
    assert "missing at 0:0" in damaged.remarks[0]
    assert damaged.is_complete  # it does not break off


def test_a_stretch_without_pictures_is_told(tmp_path: Path) -> None:
    """Frames 60 to 149 are lost: from 2.0 to 5.0 s there is none."""
    make_clip(
        tmp_path / "a.mkv", n_frames=240, **SMALL, b_frames=0, gop=30, time_base=Fraction(1, 1000)
    )
    remux(tmp_path / "a.mkv", tmp_path / "b.mkv", keep=lambda n, _: not 60 <= n < 150)
    (span,) = build_index(tmp_path / "b.mkv").damaged
    assert (span.start_us, span.end_us) == (1_967_000, 5_000_000)
    assert span.words == "There is no picture for 3.0 s from 0:01 on."
    with ClipReader(tmp_path / "b.mkv") as reader:
        assert reader.frame_at(4_000_000).number == 59


def test_a_rate_that_varies_is_no_gap(tmp_path: Path) -> None:
    times = [t * 12 for t in jittered_times(60, 3)]
    make_clip(tmp_path / "a.mp4", n_frames=60, **SMALL, times=times)
    assert build_index(tmp_path / "a.mp4").damaged == ()


def test_spans_are_kept_with_the_index(clip_of: ClipMaker) -> None:
    index = build_index(clip_of("clock_jumps_ahead.ts"))
    again = ClipIndex.from_bytes(index.to_bytes())
    assert index.damaged
    assert again.damaged == index.damaged


def test_a_clip_full_of_damage_is_told_in_bounded_words(tmp_path: Path) -> None:
    """A transport stream of 250 joined clips of a frame each, every clock starting anew."""
    make_clip(tmp_path / "a.ts", n_frames=1, **SMALL, start_ticks=60_000)
    make_clip(tmp_path / "b.ts", n_frames=1, **SMALL)
    pair = (tmp_path / "a.ts").read_bytes() + (tmp_path / "b.ts").read_bytes()
    (tmp_path / "c.ts").write_bytes(pair * 250)
    found = build_index(tmp_path / "c.ts").damaged
    assert len(found) == MOST_SPANS
    assert "more places are damaged" in found[-1].words
    assert [s.start_us for s in found] == sorted(s.start_us for s in found)
