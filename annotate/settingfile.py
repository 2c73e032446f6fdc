"""Machine values as CSV, one row a span. Reading is all or nothing.

Times are seconds or H:MM:SS.mmm and are written to the millisecond; numbers have a dot or a comma
for their decimals; an empty cell is a value that was not noted. Columns may stand in any order and
those of values may be missing. A text that a spreadsheet would take for a formula is written with
an apostrophe before it, and read without.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from io import StringIO
from itertools import pairwise
from pathlib import Path

from annotate.clock import LONGEST_US, format_time, parse_time, shown, to_ms
from annotate.errors import UserFacingError
from annotate.ids import RowId, SessionId, new_id
from annotate.marks import Setting
from annotate.setting_values import VALUES, faults_of, is_empty, number_in
from annotate.tagfile.checking import MOST_ROWS, TOLERANCE_US, Fault
from annotate.tagfile.csv_form import guarded, numbered_rows, unguarded
from annotate.tagfile.files import NOTHING_KEPT, listed, text_of, write_whole
from annotate.tagfile.rows import clean_text

HEADER = ("start", "end", "mode", *(kind.name for kind in VALUES), "machine")
_NEEDED = ("start", "end")
_WHAT = "file of machine values"


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    cells: Mapping[str, str]


def read_settings(
    path: Path, session_id: SessionId, length_us: int | None = None
) -> tuple[Setting, ...]:
    """Read a file of machine values: every row, or none.

    Parameters
    ----------
    length_us : int, optional
        Length of the case; a time may lie 1 ms beyond it, for rounding, and is set to it.

    Returns
    -------
    tuple of Setting
        With new ids, in order of time; no two share a moment.

    Raises
    ------
    UserFacingError
        If the file cannot be read, or for bad rows: all of them, each with its line.
    """
    _check_ending(path)
    rows, faults = _cells_of(text_of(path, _WHAT))
    made: list[tuple[int, Setting]] = []
    for row in rows:
        setting, wrong = _setting_of(row, session_id, length_us)
        faults += [Fault(row.line, clause) for clause in wrong]
        if setting is not None and not wrong:
            made.append((row.line, setting))
    made.sort(key=lambda each: (each[1].start_us, each[0]))
    for place, ((first_line, first), (line, second)) in enumerate(pairwise(list(made))):
        if first.end_us > second.start_us > max(first.start_us, first.end_us - TOLERANCE_US - 1):
            made[place] = first_line, replace(first, end_us=second.start_us)  # only rounded
        elif second.start_us < first.end_us:
            faults.append(Fault(line, f"it begins before the values of line {first_line} end"))
    if faults:
        raise UserFacingError(listed(path.name, faults), NOTHING_KEPT)
    return tuple(setting for _, setting in made)


def write_settings(settings: Iterable[Setting], path: Path) -> None:
    """Write machine values as CSV, whole or not at all.

    Raises
    ------
    UserFacingError
        If the name does not end in .csv, or the file cannot be written.
    """
    _check_ending(path)
    write_whole(settings_csv(settings), path)


def settings_csv(settings: Iterable[Setting]) -> str:
    """Write machine values as CSV with CRLF line ends (RFC 4180)."""
    target = StringIO(newline="")
    writer = csv.writer(target, lineterminator="\r\n")
    writer.writerow(HEADER)
    for setting in sorted(settings, key=lambda s: (s.start_us, s.end_us, s.id)):
        writer.writerow(_written(setting))
    return target.getvalue()


def _check_ending(path: Path) -> None:
    if path.suffix.lower() != ".csv":
        raise UserFacingError(
            f"{shown(path.name)} is no {_WHAT} by its name.", "Such files end in .csv."
        )


def _cells_of(text: str) -> tuple[list[_Row], list[Fault]]:
    numbered = numbered_rows(text)
    _, header = next(numbered, (1, []))
    names = [] if isinstance(header, str) else [cell.strip() for cell in header]
    wrong = _header_wrong(names)
    if wrong:
        return [], [Fault(1, wrong)]
    rows: list[_Row] = []
    faults: list[Fault] = []
    for line, cells in numbered:
        if isinstance(cells, str):
            faults.append(Fault(line, cells))
        elif len(cells) != len(names):
            faults.append(Fault(line, f"{len(names)} cells are wanted, here are {len(cells)}"))
        elif any(cell.strip() for cell in cells):
            rows.append(_Row(line, dict(zip(names, cells, strict=True))))
        if len(rows) > MOST_ROWS:
            return [], [Fault(line, f"more than {MOST_ROWS:,} rows")]
    return rows, faults


def _header_wrong(names: list[str]) -> str:
    missing = [name for name in _NEEDED if name not in names]
    unknown = [name for name in names if name not in HEADER]
    twice = [name for name in HEADER if names.count(name) > 1]
    if unknown or missing:
        what = f"no column {missing[0]}" if missing else f"'{shown(unknown[0])}' is no column"
        return f"{what}; the columns, parted by commas, are {','.join(HEADER)}"
    return f"the column {twice[0]} stands there twice" if twice else ""


def _setting_of(
    row: _Row, session_id: SessionId, length_us: int | None
) -> tuple[Setting | None, list[str]]:
    wrong: list[str] = []
    start_us = _time(row.cells["start"], "start", length_us, wrong)
    end_us = _time(row.cells["end"], "end", length_us, wrong)
    values = {kind.name: _number(row.cells.get(kind.name, ""), kind.name, wrong) for kind in VALUES}
    if start_us is None or end_us is None:
        return None, wrong
    if end_us <= start_us:
        wrong.append(
            f"it ends at {format_time(end_us)}, which is not after its start at "
            f"{format_time(start_us)}"
        )
        return None, wrong
    setting = Setting(
        RowId(new_id()),
        session_id,
        start_us,
        end_us,
        mode=_words(row.cells.get("mode", "")),
        machine=_words(row.cells.get("machine", "")),
        **values,
    )
    if not wrong and is_empty(setting):
        wrong.append("no value is given")
    return setting, wrong + faults_of(setting)


def _words(cell: str) -> str:
    return " ".join(clean_text(unguarded(cell)).split())


def _time(text: str, name: str, length_us: int | None, wrong: list[str]) -> int | None:
    if not text.strip():
        wrong.append(f"the {name} is missing")
        return None
    try:
        time_us = int(parse_time(text))
    except UserFacingError as error:
        wrong.append(f"{name}: {error.what.rstrip('.')}")
        return None
    most_us = LONGEST_US if length_us is None else length_us
    if time_us > most_us + TOLERANCE_US:
        wrong.append(
            f"the {name} {format_time(time_us)} lies beyond the end of the case at "
            f"{format_time(most_us)}"
        )
        return None
    return min(time_us, most_us)


def _number(text: str, name: str, wrong: list[str]) -> float | None:
    if not text.strip():
        return None
    try:
        return number_in(unguarded(text))
    except ValueError:
        wrong.append(f"{name} is a number or nothing, not '{shown(text)}'")
        return None


def _written(setting: Setting) -> tuple[str, ...]:
    start_ms, end_ms = to_ms(setting.start_us), to_ms(setting.end_us)
    if end_ms <= start_ms:
        start_ms, end_ms = setting.start_us // 1000, -(-setting.end_us // 1000)
    values = (kind.of(setting) for kind in VALUES)
    return (
        format_time(start_ms * 1000),
        format_time(end_ms * 1000),
        guarded(clean_text(setting.mode)),
        *("" if value is None else plain_number(value) for value in values),
        guarded(clean_text(setting.machine)),
    )


def plain_number(value: float) -> str:
    """Write a number in full, with a dot, so that it reads back as the same number."""
    return f"{value:.0f}" if value == int(value) else f"{value:.12f}".rstrip("0")
