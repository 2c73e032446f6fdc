"""Known patches come out within 2 of 255, whatever the format, the tag and the size.

What the planes hold is computed in `known_colours`, with its sources.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from known_colours import FORMATS, PATCHES, TAGS, TOLERANCE, UNTAGGED, coded, patch

from annotate.clip import ClipReader, Frame
from annotate.clip.shape import PictureShape


def worst(frame: Frame, rgb: tuple[int, int, int]) -> int:
    """Greatest error of the picture at full size and of the one scaled for a screen."""
    whole = np.abs(frame.rgb().astype(int) - rgb).max()
    small = np.abs(frame.fitted(48, 40)[..., 2::-1].astype(int) - rgb).max()
    return int(max(whole, small))


@pytest.mark.parametrize("layout", FORMATS)
@pytest.mark.parametrize("tag", [UNTAGGED, *TAGS])
@pytest.mark.parametrize("stated_range", [0, 1, 2], ids=["silent", "limited", "full"])
@pytest.mark.parametrize("height", [48, 720])
def test_patches_are_right(layout: str, tag: int, stated_range: int, height: int) -> None:
    matrix = TAGS.get(tag, "bt709" if height >= 720 else "bt601")
    is_full = layout.startswith("yuvj") or stated_range == 2
    for rgb in PATCHES:
        values = coded(rgb, matrix, is_full, 10 if "10" in layout else 8)
        picture = patch(values, layout, height)
        picture.colorspace, picture.color_range = tag, stated_range
        frame = Frame(0, 0, PictureShape(64, height), picture)
        assert worst(frame, rgb) <= TOLERANCE, (rgb, values)


@pytest.mark.parametrize(
    ("name", "codec", "layout", "height", "matrix", "is_full"),
    [
        ("sd.mp4", "libx264", "yuv420p", 576, "bt601", False),
        ("hd.mp4", "libx264", "yuv420p", 720, "bt709", False),
        ("hd.mkv", "libx265", "yuv420p10le", 720, "bt709", False),
        ("sd.mpg", "mpeg2video", "yuv420p", 576, "bt601", False),
        ("hd.avi", "mjpeg", "yuvj420p", 720, "bt601", True),
        ("sd.avi", "mjpeg", "yuvj420p", 480, "bt601", True),
    ],
)
def test_an_untagged_clip_shows_a_red_reflex_in_its_own_red(
    name: str, codec: str, layout: str, height: int, matrix: str, is_full: bool, tmp_path: Path
) -> None:
    reflex = (200, 70, 45)
    values = coded(reflex, matrix, is_full, 10 if "10" in layout else 8)
    with av.open(str(tmp_path / name), "w") as out:
        stream = out.add_stream(codec, rate=25, options={"x265-params": "log-level=none:lossless=1"}
                                if codec == "libx265" else {"qp": "0", "qscale": "1"})  # fmt: skip
        stream.width, stream.height, stream.pix_fmt = 64, height, layout
        stream.codec_context.time_base = Fraction(1, 25)
        for n in range(3):
            picture = patch(values, layout, height)
            picture.pts, picture.time_base = n, Fraction(1, 25)
            out.mux(stream.encode(picture))
        out.mux(stream.encode(None))
    with ClipReader(tmp_path / name) as reader:
        assert worst(reader.frame(1), reflex) <= TOLERANCE + 1  # one more for the lossy codecs


@pytest.mark.parametrize("layout", ["yuv420p", "nv12", "yuv422p10le", "yuyv422", "gray"])
def test_luma_is_read_from_any_format(layout: str) -> None:
    gray = np.full((48, 64, 3), 120, dtype=np.uint8)
    picture = av.VideoFrame.from_ndarray(gray, format="rgb24").reformat(format=layout)
    expected = 120 if layout == "gray" else round(16 + 219 * 120 / 255)
    luma = Frame(0, 0, PictureShape(64, 48), picture).luma()
    assert luma.shape == (48, 64)
    assert np.abs(luma.astype(int) - expected).max() <= 1


def test_luma_is_the_brightness_plane_as_coded() -> None:
    values = coded((180, 60, 40), "bt601", False)
    frame = Frame(0, 0, PictureShape(64, 48, 90), patch(values, "yuv420p", 48))
    assert frame.luma().shape == (48, 64)
    assert (frame.luma() == values[0]).all()
    ten = Frame(0, 0, PictureShape(64, 48), patch((4 * 80, 512, 512), "yuv420p10le", 48))
    assert np.abs(ten.luma().astype(int) - 80).max() <= 1


@pytest.mark.parametrize("size", [(0, 10), (10, 0), (-1, 5)])
def test_a_picture_without_pixels_is_refused(size: tuple[int, int]) -> None:
    frame = Frame(0, 0, PictureShape(64, 48), patch((100, 128, 128), "yuv420p", 48))
    with pytest.raises(ValueError, match="one pixel"):
        frame.fitted(*size)


@pytest.mark.parametrize("size", [(1, 1), (3, 5), (63, 47), (201, 133)])
@pytest.mark.parametrize("turn", [0, 90])
def test_any_size_is_filled(size: tuple[int, int], turn: int) -> None:
    frame = Frame(0, 0, PictureShape(64, 48, turn), patch((235, 128, 128), "yuv420p", 48))
    width, height = size
    assert frame.fitted(width, height).shape == (height, width, 4)
    assert (frame.fitted(width, height) >= 253).all()
