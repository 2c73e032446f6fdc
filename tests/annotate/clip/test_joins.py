"""What lies at a join: rendered recordings cut with frames doubled or left out, and clocks."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numbered_clips import make_clip, paint

from annotate.clip import ClipIndex, build_index
from annotate.clip.join_pictures import Flow, compare, signatures
from annotate.clip.joins import Join, JoinKind, examine
from annotate.clip.recorder_clock import ClockFacts, ClockVerdict, between, timecode_us

S = 1_000_000
EYE = Path(__file__).parents[3] / "sample_clips" / "r07-041-part1.mp4"


def pair(folder: Path, doubled: int, **how: object) -> list[tuple[Path, ClipIndex]]:
    """Two parts of a numbered recording; the second begins `doubled` frames early, or late."""
    paths = [folder / "1.mp4", folder / "2.mp4"]
    make_clip(paths[0], n_frames=60, width=192, height=144, **how)
    make_clip(paths[1], n_frames=40, width=192, height=144, first_number=60 - doubled, **how)
    return [(path, build_index(path)) for path in paths]


@pytest.mark.parametrize("doubled", [2, 3, 12, 30])
def test_frames_that_come_twice_are_counted(doubled: int, tmp_path: Path) -> None:
    one, other = pair(tmp_path, doubled)
    join = examine(one, other)
    assert (join.kind, join.words) == (JoinKind.OVERLAP, f"{doubled} frames come twice.")
    assert join.lead_us == -other[1].time_of(doubled)


def test_a_recording_that_goes_on_is_not_said_to_repeat_or_to_jump(tmp_path: Path) -> None:
    join = examine(*pair(tmp_path, 0))
    assert (join.kind, join.lead_us) == (JoinKind.CONTINUES, 0)


def test_frames_that_were_left_out_are_not_said_to_go_on(tmp_path: Path) -> None:
    assert examine(*pair(tmp_path, -15)).kind is not JoinKind.OVERLAP


@pytest.fixture(scope="module")
def eye() -> list[np.ndarray]:
    """Brightness of 16 s of the rendered eye, as decoded."""
    with av.open(str(EYE)) as clip:
        frames = clip.decode(video=0)
        return [
            frame.reformat(320, 180, "gray").to_ndarray()
            for _, frame in zip(range(400), frames, strict=False)
        ]


def test_on_the_rendered_eye_what_is_claimed_to_repeat_does(eye: list[np.ndarray]) -> None:
    """Precision is the promise; how much is found depends on how much moves."""
    rng = np.random.default_rng(4)
    claims = hits = found = asked = jumps_claimed = 0
    field = rng.normal(0, 2, (400, 600)).astype(np.float32)

    def coded(pictures: list[np.ndarray]) -> list[np.ndarray]:
        """Each picture with noise of its own, as from a coder."""
        noisy = []
        for picture in pictures:
            y, x = rng.integers(0, 220), rng.integers(0, 280)
            noisy.append(picture + field[y : y + 180, x : x + 320])
        return [np.clip(one, 0, 255).astype(np.uint8) for one in noisy]

    for cut in range(110, 360, 30):
        for doubled in (0, 2, 5, 12, 40, -3, -20):
            tail = signatures(coded(eye[cut - 100 : cut]))
            head = signatures(coded(eye[cut - doubled : cut - doubled + 30]))
            verdict = compare(tail, head)
            claims += verdict.flow is Flow.REPEATS
            hits += verdict.flow is Flow.REPEATS and verdict.n_repeated == doubled
            found += verdict.n_repeated == doubled and doubled >= 5
            asked += doubled >= 5
            jumps_claimed += verdict.flow is Flow.JUMPS and doubled == 0
    print(f"repeats: {claims} claimed, {hits} right; of {asked} of 5 frames or more {found} found")
    assert hits == claims
    assert found >= asked / 2
    assert jumps_claimed == 0


def test_in_a_still_scene_nothing_is_claimed_to_come_twice(eye: list[np.ndarray]) -> None:
    rng = np.random.default_rng(7)
    still = [
        np.clip(eye[0] + rng.normal(0, 3, eye[0].shape), 0, 255).astype(np.uint8) for _ in range(90)
    ]
    pictures = signatures(still)
    for first in range(20, 60, 8):
        found = compare(pictures[:first], pictures[first : first + 30]).flow
        assert found in (Flow.CANNOT_TELL, Flow.GOES_ON)
    same = signatures([eye[0]] * 60)
    assert compare(same[:30], same[30:]).flow is Flow.CANNOT_TELL


def test_a_running_clock_tells_the_gap_and_that_it_starts_again(tmp_path: Path) -> None:
    """Transport streams of one recorder whose clock runs on; the second file comes 4.2 s late."""

    def part(name: str, start_s: float, first: int) -> tuple[Path, ClipIndex]:
        path = tmp_path / name
        make_clip(
            path, n_frames=50, fps=Fraction(25), time_base=Fraction(1, 90_000), container="mpegts",
            b_frames=0, first_number=first, width=192, height=144,
            start_ticks=round(start_s * 90_000),
        )  # fmt: skip
        return path, build_index(path)

    one, late = part("1.ts", 100, 0), part("2.ts", 106.2, 50)
    join = examine(one, late)
    assert join.kind is JoinKind.GAP
    assert join.lead_us == pytest.approx(4_200_000, abs=2)
    assert join.words == "A gap of 4.2 s by the recorder's running clock."
    assert examine(one, part("3.ts", 102, 50)).kind is JoinKind.CONTINUES
    again = examine(one, part("4.ts", 100, 80))
    assert again.kind is JoinKind.CLOCK_STARTS_AGAIN
    assert again.lead_us is None
    assert again.words.startswith("The recorder's running clock starts again; ")
    assert again.is_to_see


def test_a_time_code_in_the_file_tells_the_gap(tmp_path: Path) -> None:
    def part(name: str, code: str, first: int) -> tuple[Path, ClipIndex]:
        path = tmp_path / name
        with av.open(str(path), "w") as out:
            stream = out.add_stream("libx264", rate=25)
            stream.width, stream.height, stream.pix_fmt = 192, 144, "yuv420p"
            stream.metadata["timecode"] = code
            for number in range(first, first + 50):
                picture = av.VideoFrame.from_ndarray(paint(number, 192, 144), format="rgb24")
                out.mux(stream.encode(picture))
            out.mux(stream.encode(None))
        return path, build_index(path)

    one = part("1.mov", "10:00:00:00", 0)
    join = examine(one, part("2.mov", "10:00:03:05", 50))
    assert (join.kind, join.lead_us) == (JoinKind.GAP, 1_200_000)
    again = examine(one, part("3.mov", "10:00:00:00", 50))
    assert again.kind is JoinKind.CLOCK_STARTS_AGAIN


@pytest.mark.parametrize(
    ("text", "fps", "expected_s"),
    [
        ("01:00:00:00", Fraction(25), 3600),
        ("00:00:10:05", Fraction(25), 10.2),
        ("00:01:00;02", Fraction(30000, 1001), 1800 * 1001 / 30000),
        ("01:00:00;00", Fraction(30000, 1001), 107892 * 1001 / 30000),
        ("01:00:00;00", Fraction(60000, 1001), 215784 * 1001 / 60000),
    ],
)
def test_time_codes_are_read(text: str, fps: Fraction, expected_s: float) -> None:
    """Drop-frame: 107892 frames an hour at 29.97 (SMPTE ST 12-1, from memory)."""
    assert timecode_us(text, fps) == pytest.approx(expected_s * S, abs=1)


@pytest.mark.parametrize("text", ["", "24:00:00:00", "10:00:00:30", "1:2:3:4", "aa:bb:cc:dd"])
def test_what_is_no_time_code_is_none(text: str) -> None:
    assert timecode_us(text, Fraction(30)) is None


def test_a_clock_may_wrap_or_pass_midnight() -> None:
    wrap = 2**33 * S // 90_000
    one, other = ClockFacts(10 * S, running_us=wrap - 4 * S), ClockFacts(9 * S, running_us=8 * S)
    assert between(one, other) == ClockVerdict("running clock", 2 * S, resolution_us=1000)
    night = between(
        ClockFacts(60 * S, timecode_us=86_370 * S), ClockFacts(9 * S, timecode_us=31 * S)
    )
    assert (night.name, night.gap_us) == ("time code", S)


def test_the_time_of_making_tells_only_where_begin_and_end_come_to_the_same() -> None:
    at = [datetime(2026, 3, 1, 10, 0, 0, tzinfo=UTC), datetime(2026, 3, 1, 10, 1, 30, tzinfo=UTC)]
    same = between(ClockFacts(60 * S, made_at=at[0]), ClockFacts(60 * S, made_at=at[1]))
    assert (same.name, same.gap_us, same.resolution_us) == ("time of making", 30 * S, 2 * S)
    other = between(ClockFacts(60 * S, made_at=at[0]), ClockFacts(20 * S, made_at=at[1]))
    assert other == ClockVerdict()


@given(
    st.sampled_from(JoinKind),
    st.none() | st.integers(-(10**9), 10**9),
    st.text(),
    st.lists(st.text()),
)
def test_a_finding_is_kept_as_it_is(
    kind: JoinKind, lead: int | None, words: str, evidence: list[str]
) -> None:
    join = Join(kind, lead, words, tuple(evidence))
    assert Join.from_bytes(join.to_bytes()) == join


@given(st.binary(max_size=40))
def test_what_is_no_finding_is_refused(content: bytes) -> None:
    with pytest.raises(ValueError, match=r".*"):
        Join.from_bytes(content)
