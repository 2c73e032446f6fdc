"""Video in DICOM files: where in the file it lies, and what the file says of its pictures.

A DICOM file names a patient. Nothing of that is read here: only the elements listed in `_WANTED`
are decoded, and the video is read where it lies.
"""

from __future__ import annotations

import logging
import struct
import warnings
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from annotate.clip.byte_ranges import Range
from annotate.clock import shown
from annotate.errors import UserFacingError

if TYPE_CHECKING:
    from pydicom import Dataset

_PREAMBLE_BYTES, _MARK = 128, b"DICM"
_MPEG = "1.2.840.10008.1.2.4."
VIDEO_SYNTAXES = frozenset(
    [f"{_MPEG}{number}{part}" for number in range(100, 107) for part in ("", ".1")]
    + [f"{_MPEG}107", f"{_MPEG}108"]
)
"""MPEG-2, H.264 and HEVC, in one piece or in fragments: PS3.6 table A-1, as pydicom lists them."""

_DEFLATED = b"1.2.840.10008.1.2.1.99"
_HEAD_BYTES = 2048

_WANTED = [
    "FrameTime", "CineRate", "RecommendedDisplayFrameRate", "PixelAspectRatio", "PixelData",
]  # fmt: skip
_MOST_VALUE_BYTES = 4096
_PIXEL_DATA = struct.pack("<HH", 0x7FE0, 0x0010)
_ITEM, _SEQUENCE_END = struct.pack("<HH", 0xFFFE, 0xE000), struct.pack("<HH", 0xFFFE, 0xE0DD)
_UNDEFINED = 0xFFFFFFFF
_MOST_FRAGMENTS = 1_000_000
_RATES = (1, 1000)
_ROUNDED_BY = Fraction(2, 10_000)

_VIDEO_FILE = "Choose a file that holds the recording itself, as MPEG-2, H.264 or HEVC video."
_COPY_AGAIN = "Copy it again from where it is kept."


@dataclass(frozen=True, slots=True)
class EncapsulatedVideo:
    """A video stream inside a DICOM file.

    Attributes
    ----------
    ranges : tuple of (start, length)
        Where its bytes lie, in order.
    is_cut : bool
        True if the file ends before the stream does.
    rate : Fraction, optional
        Pictures a second by the file's own account, for a stream that does not say.
    sample_aspect : Fraction, optional
        Width of a pixel over its height, for a stream that does not say.
    """

    ranges: tuple[Range, ...]
    is_cut: bool = False
    rate: Fraction | None = None
    sample_aspect: Fraction | None = None


def is_dicom(path: Path) -> bool:
    """Tell whether a file bears the mark of DICOM; one without is asked for by its name's end."""
    with path.open("rb") as file:
        return _is_marked(file)


def names_patient(path: Path) -> bool:
    """Tell whether a file is a DICOM file, which holds a patient's data, whatever its name."""
    try:
        return is_dicom(path) or encapsulated_video(path) is not None
    except UserFacingError:
        return True


def encapsulated_video(path: Path) -> EncapsulatedVideo | None:
    """Find the video stream in a DICOM file; None if this is no DICOM file.

    Raises
    ------
    UserFacingError
        If it is a DICOM file, and holds no video that can be read.
    """
    with path.open("rb") as file:
        if _is_marked(file):
            return _video(path, file)
        if path.suffix.lower() != ".dcm":
            return None
        try:
            return _video(path, file)
        except UserFacingError:
            return None  # a file that is only called so; whatever it is shows when it is opened


def _is_marked(file: BinaryIO) -> bool:
    file.seek(_PREAMBLE_BYTES)
    found = file.read(len(_MARK))
    file.seek(0)
    return found == _MARK


def _video(path: Path, file: BinaryIO) -> EncapsulatedVideo:
    head = file.read(_HEAD_BYTES)
    file.seek(0)
    if _DEFLATED in head:  # unpacking it would fill the memory, and no video is kept so
        raise _no_video(path, "compressed data of another kind")
    try:
        data = _dataset(file)
        syntax = str(data.file_meta.get("TransferSyntaxUID", ""))
        facts = _rate(data), _sample_aspect(data)
    except Exception as error:  # over a file that lies, pydicom raises kinds of its own, too
        raise UserFacingError(
            f"{_name(path)} is a DICOM file that cannot be read.", _COPY_AGAIN
        ) from error
    if syntax and syntax not in VIDEO_SYNTAXES:
        raise _no_video(path, _kind_of(syntax))
    ranges, is_cut = _stream(path, file)
    return EncapsulatedVideo(ranges, is_cut, *facts)


def _dataset(file: BinaryIO) -> Dataset:
    """Read what comes before the pictures; the file stands at these then."""
    # Slow to import, and few clips need it.
    from pydicom import config, dcmread

    logging.getLogger("pydicom").disabled = True  # its remarks may quote what names a patient
    config.settings.reading_validation_mode = config.IGNORE
    warnings.filterwarnings("ignore", module=r"pydicom\b")
    return dcmread(
        file, stop_before_pixels=True, force=True, specific_tags=list(_WANTED),
        defer_size=_MOST_VALUE_BYTES,
    )  # fmt: skip


def _kind_of(syntax: str) -> str:
    from pydicom.uid import UID

    name = UID(syntax).name
    return "data of an unknown kind" if name == syntax else f"pictures kept as {name}"


def _no_video(path: Path, held: str) -> UserFacingError:
    return UserFacingError(
        f"{_name(path)} is a DICOM file without a video stream: it holds {held}.", _VIDEO_FILE
    )


def _stream(path: Path, file: BinaryIO) -> tuple[tuple[Range, ...], bool]:
    """Where the stream's fragments lie, and whether the file breaks off within them."""
    size = path.stat().st_size
    head = file.read(12)
    if not head.startswith(_PIXEL_DATA):
        if file.tell() < size or len(head) == 12:
            raise _no_video(path, "no pictures")
        raise UserFacingError(f"{_name(path)} holds no pictures, or breaks off.", _COPY_AGAIN)
    if len(head) < 12 or int.from_bytes(head[8:12], "little") != _UNDEFINED:
        raise UserFacingError(
            f"{_name(path)} says that it holds video, but not in the form that DICOM lays down.",
            "Export it again from where it is kept.",
        )
    ranges, is_cut = _fragments(file, size)
    if not ranges:
        raise UserFacingError(f"{_name(path)} breaks off before its video.", _COPY_AGAIN)
    return tuple(ranges), is_cut


def _fragments(file: BinaryIO, size: int) -> tuple[list[Range], bool]:
    """Walk the items; the first is a table of offsets, which one stream does not need."""
    found: list[Range] = []
    for n in range(_MOST_FRAGMENTS):
        head = file.read(8)
        if head.startswith(_SEQUENCE_END):
            return found, False
        if len(head) < 8 or not head.startswith(_ITEM):
            break
        start, length = file.tell(), int.from_bytes(head[4:], "little")
        held = min(length, size - start)
        if n and held > 0:
            found.append((start, held))
        if held < length:
            break
        file.seek(start + length)
    return found, True


def _rate(data: Dataset) -> Fraction | None:
    """Pictures a second, from the time between two or from the rate named."""
    time_ms = _numbers(data, "FrameTime", 1)
    named = [_numbers(data, name, 1) for name in ("CineRate", "RecommendedDisplayFrameRate")]
    rates = [[1000 / time_ms[0]] if time_ms else None, *named]
    least, most = _RATES
    return next((_usual(r[0]) for r in rates if r is not None and least <= r[0] <= most), None)


def _usual(rate: Fraction) -> Fraction:
    """The usual rate that a rounded one stands for: 33.37 ms is the 30000/1001 of television."""
    for usual in (Fraction(round(rate)), Fraction(round(rate * 1001 / 1000) * 1000, 1001)):
        if abs(rate / usual - 1) < _ROUNDED_BY:
            return usual
    return rate


def _sample_aspect(data: Dataset) -> Fraction | None:
    """Width of a pixel over its height; the file gives height and width, in this order."""
    pair = _numbers(data, "PixelAspectRatio", 2)
    return pair[1] / pair[0] if pair else None


def _numbers(data: Dataset, name: str, n_wanted: int) -> list[Fraction] | None:
    """The positive numbers of an element; None where it is not there, or is anything else."""
    try:
        value = data.get(name)
        values = list(value) if n_wanted > 1 else [value]
        found = [Fraction(str(v).strip()).limit_denominator(1_000_000) for v in values]
    except Exception:  # noqa: BLE001 - whatever pydicom makes of a value that lies
        return None
    return found if len(found) == n_wanted and min(found) > 0 else None


def _name(path: Path) -> str:
    return shown(path.name, 80)
