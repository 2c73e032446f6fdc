"""`frame`: exact frames of a case or a clip, as PNG."""

from __future__ import annotations

from pathlib import Path

import click

from annotate.clip import CaseReader, build_index
from annotate.clock import format_time, parse_time, seconds
from annotate.errors import UserFacingError
from app.cli.shared import Line, command, shown_work
from app.intake.clips import opened_case
from app.picture_file import check_png, write_png


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
    if not several:
        check_png(to)
    with _opened(line, target) as (reader, names):
        wanted = [_checked_number(reader, n) for n in numbers]
        wanted += [_number_at(reader, t) for t in times_us]
        documents = []
        for number in wanted:
            shot = reader.frame(number)
            path = to / f"frame_{number:07d}.png" if several else to
            write_png(shot.frame.rgb(), path)
            documents.append(
                {
                    "number": number,
                    "time_s": seconds(shot.time_us),
                    "clip": names[shot.ordinal],
                }
            )
    line.answer(
        documents if several else documents[0],
        "\n".join(f"frame {d['number']} at {d['time_s']:.6f} s of {d['clip']}" for d in documents),
    )


def _opened(line: Line, target: str) -> _OneClip | _OneCase:
    """A reader over a clip file, or over a case of the store."""
    path = Path(target)
    if path.exists() or path.suffix:
        return _OneClip(path)
    return _OneCase(line, target)


class _OneClip:
    """A clip file needs no store."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def __enter__(self) -> tuple[CaseReader, list[str]]:
        with shown_work(f"Reading {self._path.name}") as work:
            index = build_index(self._path, progress=work.advance)
        self._reader = CaseReader([(self._path, index)])
        return self._reader, [self._path.name]

    def __exit__(self, *_: object) -> None:
        self._reader.close()


class _OneCase:
    """A case's clips end to end."""

    def __init__(self, line: Line, code: str) -> None:
        self._line, self._code = line, code

    def __enter__(self) -> tuple[CaseReader, list[str]]:
        with self._line.opened() as store, shown_work("Opening the clips") as work:
            case = store.case(self._code)
            self._reader = opened_case(store, case, work)
        return self._reader, [Path(clip.path).name for clip in case.clips]

    def __exit__(self, *_: object) -> None:
        self._reader.close()


def _checked_number(reader: CaseReader, number: int) -> int:
    if not 0 <= number < reader.n_frames:
        raise UserFacingError(
            f"There is no frame {number}: frames go from 0 to {reader.n_frames - 1}."
        )
    return number


def _number_at(reader: CaseReader, time_us: int) -> int:
    if time_us > reader.clock.duration_us:
        raise UserFacingError(
            f"{format_time(time_us)} lies beyond the end, which is at "
            f"{format_time(reader.clock.duration_us)}."
        )
    return reader.number_at(time_us)
