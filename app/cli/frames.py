"""`frame`: exact frames of a case or a clip, as PNG."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from annotate.clip import CaseFrame, CaseReader, build_index
from annotate.clock import format_time, parse_time, seconds, shown
from annotate.errors import UserFacingError
from app.cli.shared import Line, command, shown_work
from app.intake.clips import check_place, damage_of, opened_case
from app.picture_file import check_png, write_png

_CLIP_ENDINGS = frozenset(
    {
        ".3gp", ".asf", ".avi", ".dcm", ".dv", ".flv", ".h264", ".hevc", ".m2ts", ".m4v", ".mkv",
        ".mov", ".mp4", ".mpeg", ".mpg", ".mts", ".mxf", ".ogv", ".ts", ".vob", ".webm", ".wmv",
    }
)  # fmt: skip
"""A name that ends so is a clip's even if no such file is there; a case's code may hold dots."""


@command("frame")
@click.argument("target", metavar="CASE_OR_CLIP")
@click.option(
    "--number", "numbers", multiple=True, type=int, metavar="N", help="Frame number, from 0."
)
@click.option("--at", "times", multiple=True, metavar="TIME", help="Seconds or H:MM:SS.mmm.")
@click.option("--to", required=True, type=click.Path(path_type=Path), metavar="FILE.png")
def frame(
    line: Line, target: str, numbers: tuple[int, ...], times: tuple[str, ...], to: Path
) -> None:
    if not numbers and not times:
        raise UserFacingError("No frame is named.", "Use --number N or --at TIME.")
    times_us = [parse_time(text) for text in times]
    several = len(numbers) + len(times_us) > 1
    check_folder(to) if several else check_png(to)
    with _opened(line, target) as (reader, names):
        wanted = [_checked_number(reader, n) for n in numbers]
        wanted += [_number_at(reader, t) for t in times_us]
        written: dict[int, dict[str, Any]] = {}
        for number in sorted(set(wanted)):  # in the order of the clip, which is quickest
            found = reader.shown(number)
            write_png(found.frame.rgb(), to / f"frame_{number:07d}.png" if several else to)
            written[number] = _document(found, names)
            if found.frame.is_stand_in:
                line.remark(f"Frame {number} is damaged; the picture nearest to it stands in.")
    documents = [written[number] for number in wanted]
    line.answer(
        documents if several else documents[0],
        "\n".join(f"frame {d['number']} at {d['time_s']:.6f} s of {d['clip']}" for d in documents),
    )


def check_folder(path: Path) -> None:
    """Refuse a target that cannot be a folder for several pictures.

    Raises
    ------
    UserFacingError
        If it is a file, or is named like a picture.
    """
    if path.is_dir():
        return
    if path.exists() or path.suffix.lower() == ".png":
        raise UserFacingError(
            f"'{shown(path.name, 80)}' is no folder, and several frames go into one.",
            "Name a folder; it is made if it is not there.",
        )


def _document(found: CaseFrame, names: Sequence[str]) -> dict[str, Any]:
    return {
        "number": found.number,
        "time_s": seconds(found.time_us),
        "clip": names[found.ordinal],
    }


@contextmanager
def _opened(line: Line, target: str) -> Iterator[tuple[CaseReader, list[str]]]:
    """Open a reader over a clip file or over a case of the store; a clip file needs no store."""
    path = Path(target)
    if _names_clip(path):
        with _one_clip(line, path) as reader:
            yield reader, [path.name]
        return
    with line.opened() as store, shown_work("Opening the clips") as work:
        case = store.case(target)
        with opened_case(store, case, work) as reader:
            yield reader, [Path(clip.path).name for clip in case.clips]


def _names_clip(path: Path) -> bool:
    """Whether a path is a clip's; a folder that is called like a case does not hide the case."""
    is_plain_name = path.parts == (path.name,) and path.name != ".."
    return not is_plain_name or path.is_file() or path.suffix.lower() in _CLIP_ENDINGS


def _one_clip(line: Line, path: Path) -> CaseReader:
    check_place(path)
    with shown_work(f"Reading {shown(path.name)}") as work:
        index = build_index(path, progress=work.advance)
    for words in damage_of(path, index):
        line.remark(words)
    return CaseReader([(path, index)])


def _checked_number(reader: CaseReader, number: int) -> int:
    if not 0 <= number < reader.n_frames:
        raise UserFacingError(
            f"There is no frame {shown(str(number))}: frames go from 0 to {reader.n_frames - 1}."
        )
    return number


def _number_at(reader: CaseReader, time_us: int) -> int:
    if time_us > reader.clock.duration_us:
        raise UserFacingError(
            f"{format_time(time_us)} lies beyond the end, which is at "
            f"{format_time(reader.clock.duration_us)}."
        )
    return reader.number_at(time_us)
