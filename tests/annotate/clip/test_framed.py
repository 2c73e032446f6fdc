"""Parts of a picture on a screen: exactly placed, any way round, in the right tone and colour."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from known_colours import FORMATS, PATCHES, TOLERANCE, coded, patch
from numbered_clips import read_number
from numpy.typing import NDArray

from annotate.clip import ClipReader, Frame, Framing, Tone
from annotate.clip.planes import _view
from annotate.clip.shape import PictureShape

WIDTH, HEIGHT = 192, 128
TURNS = st.sampled_from([0, 90, 180, 270])
LAYOUTS = ["yuv420p", "yuv444p", "yuv422p10le", "nv12"]


def marked(layout: str, x: float, y: float) -> Frame:
    """A dark picture with one smooth bright spot, its centre at a pixel place in it."""
    picture = patch((60, 128, 128) if "10" not in layout else (240, 512, 512), layout, HEIGHT)
    picture = picture.reformat(width=WIDTH, height=HEIGHT, format=layout, threads=1)
    rows, columns = np.mgrid[0:HEIGHT, 0:WIDTH] + 0.5
    spot = np.exp(-((columns - x) ** 2 + (rows - y) ** 2) / (2 * 3.0**2))
    bits = picture.format.components[0].bits
    _view(picture.planes[0], bits)[:] = (60 + 150 * spot) * 2 ** (bits - 8)
    return Frame(0, 0, PictureShape(WIDTH, HEIGHT), picture)


def spot_in(pixels: NDArray[np.uint8]) -> tuple[float, float]:
    """Where the spot's centre of brightness lies, in shares."""
    weight = pixels[..., 1].astype(float)
    weight = np.clip(weight - weight.min() - 30, 0, None)
    rows, columns = np.mgrid[0 : weight.shape[0], 0 : weight.shape[1]] + 0.5
    total = weight.sum()
    return (
        float((weight * columns).sum() / total / weight.shape[1]),
        float((weight * rows).sum() / total / weight.shape[0]),
    )


@settings(max_examples=150, deadline=None)
@given(
    layout=st.sampled_from(LAYOUTS), turn=TURNS, own_turn=TURNS, is_mirrored=st.booleans(),
    own_mirror=st.booleans(), zoom=st.floats(1, 8), at=st.tuples(st.floats(0, 1), st.floats(0, 1)),
    inside=st.tuples(st.floats(0.35, 0.65), st.floats(0.35, 0.65)),
    size=st.tuples(st.integers(90, 420), st.integers(90, 420)),
)  # fmt: skip
def test_a_spot_lands_where_the_framing_says(
    layout: str, turn: int, own_turn: int, is_mirrored: bool, own_mirror: bool, zoom: float,
    at: tuple[float, float], inside: tuple[float, float], size: tuple[int, int],
) -> None:  # fmt: skip
    share = 1 / zoom
    region = (at[0] * (1 - share), at[1] * (1 - share), share, share)
    framing = Framing(*size, region, turn, is_mirrored)
    upright = framing.to_picture(*inside)
    x, y = upright  # the clip's own way round, undone by the definition in `PictureShape`
    for _ in range(own_turn // 90):
        x, y = y, 1 - x
    x = 1 - x if own_mirror else x
    frame = marked(layout, x * WIDTH, y * HEIGHT)
    shape = PictureShape(WIDTH, HEIGHT, own_turn, is_mirrored=own_mirror)
    frame = Frame(0, 0, shape, frame.picture)
    seen = spot_in(frame.framed(framing))
    wide, high = frame.shown_size if turn % 180 == 0 else frame.shown_size[::-1]
    # Within half a pixel of the source.
    assert abs(seen[0] - inside[0]) * region[2] * wide < 0.5
    assert abs(seen[1] - inside[1]) * region[3] * high < 0.5


@pytest.mark.parametrize("layout", FORMATS)
@pytest.mark.parametrize("framing", [
    Framing(40, 30, (0.2, 0.3, 0.5, 0.5)), Framing(320, 200, (0.4, 0.1, 0.125, 0.125), 90),
    Framing(33, 47, (0.0, 0.0, 0.9, 0.7), 270, True), Framing(64, 48, turn_deg=180),
    Framing(31, 17, is_mirrored=True), Framing(0, 0), Framing(0, 0, (0.25, 0.25, 0.5, 0.5), 90),
])  # fmt: skip
def test_patches_are_right_in_every_part_and_way_round(layout: str, framing: Framing) -> None:
    for rgb in PATCHES:
        values = coded(rgb, "bt709", layout.startswith("yuvj"), 10 if "10" in layout else 8)
        frame = Frame(0, 0, PictureShape(64, 720), patch(values, layout, 720))
        pixels = frame.framed(framing)
        assert np.abs(pixels[..., 2::-1].astype(int) - rgb).max() <= TOLERANCE
        assert (pixels[..., 3] == 255).all()


@settings(max_examples=200, deadline=None)
@given(st.integers(1, 90), st.integers(1, 90), st.sampled_from(FORMATS), st.floats(0.3, 1))
def test_every_column_and_row_is_painted_at_any_size(
    width: int, height: int, layout: str, share: float
) -> None:
    """The codec library's quick conversion leaves out columns at some widths."""
    values = coded((255, 255, 255), "bt601", layout.startswith("yuvj"), 10 if "10" in layout else 8)
    frame = Frame(0, 0, PictureShape(64, 48), patch(values, layout, 48))
    for region in [(0.0, 0.0, 1.0, 1.0), (0.0, 0.0, share, share)]:
        assert (frame.framed(Framing(width, height, region)) >= 253).all()


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("is_mirrored", [False, True])
@pytest.mark.parametrize("tone", [Tone(), Tone(0.1, 1.3, 0.8)])
@pytest.mark.parametrize("region", [(0.0, 0.0, 1.0, 1.0), (0.21, 0.33, 0.4, 0.4)])
def test_memory_given_is_filled_with_the_same(
    turn: int, is_mirrored: bool, tone: Tone, region: tuple[float, float, float, float]
) -> None:
    frame = marked("yuv420p", 77.3, 50.2)
    framing = Framing(151, 101, region, turn, is_mirrored)
    into = np.zeros((120, 160, 4), dtype=np.uint8)[5:106, 3:154]
    given_back = frame.framed(framing, tone, into)
    assert given_back is into
    np.testing.assert_array_equal(into, frame.framed(framing, tone))
    assert into.base is not None
    assert not into.base[:5].any()
    assert not into.base[:, 154:].any()


def test_a_tone_changes_every_level_as_its_table_says_and_no_alpha() -> None:
    frame, tone = marked("yuv420p", 90, 60), Tone(-0.2, 1.5, 1.4)
    plain, changed = frame.framed(Framing(96, 64)), frame.framed(Framing(96, 64), tone)
    np.testing.assert_array_equal(changed[..., :3], tone.table()[plain[..., :3]])
    assert (changed[..., 3] == 255).all()


def test_what_lies_outside_the_picture_is_black() -> None:
    frame = Frame(0, 0, PictureShape(64, 48), patch((235, 128, 128), "yuv420p", 48))
    pixels = frame.framed(Framing(100, 100, (-0.5, -0.5, 2.0, 2.0)))
    assert (pixels[50, 50, :3] >= 253).all()
    assert not pixels[:20, :, :3].any()
    assert not pixels[:, 80:, :3].any()
    away = frame.framed(Framing(20, 20, (1.5, 0.0, 0.5, 0.5)))
    assert not away[..., :3].any()
    assert (away[..., 3] == 255).all()


def test_the_own_size_is_one_to_one() -> None:
    frame = marked("yuv420p", 60, 40)
    whole = frame.framed(Framing())
    assert whole.shape == (HEIGHT, WIDTH, 4)
    assert frame.framed(Framing(turn_deg=90)).shape == (WIDTH, HEIGHT, 4)
    quarter = frame.framed(Framing(0, 0, (0.25, 0.25, 0.5, 0.5)))
    np.testing.assert_array_equal(quarter, whole[32:96, 48:144])


@pytest.mark.parametrize("framing", [
    Framing(0, 10), Framing(10, 0), Framing(-3, 4), Framing(9, 9, (0, 0, 0, 1)),
])  # fmt: skip
def test_a_framing_without_pixels_is_refused(framing: Framing) -> None:
    with pytest.raises(ValueError, match=r"pixel|empty"):
        marked("yuv420p", 5, 5).framed(framing)


def test_memory_of_another_shape_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot take"):
        marked("yuv420p", 5, 5).framed(Framing(20, 10), Tone(), np.zeros((20, 10, 4), np.uint8))


@pytest.mark.parametrize("kind", ["turned_90.mp4", "turned_270.mov", "wide_pixels.mp4"])
def test_a_turned_clip_is_upright_in_any_framing(kind: str, clip_of: Callable[[str], Path]) -> None:
    with ClipReader(clip_of(kind)) as reader:
        frame = reader.frame(21)
        assert read_number(frame.framed(Framing())[..., 2::-1]) == 21
        turned = frame.framed(Framing(turn_deg=90, is_mirrored=True))
        upright = np.rot90(turned[:, ::-1])  # undone counter-clockwise
        assert read_number(upright[..., 2::-1]) == 21
