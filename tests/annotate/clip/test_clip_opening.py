"""Every clip that cannot be opened gets its sentence, and the sentence names the file alone."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import av
import pytest
from numbered_clips import make_clip, make_sound_only

from annotate.clip import ClipReader, build_index, check_clip, fingerprint, full_hash
from annotate.errors import UserFacingError

SMALL = {"width": 128, "height": 96, "n_frames": 30}


def missing(folder: Path) -> Path:
    return folder / "gone.mp4"


def folder_itself(folder: Path) -> Path:
    (folder / "folder.mp4").mkdir()
    return folder / "folder.mp4"


def empty(folder: Path) -> Path:
    (folder / "empty.mp4").touch()
    return folder / "empty.mp4"


def text(folder: Path) -> Path:
    path = folder / "letter.mp4"
    path.write_text("Dear colleague,\n" * 400, encoding="utf-8")
    return path


def captions(folder: Path) -> Path:
    path = folder / "captions.mp4"
    path.write_text("WEBVTT\n\n00:01.000 --> 00:02.000\nSculpting\n", encoding="utf-8")
    return path


def play_list(folder: Path) -> Path:
    """A list that would make the library open another file."""
    make_clip(folder / "other.ts", **SMALL)
    path = folder / "list.mp4"
    path.write_text(
        "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nother.ts\n#EXT-X-ENDLIST\n", encoding="utf-8"
    )
    return path


def noise(folder: Path) -> Path:
    path = folder / "noise.avi"
    path.write_bytes(os.urandom(50_000))
    return path


def picture(folder: Path) -> Path:
    path = folder / "picture.mp4"
    with av.open(str(folder / "p.png"), "w", format="image2") as out:
        stream = out.add_stream("png", rate=1)
        stream.width, stream.height, stream.pix_fmt = 32, 32, "rgb24"
        out.mux(stream.encode(av.VideoFrame(32, 32, "rgb24")))
        out.mux(stream.encode(None))
    (folder / "p.png").rename(path)
    return path


def sound(folder: Path) -> Path:
    make_sound_only(folder / "sound.mp4")
    return folder / "sound.mp4"


def without_header(folder: Path) -> Path:
    """An MP4 whose header stands at the end, cut before it."""
    make_clip(folder / "whole.mp4", **SMALL)
    path = folder / "unfinished.mp4"
    path.write_bytes((folder / "whole.mp4").read_bytes()[:-3000])
    return path


def header_alone(folder: Path) -> Path:
    """An MP4 cut right behind a header that stands at the beginning."""
    make_clip(folder / "whole.mp4", **SMALL, muxer_options={"movflags": "faststart"})
    content = (folder / "whole.mp4").read_bytes()
    path = folder / "header.mp4"
    path.write_bytes(content[: content.index(b"mdat") + 4])
    return path


def unknown_encoding(folder: Path) -> Path:
    """A clip whose encoding is renamed to one that nobody has made."""
    make_clip(folder / "whole.mp4", **SMALL)
    path = folder / "unknown.mp4"
    path.write_bytes((folder / "whole.mp4").read_bytes().replace(b"avc1", b"zq9x"))
    return path


BAD = {
    missing: "gone.mp4 is not there",
    folder_itself: "folder.mp4 is a folder",
    empty: "empty.mp4 is empty",
    text: "letter.mp4 is not a video",
    captions: "captions.mp4 is not a video",
    play_list: "list.mp4 is not a video",
    noise: "noise.avi is not a video",
    picture: "picture.mp4 is not a video",
    sound: "sound.mp4 holds no video",
    without_header: "unfinished.mp4 breaks off before its header",
    header_alone: "header.mp4 holds no picture",
    unknown_encoding: "unknown.mp4 is encoded in a way that is not known",
}


@pytest.mark.parametrize("make", BAD, ids=lambda make: make.__name__)
@pytest.mark.parametrize("deed", [check_clip, build_index, ClipReader])
def test_a_bad_clip_gets_its_sentence(
    make: Callable[[Path], Path], deed: Callable[[Path], object], tmp_path: Path
) -> None:
    path = make(tmp_path)
    with pytest.raises(UserFacingError) as caught:
        deed(path)
    assert caught.value.what.startswith(BAD[make])
    assert caught.value.what.endswith(".")
    assert caught.value.do
    assert str(tmp_path) not in str(caught.value)


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="needs permissions that bind"
)
def test_a_clip_that_may_not_be_read_gets_its_sentence(tmp_path: Path) -> None:
    make_clip(tmp_path / "locked.mp4", **SMALL)
    (tmp_path / "locked.mp4").chmod(0)
    with pytest.raises(UserFacingError, match=r"locked\.mp4 may not be read"):
        check_clip(tmp_path / "locked.mp4")


@pytest.mark.parametrize("name", ["a b.mp4", "12:30.mp4", "concat:x.mp4", "%03d.mp4", "ä.mp4"])
@pytest.mark.skipif(os.name == "nt", reason="such names cannot be given there")
def test_an_odd_name_is_only_a_name(name: str, tmp_path: Path) -> None:
    make_clip(tmp_path / "plain.mp4", **SMALL)
    path = (tmp_path / "plain.mp4").rename(tmp_path / name)
    check_clip(path)
    assert build_index(path).n_frames == 30


@pytest.mark.parametrize("deed", [fingerprint, full_hash])
@pytest.mark.parametrize("make", [missing, folder_itself], ids=lambda make: make.__name__)
def test_hashing_what_is_no_file_gets_its_sentence(
    make: Callable[[Path], Path], deed: Callable[[Path], str], tmp_path: Path
) -> None:
    with pytest.raises(UserFacingError, match=r"is not there|is a folder"):
        deed(make(tmp_path))
