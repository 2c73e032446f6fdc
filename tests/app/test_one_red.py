"""A red reflex is the same red everywhere: on the screen, in files, in the note, in rendered clips.

Known patches, coded here by the standards' coefficients (`known_colours`), come out of every exit
within 2 of 255. JPEG's own rounding may add 1 in the small pictures of the list and the timeline;
the stills of a note stay within 2.
"""

from __future__ import annotations

import base64
import re
from io import BytesIO
from pathlib import Path

import cv2
import numpy as np
import pytest
from command_line import CommandLine
from dicom_clips import wrap
from known_colours import PATCHES, TOLERANCE, Kind, errors, make_patches, patches
from numpy.typing import NDArray
from PIL import Image
from pydicom.uid import MPEG2MPML

from annotate.clip import ClipReader, Frame, Framing, build_index
from annotate.clip.shape import PictureShape
from annotate.clip.thumbnail_making import make_thumbnails
from app.handback.case_frames import SentPart, case_frames
from app.handback.stills import encoded
from app.intake.decoding import poster_bytes
from app.jobs.work import Work
from sample_clips.encode import ClipWriter
from sample_clips.render import COMMITTED_CRF

SMALL_JPEG = 3
"""Measured bound of the posters (quality 85) and thumbnails (quality 76), as small as they are."""

LOSSLESS = {"qp": "0", "preset": "ultrafast", "threads": "1"}
LOSSLESS_HEVC = {"preset": "ultrafast", "x265-params": "log-level=none:pools=1:lossless=1"}
FINEST = {"qmin": "1", "qmax": "1"}
FINEST_PRORES = {"profile": "hq", "bits_per_mb": "8000"}
FIELDS = {**FINEST, "flags": "+ildct+ilme", "b": "20000000"}
HD, SD = (640, 720), (360, 288)
KINDS = [
    Kind("hd_untagged.mp4", *HD, "libx264", "yuv420p", "bt709", options=LOSSLESS),
    Kind("sd_untagged.mp4", *SD, "libx264", "yuv420p", "bt601", options=LOSSLESS),
    Kind("hd_as_601.mp4", *HD, "libx264", "yuv420p", "bt601", tag=6, options=LOSSLESS),
    Kind("sd_as_709.mkv", *SD, "libx264", "yuv420p", "bt709", tag=1, options=LOSSLESS),
    Kind("mjpeg_sd.avi", *SD, "mjpeg", "yuvj420p", "bt601", True, options=FINEST),
    Kind("mjpeg_hd.avi", *HD, "mjpeg", "yuvj422p", "bt601", True, options=FINEST),
    Kind("hd_10_bit.mp4", *HD, "libx265", "yuv420p10le", "bt709", options=LOSSLESS_HEVC),
    Kind("sd_10_bit.mkv", *SD, "libx264", "yuv420p10le", "bt601", options=LOSSLESS),
    Kind("prores_hd.mov", *HD, "prores_ks", "yuv422p10le", "bt709", options=FINEST_PRORES),
    Kind("prores_sd.mov", *SD, "prores_ks", "yuv422p10le", "bt601", options=FINEST_PRORES),
    Kind("fields_sd.mpg", *SD, "mpeg2video", "yuv420p", "bt601", is_interlaced=True,
         options=FIELDS),
    Kind("fields_sd.dcm", *SD, "mpeg2video", "yuv420p", "bt601", is_interlaced=True,
         options=FIELDS),
]  # fmt: skip
N_FRAMES = 5
HEADER = "kind,code,start,end,leaning,weight,comment"
WORDS = ("--operator", "R-07", "--case-number", 3, "--vocabulary", "phaco-divide-conquer")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("reds")


def clip_of(kind: Kind, folder: Path) -> Path:
    path = folder / kind.name
    if not path.exists() and path.suffix == ".dcm":
        make_patches(path.with_suffix(".inside.mpg"), kind, N_FRAMES)
        wrap(path.with_suffix(".inside.mpg"), path, syntax=MPEG2MPML)
    elif not path.exists():
        make_patches(path, kind, N_FRAMES)
    return path


def opened(content: bytes) -> NDArray[np.uint8]:
    return np.asarray(Image.open(BytesIO(content)).convert("RGB"))


@pytest.fixture(params=KINDS, ids=lambda kind: kind.name)
def clip(request: pytest.FixtureRequest, folder: Path) -> Path:
    return clip_of(request.param, folder)


def test_review_shows_it(clip: Path) -> None:
    """As large as it is, shrunk, enlarged, and a part of it turned."""
    with ClipReader(clip) as reader:
        assert reader.is_interlaced == ("fields" in clip.name)
        for number, field in ((0, None), (3, 0), (4, 1)):
            frame = reader.shown(number, field=field)
            for framing in (Framing(), Framing(960, 540), Framing(1903, 1071)):
                shown = frame.framed(framing)
                assert errors(shown[..., 2::-1]).max() <= TOLERANCE, framing
                assert (shown[..., 3] == 255).all()
            corner = frame.framed(Framing(300, 200, (0.03, 0.03, 0.2, 0.2), 180, True))
            wanted = PATCHES[8]  # turned by half and mirrored, the lower left corner is shown
            assert np.abs(corner[..., 2::-1].astype(int) - wanted).max() <= TOLERANCE


def test_the_still_of_a_note_shows_it(clip: Path) -> None:
    index = build_index(clip)
    part = SentPart(clip, index.to_bytes(), index.n_frames, index.duration_us)
    with case_frames([part]) as frame_at:
        found = frame_at(100_000)
    assert errors(found.rgb).max() <= TOLERANCE
    content, _, _ = encoded(found.rgb)
    assert errors(opened(content)).max() <= TOLERANCE


def test_the_poster_and_the_thumbnails_show_it(clip: Path) -> None:
    index = build_index(clip)
    small = [poster_bytes(clip, index.to_bytes(), 100_000, work=Work())]
    for part in make_thumbnails(clip, index):
        small += part.pictures
    assert len(small) > 1
    for content in small:
        assert errors(opened(content)).max() <= SMALL_JPEG


def test_files_written_from_a_case_of_all_kinds_show_it(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`frame` writes PNG and the note embeds JPEG, from one case whose parts are all different."""
    line = CommandLine(tmp_path / "store" / "desk.sqlite", capsys)
    clips = [clip_of(kind, folder) for kind in KINDS]
    length_s = length_taken_in(line, clips)
    rows = [
        f"event,iris-touch,{(n + 0.5) * length_s / len(KINDS):.3f},,,," for n in range(len(KINDS))
    ]
    (tmp_path / "rows.csv").write_text(
        "kind,code,start,end,leaning,weight,comment\n" + "\n".join(rows)
    )
    line.ask("tags", "R-07-003", "--from", tmp_path / "rows.csv")
    line.ask("note", "R-07-003", "--to", tmp_path / "note.html")
    html = (tmp_path / "note.html").read_text(encoding="utf-8")
    stills = re.findall(r"data:image/jpeg;base64,([A-Za-z0-9+/=]+)", html)
    assert len(stills) == len(KINDS)
    for still in stills:
        assert errors(opened(base64.b64decode(still))).max() <= TOLERANCE
    numbers = [word for n in range(len(KINDS)) for word in ("--number", n * N_FRAMES + 3)]
    line.ask("frame", "R-07-003", *numbers, "--to", tmp_path / "frames")
    written = sorted((tmp_path / "frames").glob("*.png"))
    assert len(written) == len(KINDS)
    for path in written:
        assert errors(cv2.imread(str(path))[..., ::-1]).max() <= TOLERANCE, path.name


def length_taken_in(line: CommandLine, clips: list[Path]) -> float:
    """Take the clips in as one case; its length in seconds."""
    done = line.run("--json", "intake", *clips, *WORDS)
    assert done.code == 0, done.err
    return sum(build_index(clip).duration_us for clip in clips) / 1e6


def test_a_rendered_clip_shows_it(tmp_path: Path) -> None:
    """The encoder of the sample clips, at the quality at which they are committed."""
    picture = np.zeros((540, 960, 3), np.uint8)
    for at, colour in enumerate(PATCHES):
        row, column = divmod(at, 4)
        picture[row * 180 : row * 180 + 180, column * 240 : column * 240 + 240] = colour[::-1]
    with ClipWriter(tmp_path / "made.mp4", (960, 540), 25, crf=COMMITTED_CRF) as writer:
        for n in range(N_FRAMES):
            writer.write(picture, n * 3600)
    with ClipReader(tmp_path / "made.mp4") as reader:
        for number in range(N_FRAMES):
            assert errors(reader.shown(number).rgb()).max() <= TOLERANCE
            shown = reader.shown(number).framed(Framing(1280, 720))
            assert errors(shown[..., 2::-1]).max() <= TOLERANCE


@pytest.mark.parametrize(("tag", "is_full"), [(5, False), (1, True)])
def test_another_matrix_or_range_would_be_seen(tag: int, is_full: bool) -> None:
    """The patches tell them apart, so that these tests can fail."""
    picture = patches(Kind("", *SD, "", "yuv420p", "bt709", tag=1))
    picture.colorspace, picture.color_range = tag, 2 if is_full else 1
    shown = Frame(0, 0, PictureShape(*SD), picture).rgb()
    assert errors(shown).max() > 4 * TOLERANCE
