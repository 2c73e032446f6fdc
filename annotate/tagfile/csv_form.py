"""Tag files as CSV: ``kind,code,start,end,leaning,weight,comment``.

Times are written H:MM:SS.mmm, to the millisecond like those of every export, so that a time comes
back within 1 ms. A text that a spreadsheet would take for a formula is written with an apostrophe
before it, and read without.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from io import StringIO

from annotate.clock import format_time, shown
from annotate.tagfile.checking import MOST_ROWS, Fault, RawRow
from annotate.tagfile.rows import HEADER, TagRow, as_written, span_ms
from annotate.tags import LONGEST_TEXT

_RUN_BY_SPREADSHEETS = tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")
"""ASCII and full-width first characters of a formula, and white space that may hide one."""


def to_csv(rows: Iterable[TagRow]) -> str:
    """Write rows as CSV with CRLF line ends (RFC 4180)."""
    target = StringIO(newline="")
    writer = csv.writer(target, lineterminator="\r\n")
    writer.writerow(HEADER)
    for row in as_written(rows):
        writer.writerow(_cells(row))
    return target.getvalue()


def from_csv(text: str) -> tuple[list[RawRow], list[Fault]]:
    """Read the cells of every row, and list the rows that have not the right cells."""
    numbered = numbered_rows(text)
    rows: list[RawRow] = []
    faults: list[Fault] = []
    header = next(numbered, (1, []))[1]
    if isinstance(header, str) or tuple(cell.strip() for cell in header) != HEADER:
        return [], [Fault(1, _header_wrong(text))]
    for line, cells in numbered:
        if isinstance(cells, str):
            faults.append(Fault(line, cells))
        elif len(cells) != len(HEADER):
            faults.append(Fault(line, f"{len(HEADER)} cells are wanted, here are {len(cells)}"))
        elif any(cell.strip() for cell in cells):
            kind, code, start, end, leaning, weight, comment = cells
            rows.append(
                RawRow(line, kind, unguarded(code), start, end, leaning, weight, unguarded(comment))
            )
        if len(rows) > MOST_ROWS:
            return [], [Fault(line, f"more than {MOST_ROWS:,} rows")]
    return rows, faults


def guarded(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet would run."""
    return "'" + text if text.lstrip("'").startswith(_RUN_BY_SPREADSHEETS) else text


def unguarded(text: str) -> str:
    """Take the apostrophe of `guarded` away again."""
    return text[1:] if text.startswith("'") and guarded(text[1:]) == text else text


def _cells(row: TagRow) -> tuple[str, ...]:
    start_ms, end_ms = span_ms(row)
    return (
        row.kind.value,
        guarded(row.code),
        format_time(start_ms * 1000),
        "" if end_ms is None else format_time(end_ms * 1000),
        "" if row.leaning is None else row.leaning.value,
        "" if row.weight is None else str(row.weight),
        guarded(row.comment),
    )


def numbered_rows(text: str) -> Iterator[tuple[int, list[str] | str]]:
    """Yield each row with the line on which it begins; for one that is no CSV, what is wrong."""
    reader = csv.reader(StringIO(text, newline=""), strict=True)
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            yield line, _csv_wrong(str(error))
            return
        if cells:
            yield line, cells


def _csv_wrong(message: str) -> str:
    if "field larger" in message:
        return f"a cell is far longer than the {LONGEST_TEXT:,} characters of a comment"
    if "unexpected end" in message:
        return "a quotation mark opens a cell and none closes it"
    return f"not valid CSV ({shown(message)}); rows after it were not read"


def _header_wrong(text: str) -> str:
    first = text.partition("\n")[0]
    wanted = ",".join(HEADER)
    for sign, name in ((";", "semicolons"), ("\t", "tabs")):
        if first.count(sign) >= len(HEADER) - 1:
            return f"cells are parted by {name}; commas are wanted: {wanted}"
    return f"the header must be {wanted}, not '{shown(first, 60)}'"
