"""The note on paper: A4, real text in embedded fonts, an outline, page numbers."""

from __future__ import annotations

from annotate.clock import format_time
from annotate.tags import Leaning
from app.handback.machine import HEADING
from app.handback.note import PALETTE, STRIP_KEY, Note, NotePoints
from app.handback.pdf_comments import pin_shapes, put_comment
from app.handback.pdf_shapes import draw_shapes
from app.handback.pdf_sheet import Sheet
from app.handback.pdf_tables import put_events, put_figures, put_machine

_ACTIVE = "Active is total without the time in which a reason for idling is tagged."


def note_pdf(note: Note) -> bytes:
    """Lay a note out on A4 pages.

    The same note gives the same bytes; no time of making stands in them.
    """
    sheet = Sheet(note.title, note.status_text.lower())
    _put_head(sheet, note)
    _put_strip(sheet, note)
    sheet.heading("In short")
    sheet.words(" ".join(note.summary), 11, after=1)
    _put_points(sheet, "What to commend", Leaning.COMMEND, note.to_keep)
    _put_points(sheet, "What to correct", Leaning.CORRECT, note.to_change)
    sheet.heading("Comments", needs=60)
    for comment in note.comments:
        put_comment(sheet, comment)
    if not note.comments:
        sheet.words("There are no comments yet.", colour=PALETTE.quiet)
    _put_figures(sheet, note)
    _put_cautions(sheet, note)
    return sheet.written()


def _put_head(sheet: Sheet, note: Note) -> None:
    sheet.words(note.title, 20, bold=True, after=2.5)
    for name, value in note.facts:
        top = sheet.y
        sheet.words(name, 9.5, colour=PALETTE.quiet, width=26)
        sheet.set_xy(sheet.l_margin + 26, top)
        sheet.words(value, 9.5, width=sheet.epw - 26)
        sheet.set_x(sheet.l_margin)
    sheet.set_y(sheet.y + 3)
    for notice in note.notices:
        _put_notice(sheet, notice)


def _put_notice(sheet: Sheet, notice: str) -> None:
    height = sheet.height_of(notice, 10, width=sheet.epw - 8) + 4
    sheet.room(height)
    top = sheet.y
    sheet.paint(PALETTE.sunken)
    sheet.rect(sheet.l_margin, top, sheet.epw, height, style="F")
    sheet.paint(PALETTE.correct)
    sheet.rect(sheet.l_margin, top, 1.2, height, style="F")
    sheet.set_xy(sheet.l_margin + 5, top + 2)
    sheet.words(notice, 10, width=sheet.epw - 8)
    sheet.set_xy(sheet.l_margin, top + height + 2)


def _put_strip(sheet: Sheet, note: Note) -> None:
    scale = sheet.epw / note.strip.width
    height = note.strip.height * scale
    sheet.room(height + 12)
    draw_shapes(sheet, note.strip.shapes, sheet.l_margin, sheet.y, scale)
    sheet.set_xy(sheet.l_margin, sheet.y + height + 1.5)
    sheet.words(STRIP_KEY, 8, colour=PALETTE.quiet)


def _put_points(sheet: Sheet, heading: str, leaning: Leaning, points: NotePoints) -> None:
    if not points.points:
        return
    sheet.heading(heading)
    for point in points.points:
        times = ", ".join(map(format_time, point.times_us))
        where = f"{times}, {point.weight_words}"
        column = sheet.epw - 5
        sheet.room(
            sheet.height_of(point.text, width=column) + sheet.height_of(where, 8.5, width=column)
        )
        draw_shapes(sheet, pin_shapes(leaning), sheet.l_margin, sheet.y + 1.5, 2.4)
        sheet.set_x(sheet.l_margin + 5)
        sheet.words(point.text, width=column)
        sheet.words(where, 8.5, colour=PALETTE.quiet, width=column, after=1)
        sheet.set_x(sheet.l_margin)
    if points.n_more:
        sheet.words(f"{points.n_more} more among the comments.", 9, colour=PALETTE.quiet)


def _put_figures(sheet: Sheet, note: Note) -> None:
    sheet.heading("Phases and idle time", needs=50)
    if note.figures.phases:
        put_figures(sheet, note.figures, f"The whole case. {_ACTIVE}")
    else:
        sheet.words("No phase has been tagged yet.", colour=PALETTE.quiet)
    if note.operator_only:
        sheet.heading(f"{note.operator} alone", needs=50)
        put_figures(sheet, note.operator_only, "Without the time in which somebody else operated.")
    if note.events:
        sheet.heading("Events", needs=35)
        put_events(sheet, note.events)
    if note.machine:
        sheet.heading(HEADING, needs=40)
        put_machine(sheet, note.machine)


def _put_cautions(sheet: Sheet, note: Note) -> None:
    sheet.heading("Cautions", needs=45)
    for caution in note.cautions:
        sheet.words(caution, 9, colour=PALETTE.quiet, after=1)
    if note.signature_text:
        sheet.words(note.signature_text, 8, colour=PALETTE.quiet, after=1)
