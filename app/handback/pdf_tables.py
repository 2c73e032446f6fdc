"""The figures of a note on paper, with the header again on each page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from annotate.clock import format_time
from app.handback.machine import HEAD, MachineSection
from app.handback.note import PALETTE, EventRow, FigureTables
from app.handback.pdf_shapes import draw_shapes
from app.handback.pdf_sheet import FACE, Sheet, line_height, readable
from app.handback.tables import SWATCH_SIZE
from app.handback.wording import percent
from app.strip.shapes import Shape

_SIZE_PT = 9.0
_SWATCH_MM = 8.0
_PHASE_WIDTHS = (56.0, 12.0, 23.0, 23.0, 16.0, 22.0, 22.0)
_PHASE_HEAD = ("Phase", "Visits", "Total", "Active", "Share", "First start", "Last end")
_MACHINE_WIDTHS = (54.0, 24.0, 28.0, 36.0, 32.0)
_EVENT_WIDTHS = (70.0, 30.0, 20.0)
_EVENT_HEAD = ("Event", "Asks", "Count")


@dataclass(frozen=True, slots=True)
class _Row:
    cells: tuple[str, ...]
    swatch: tuple[Shape, ...] = ()
    is_bold: bool = False


def put_figures(sheet: Sheet, tables: FigureTables, caption: str) -> None:
    """Put phases and idle time down as one table."""
    sheet.words(caption, 9, colour=PALETTE.quiet, after=1)
    rows = [
        _Row(
            (
                row.label,
                str(row.visits),
                format_time(row.total_us),
                format_time(row.active_us),
                percent(row.share),
                format_time(row.first_start_us),
                format_time(row.last_end_us),
            ),
            row.swatch,
        )
        for row in tables.phases
    ]
    rows += [_spent(f"Idle: {row.label}", row.total_us, percent(row.share)) for row in tables.idle]
    share = percent(tables.idle_share)
    rows.append(_spent("All idle time", tables.idle_total_us, share, is_bold=True))
    rows.append(_spent("First phase to last", tables.observed_us, "", is_bold=True))
    _put_rows(sheet, _Row(_PHASE_HEAD), rows, _PHASE_WIDTHS)


def put_events(sheet: Sheet, events: Sequence[EventRow]) -> None:
    """Put the events down as a table."""
    rows = [_Row((row.label, row.leaning_words, str(row.count))) for row in events]
    _put_rows(sheet, _Row(_EVENT_HEAD), rows, _EVENT_WIDTHS)


def put_machine(sheet: Sheet, section: MachineSection) -> None:
    """Put totals of ultrasound down as a table, and limits that were taken beneath."""
    rows = [_Row((row.label, *row.cells)) for row in section.rows]
    if rows:
        _put_rows(sheet, _Row(HEAD), rows, _MACHINE_WIDTHS)
    for limit in section.limits:
        span = f"{format_time(limit.start_us)} to {format_time(limit.end_us)}"
        sheet.words(f"{span}: {limit.text}", _SIZE_PT, after=1)
    for remark in section.remarks:
        sheet.words(remark, 8.5, colour=PALETTE.quiet, after=1)


def _spent(label: str, time_us: int, share: str, *, is_bold: bool = False) -> _Row:
    return _Row((label, "", format_time(time_us), "", share, "", ""), is_bold=is_bold)


def _put_rows(sheet: Sheet, head: _Row, rows: Sequence[_Row], widths: Sequence[float]) -> None:
    _put_row(sheet, head, widths, is_head=True)
    for row in rows:
        if sheet.room(_height(sheet, row, widths)):
            _put_row(sheet, head, widths, is_head=True)
        _put_row(sheet, row, widths)
    sheet.set_xy(sheet.l_margin, sheet.y + 3)


def _label_width(row: _Row, widths: Sequence[float]) -> float:
    return widths[0] - 3 - (_SWATCH_MM + 2 if row.swatch else 0)


def _height(sheet: Sheet, row: _Row, widths: Sequence[float]) -> float:
    label_width = _label_width(row, widths)
    return sheet.height_of(row.cells[0], _SIZE_PT, bold=row.is_bold, width=label_width) + 2


def _put_row(sheet: Sheet, row: _Row, widths: Sequence[float], *, is_head: bool = False) -> None:
    height, top, left = _height(sheet, row, widths), sheet.y, sheet.l_margin
    if is_head:
        sheet.paint(PALETTE.sunken)
        sheet.rect(left, top, sum(widths), height, style="F")
    x = left + 1
    if row.swatch:
        scale = _SWATCH_MM / SWATCH_SIZE[0]
        draw_shapes(sheet, row.swatch, x, top + 1.15, scale)
        x += _SWATCH_MM + 2
    colour = PALETTE.quiet if is_head else PALETTE.text
    sheet.set_xy(x, top + 1)
    label_width = _label_width(row, widths)
    sheet.words(row.cells[0], _SIZE_PT, bold=row.is_bold, colour=colour, width=label_width)
    _put_numbers(sheet, row, widths, top + 1)
    sheet.set_xy(left, top + height)
    sheet.paint(PALETTE.line)
    sheet.set_line_width(0.15)
    sheet.line(left, sheet.y, left + sum(widths), sheet.y)


def _put_numbers(sheet: Sheet, row: _Row, widths: Sequence[float], top: float) -> None:
    sheet.set_font(FACE, "B" if row.is_bold else "", _SIZE_PT)
    x = sheet.l_margin + widths[0]
    for cell, width in zip(row.cells[1:], widths[1:], strict=True):
        sheet.set_xy(x, top)
        sheet.cell(width - 1, line_height(_SIZE_PT), readable(cell), align="R")
        x += width
