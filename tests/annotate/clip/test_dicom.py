"""Video in DICOM files: read where it lies, frame by frame; what is no video says so.

The files are made by pydicom, and the places of their fragments are compared with its own reading.
"""

from __future__ import annotations

import io
import logging
import struct
import warnings
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from dicom_clips import SECRETS, fragments_of, identified, still, wrap, wrap_uneven
from hypothesis import given
from hypothesis import strategies as st
from numbered_clips import make_clip, make_sound_only, read_number
from pydicom.datadict import tag_for_keyword
from pydicom.encaps import encapsulate
from pydicom.uid import (
    HEVCMP51,
    MPEG2MPML,
    MPEG2MPMLF,
    MPEG4HP41,
    AllTransferSyntaxes,
    DeflatedExplicitVRLittleEndian,
    JPEGBaseline8Bit,
    MPEGTransferSyntaxes,
)
from sounding_clips import make_sounding_clip

from annotate.clip import ClipReader, build_index, check_clip, fingerprint
from annotate.clip.byte_ranges import RangedFile
from annotate.clip.dicom import VIDEO_SYNTAXES, encapsulated_video, is_dicom
from annotate.clip.opening import open_clip
from annotate.clip.sound import ClipSound
from annotate.errors import UserFacingError

N_FRAMES = 60
STREAMS = {
    "clip.mp4": ({}, MPEG4HP41),
    "clip.ts": ({}, MPEG4HP41),
    "clip.h264": ({"time_base": Fraction(1, 30)}, MPEG4HP41),
    "clip.m2v": ({"codec": "mpeg2video", "container": "mpeg2video"}, MPEG2MPML),
    "clip.mpg": ({"codec": "mpeg2video", "container": "vob", "fps": Fraction(25)}, MPEG2MPMLF),
    "clip.hevc": ({"codec": "libx265", "time_base": Fraction(1, 30)}, HEVCMP51),
}


@pytest.fixture(scope="module", params=STREAMS)
def stream(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("stream") / request.param
    make_clip(path, n_frames=N_FRAMES, **STREAMS[request.param][0])
    return path


@pytest.fixture(scope="module")
def mp4(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("mp4") / "clip.mp4"
    make_clip(path, n_frames=N_FRAMES)
    return path


def refusal(path: Path) -> str:
    with pytest.raises(UserFacingError) as refused:
        check_clip(path)
    said = f"{refused.value}"
    assert path.name in said
    assert not any(secret in said for secret in SECRETS)
    return said


def outcome(path: Path) -> str:
    """What is said of a file: why it is refused, where it breaks off, or how long it is."""
    try:
        index = build_index(path)
    except UserFacingError as refused:
        return str(refused)
    return index.damage or f"{index.n_frames} frames"


@pytest.mark.parametrize("n_fragments", [1, 5])
def test_every_frame_is_the_one_of_the_stream_inside(
    stream: Path, n_fragments: int, tmp_path: Path
) -> None:
    wrap(stream, tmp_path / "case", n_fragments, STREAMS[stream.name][1])
    plain, index = build_index(stream), build_index(tmp_path / "case")
    assert index.n_frames == N_FRAMES
    assert index.times_us.tolist() == plain.times_us.tolist()
    assert (index.codec, index.container) == (plain.codec, plain.container)
    assert index.is_complete
    rng = np.random.default_rng(n_fragments)
    with ClipReader(tmp_path / "case", index, cache_bytes=1) as reader:
        for number in (0, N_FRAMES - 1, *rng.integers(0, N_FRAMES, 12).tolist()):
            assert read_number(reader.frame(number).rgb()) == number
            assert read_number(reader.frame_at(int(index.times_us[number])).rgb()) == number
        for number in [*range(20, 26), *range(26, 18, -1)]:
            assert read_number(reader.frame(number).rgb()) == number


def test_the_stream_lies_where_pydicom_finds_it(mp4: Path, tmp_path: Path) -> None:
    for n_fragments in (1, 2, 9):
        path = tmp_path / f"{n_fragments}.dcm"
        wrap(mp4, path, n_fragments)
        video = encapsulated_video(path)
        assert video is not None
        content = path.read_bytes()
        found = [content[start : start + length] for start, length in video.ranges]
        assert found == fragments_of(path)
        assert b"".join(found)[: mp4.stat().st_size] == mp4.read_bytes()


def test_the_video_syntaxes_are_those_that_pydicom_lists() -> None:
    assert {str(uid) for uid in MPEGTransferSyntaxes} <= VIDEO_SYNTAXES
    listed = {str(uid) for uid in AllTransferSyntaxes}
    named = {"MPEG2", "MPEG-4", "HEVC"}
    videos = {uid for uid in AllTransferSyntaxes if any(word in uid.name for word in named)}
    assert listed >= VIDEO_SYNTAXES
    assert {str(uid) for uid in videos} == VIDEO_SYNTAXES


def test_fragments_of_any_size_are_one_stream(mp4: Path, tmp_path: Path) -> None:
    wrap_uneven(mp4, tmp_path / "case.dcm", [2, 0, 30, 2, 1000, 4, 20_000])
    with ClipReader(tmp_path / "case.dcm") as reader:
        assert [read_number(reader.frame(n).rgb()) for n in (40, 3, 59)] == [40, 3, 59]


@given(
    sizes=st.lists(st.integers(1, 40), min_size=1, max_size=12),
    moves=st.lists(st.tuples(st.integers(0, 300), st.integers(-1, 90)), max_size=20),
)
def test_stretches_read_as_one_file(
    sizes: list[int], moves: list[tuple[int, int]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("ranges") / "file"
    content = np.random.default_rng(len(sizes)).bytes(50 * len(sizes) + 50)
    path.write_bytes(content)
    ranges = [(50 * n + 7, size) for n, size in enumerate(sizes)]
    whole = io.BytesIO(b"".join(content[a : a + n] for a, n in ranges))
    with RangedFile(path, ranges) as file:
        assert len(file) == sum(sizes)
        for place, size in moves:
            assert file.seek(place) == whole.seek(place)
            assert file.read(size) == whole.read(size)
            assert file.tell() == whole.tell()
        assert file.seek(-1, io.SEEK_END) == whole.seek(-1, io.SEEK_END)
        assert file.seek(1, io.SEEK_CUR) == len(file)
        assert file.read() == b""
        with pytest.raises(ValueError, match="place"):
            file.seek(-1)


def test_a_bare_stream_without_a_rate_runs_at_the_one_that_the_file_states(tmp_path: Path) -> None:
    silent = {"x265-params": "log-level=none:pools=1:vui-timing-info=0"}
    make_clip(tmp_path / "s.hevc", n_frames=30, codec="libx265", options=silent)
    for name, stated, rate in [
        ("time.dcm", {"FrameTime": "20.0", "CineRate": 15}, Fraction(50)),
        ("video.dcm", {"FrameTime": "33.37"}, Fraction(30000, 1001)),
        ("cine.dcm", {"CineRate": 15}, Fraction(15)),
        ("shown.dcm", {"RecommendedDisplayFrameRate": 60}, Fraction(60)),
        ("odd.dcm", {"FrameTime": "0"}, Fraction(25)),
    ]:
        wrap(tmp_path / "s.hevc", tmp_path / name, 1, HEVCMP51, **stated)
        index = build_index(tmp_path / name)
        assert index.fps_mean == pytest.approx(float(rate), rel=1e-6), name
        with ClipReader(tmp_path / name, index) as reader:
            assert read_number(reader.frame(17).rgb()) == 17


@pytest.mark.parametrize("odd", [b"no numbr", b"-1111.11", b"0000.000", b"nan     ", b"1e999   "])
def test_a_rate_that_is_none_is_passed_over(odd: bytes, mp4: Path, tmp_path: Path) -> None:
    wrap(mp4, tmp_path / "c.dcm", FrameTime="12345.67")
    content = (tmp_path / "c.dcm").read_bytes()
    (tmp_path / "c.dcm").write_bytes(content.replace(b"12345.67", odd))
    video = encapsulated_video(tmp_path / "c.dcm")
    assert video is not None
    assert video.rate is None


def test_a_stream_that_states_rate_and_pixels_is_believed(tmp_path: Path) -> None:
    make_clip(tmp_path / "s.h264", n_frames=12, time_base=Fraction(1, 30),
              sample_aspect=Fraction(64, 45))  # fmt: skip
    wrap(tmp_path / "s.h264", tmp_path / "c.dcm", FrameTime="100", PixelAspectRatio=[3, 1])
    index = build_index(tmp_path / "c.dcm")
    assert index.fps_mean == 30
    assert index.shape.sample_aspect == Fraction(64, 45)


def test_pixels_have_the_shape_that_the_file_states(tmp_path: Path) -> None:
    """PS3.3 C.7.6.3.1.7: the vertical size of a pixel comes first, then the horizontal one."""
    make_clip(tmp_path / "s.h264", n_frames=6, time_base=Fraction(1, 30))
    wrap(tmp_path / "s.h264", tmp_path / "c.dcm", PixelAspectRatio=[3, 4])
    index = build_index(tmp_path / "c.dcm")
    assert index.shape.sample_aspect == Fraction(4, 3)
    assert (index.width, index.height) == (round(320 * 4 / 3), 240)


def test_a_file_without_the_mark_is_read_if_it_is_called_so(mp4: Path, tmp_path: Path) -> None:
    wrap(mp4, tmp_path / "whole.dcm", 3)
    bare = (tmp_path / "whole.dcm").read_bytes()[132:]
    (tmp_path / "bare.DCM").write_bytes(bare)
    assert not is_dicom(tmp_path / "bare.DCM")
    with ClipReader(tmp_path / "bare.DCM") as reader:
        assert read_number(reader.frame(33).rgb()) == 33
    (tmp_path / "bare.bin").write_bytes(bare)
    assert "not a video" in refusal(tmp_path / "bare.bin")


def test_a_plain_clip_that_is_called_so_is_read_as_what_it_is(mp4: Path, tmp_path: Path) -> None:
    (tmp_path / "clip.dcm").write_bytes(mp4.read_bytes())
    assert build_index(tmp_path / "clip.dcm").n_frames == N_FRAMES
    (tmp_path / "noise.dcm").write_bytes(np.random.default_rng(1).bytes(5000))
    assert "not a video" in refusal(tmp_path / "noise.dcm")


def test_pictures_kept_one_by_one_are_no_video(tmp_path: Path) -> None:
    still(tmp_path / "still.dcm")
    still(tmp_path / "many.dcm", 5)
    for name in ("still.dcm", "many.dcm"):
        said = refusal(tmp_path / name)
        assert "without a video stream" in said
        assert "Explicit VR Little Endian" in said


def test_what_else_is_no_video_gets_its_sentence(mp4: Path, tmp_path: Path) -> None:
    wrap(b"\xff\xd8\xff\xe0" + bytes(400), tmp_path / "jpeg.dcm", syntax=JPEGBaseline8Bit)
    assert "JPEG Baseline" in refusal(tmp_path / "jpeg.dcm")
    wrap(mp4, tmp_path / "unknown.dcm", syntax="1.2.3.4.5.6")
    assert "unknown kind" in refusal(tmp_path / "unknown.dcm")
    identified(MPEG4HP41).save_as(tmp_path / "none.dcm", enforce_file_format=True)
    assert "no pictures" in refusal(tmp_path / "none.dcm")
    identified(DeflatedExplicitVRLittleEndian).save_as(
        tmp_path / "small.dcm", enforce_file_format=True
    )
    assert "without a video stream" in refusal(tmp_path / "small.dcm")
    wrap(np.random.default_rng(2).bytes(9000), tmp_path / "noise.dcm")
    assert "video in it cannot be read" in refusal(tmp_path / "noise.dcm")
    make_sound_only(tmp_path / "sound.m4a")
    wrap(tmp_path / "sound.m4a", tmp_path / "sound.dcm")
    assert "holds no video" in refusal(tmp_path / "sound.dcm")
    wrap_uneven(b"", tmp_path / "empty.dcm", [])
    assert "breaks off before its video" in refusal(tmp_path / "empty.dcm")
    (tmp_path / "mark.dcm").write_bytes(bytes(128) + b"DICM")
    assert "breaks off" in refusal(tmp_path / "mark.dcm")
    (tmp_path / "odd.dcm").write_bytes(bytes(128) + b"DICM" + b"\xff" * 600)
    refusal(tmp_path / "odd.dcm")


def test_a_stream_that_is_not_wrapped_gets_its_sentence(mp4: Path, tmp_path: Path) -> None:
    """Video under a video syntax, but with a length as other pictures have."""
    wrap(mp4, tmp_path / "c.dcm")
    content = bytearray((tmp_path / "c.dcm").read_bytes())
    at = content.rindex(b"\xe0\x7f\x10\x00OB") + 8
    content[at : at + 4] = (len(content) - at - 4).to_bytes(4, "little")
    (tmp_path / "c.dcm").write_bytes(content)
    assert "not in the form that DICOM lays down" in refusal(tmp_path / "c.dcm")


def test_a_file_that_breaks_off_plays_as_far_as_it_goes(tmp_path: Path) -> None:
    make_clip(tmp_path / "s.ts", n_frames=N_FRAMES)
    wrap(tmp_path / "s.ts", tmp_path / "c.dcm", 4)
    content = (tmp_path / "c.dcm").read_bytes()
    (tmp_path / "c.dcm").write_bytes(content[: len(content) * 6 // 10])
    index = build_index(tmp_path / "c.dcm")
    assert 10 < index.n_frames < N_FRAMES
    assert "breaks off" in index.damage
    with ClipReader(tmp_path / "c.dcm", index) as reader:
        last = index.n_frames - 1
        assert [read_number(reader.frame(n).rgb()) for n in (9, last, 0)] == [9, last, 0]


def test_a_file_may_break_off_anywhere(mp4: Path, tmp_path: Path) -> None:
    wrap(mp4, tmp_path / "c.dcm")
    content = (tmp_path / "c.dcm").read_bytes()
    start = content.rindex(b"\xe0\x7f\x10\x00OB")
    for length in [*range(132, start + 40, 13), start + 2000]:
        (tmp_path / "cut.dcm").write_bytes(content[:length])
        assert "cut.dcm" in refusal(tmp_path / "cut.dcm"), length


@pytest.mark.parametrize("length", [0xFFFFFFFF, 0xFFFFFFFE, 0x7FFFFFFF, 0, 3])
def test_a_length_that_lies_does_no_harm(length: int, tmp_path: Path) -> None:
    make_clip(tmp_path / "s.ts", n_frames=12)
    wrap(tmp_path / "s.ts", tmp_path / "c.dcm")
    content = bytearray((tmp_path / "c.dcm").read_bytes())
    table = content.rindex(b"\xe0\x7f\x10\x00OB") + 12
    for at in (table + 4, table + 12):  # of the table of offsets, of the fragment
        lying = bytearray(content)
        lying[at : at + 4] = length.to_bytes(4, "little")
        (tmp_path / "c.dcm").write_bytes(lying)
        found = outcome(tmp_path / "c.dcm")
        assert "c.dcm" in found or found == "12 frames"


def test_every_element_before_the_video_may_lie_about_its_length(mp4: Path, tmp_path: Path) -> None:
    wrap(mp4, tmp_path / "c.dcm")
    content = (tmp_path / "c.dcm").read_bytes()
    end = content.rindex(b"\xe0\x7f\x10\x00OB")
    rng = np.random.default_rng(3)
    for _ in range(150):
        odd = bytearray(content)
        for at in rng.integers(128, end + 12, 4):
            odd[at] = rng.integers(256)
        (tmp_path / "odd.dcm").write_bytes(odd)
        found = outcome(tmp_path / "odd.dcm")
        assert "odd.dcm" in found or found == f"{N_FRAMES} frames"


def test_a_number_that_takes_the_rest_of_the_file_is_refused(mp4: Path, tmp_path: Path) -> None:
    """Whatever that comes to, in three cases of these four it is no whole number of numbers."""
    wrap(mp4, tmp_path / "c.dcm")
    content = bytearray((tmp_path / "c.dcm").read_bytes())
    at = content.index(b"\x02\x00\x00\x00UL")  # the length of the head, as a number of 4 bytes
    content[at : at + 8] = b"\x02\x00\x00\x00" + (0x00FFFFFF).to_bytes(4, "little")
    told = []
    for n_missing in range(4):
        (tmp_path / "odd.dcm").write_bytes(content[: len(content) - n_missing])
        told.append(refusal(tmp_path / "odd.dcm"))
    assert ["is a DICOM file that cannot be read" in words for words in told].count(True) == 3


@pytest.mark.parametrize("keyword", ["CineRate", "RecommendedDisplayFrameRate"])
def test_a_rate_of_another_kind_than_it_should_be_is_left_out(
    keyword: str, mp4: Path, tmp_path: Path
) -> None:
    wrap(mp4, tmp_path / "c.dcm", **{keyword: "25"})
    content = bytearray((tmp_path / "c.dcm").read_bytes())
    tag = tag_for_keyword(keyword)
    assert tag is not None
    head = struct.pack("<HH", tag >> 16, tag & 0xFFFF)
    at = content.index(head + b"IS")
    content[at + 4 : at + 6] = b"UL"  # numbers of 4 bytes, and there are 2
    (tmp_path / "odd.dcm").write_bytes(content)
    assert outcome(tmp_path / "odd.dcm") == f"{N_FRAMES} frames"


def test_nothing_of_the_patient_is_said_logged_or_kept(
    mp4: Path, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    wrap(mp4, tmp_path / "c.dcm", 2)
    with warnings.catch_warnings(record=True) as warned:
        warnings.simplefilter("always")
        index = build_index(tmp_path / "c.dcm")
        with open_clip(tmp_path / "c.dcm") as clip:
            told = f"{clip.container.metadata} {clip.stream.metadata} {clip.container.name}"
            told += repr(clip.inside)
    told += caplog.text + "".join(str(w.message) for w in warned)
    kept = index.to_bytes() + fingerprint(tmp_path / "c.dcm").encode()
    for secret in SECRETS:
        assert secret in (tmp_path / "c.dcm").read_bytes().decode("latin-1")
        assert secret not in told
        assert secret.encode() not in kept


def test_the_file_is_let_go_of(mp4: Path, tmp_path: Path) -> None:
    wrap(mp4, tmp_path / "c.dcm")
    with open_clip(tmp_path / "c.dcm") as clip:
        file = clip._source
        assert isinstance(file, RangedFile)
        assert not file.closed
        assert clip.container.size == len(file)
    assert file.closed


def test_nothing_is_written_beside_the_file(mp4: Path, tmp_path: Path) -> None:
    wrap(mp4, tmp_path / "c.dcm")
    with ClipReader(tmp_path / "c.dcm") as reader:
        reader.frame(20)
        assert [path.name for path in tmp_path.iterdir()] == ["c.dcm"]


def test_encapsulating_by_pydicom_keeps_the_stream(mp4: Path) -> None:
    """What the tests make is what others would: one item of offsets, then the stream."""
    made: Callable[..., bytes] = encapsulate
    assert mp4.read_bytes() in made([mp4.read_bytes()], has_bot=False)


def test_the_sound_is_that_of_the_stream_inside(tmp_path: Path) -> None:
    make_sounding_clip(tmp_path / "clip.mp4")
    wrap(tmp_path / "clip.mp4", tmp_path / "case", 4)
    heard = []
    for name in ("clip.mp4", "case"):
        path = tmp_path / name
        with ClipSound(path, build_index(path)) as sound:
            assert len(sound.tracks) == 1
            heard.append(np.concatenate([b.samples for b in sound.blocks(400_000)]))
    assert np.abs(heard[0]).max() > 1000
    np.testing.assert_array_equal(heard[0], heard[1])
