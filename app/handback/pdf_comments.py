"""The moments of a note on paper: the still beside the words."""

from __future__ import annotations

from io import BytesIO

from annotate.clock import format_time
from annotate.tags import Leaning
from app.handback.note import PALETTE, NoteComment, Still
from app.handback.pdf_shapes import draw_shapes
from app.handback.pdf_sheet import Sheet
from app.strip.layout import leaning_colour
from app.strip.shapes import Box, Polygon, Shape

_STILL_MM = (56.0, 56.0)
_GAP_MM = 6.0
_PIN_MM = 2.4


def put_comment(sheet: Sheet, comment: NoteComment) -> None:
    """Put a moment down: beside its still if both fit on one page, else the text below it."""
    still_width, still_height = _still_size(comment.still)
    beside = still_width + _GAP_MM if comment.still else 0.0
    column = sheet.epw - beside
    height = max(still_height, _height(sheet, comment, column)) + 8
    is_whole = height < sheet.eph * 0.9
    sheet.room(height if is_whole else still_height + 40)
    sheet.rule()
    sheet.start_section(comment.time_text, 1)
    top = sheet.y + 3
    if comment.still:
        _put_still(sheet, comment.still, top, still_width, still_height)
    sheet.set_xy(sheet.l_margin + beside, top)
    _put_head(sheet, comment, column)
    if not is_whole and comment.still:
        sheet.set_xy(sheet.l_margin, max(sheet.y, top + still_height + 2))
        column = sheet.epw
    _put_text(sheet, comment, column)
    bottom = max(sheet.y, top + still_height) if is_whole else sheet.y
    sheet.set_xy(sheet.l_margin, bottom + 3)


def pin_shapes(leaning: Leaning | None) -> tuple[Shape, ...]:
    """The pin of a leaning as on the strip, in a square of side 1: up, down, lozenge or tick."""
    colour = leaning_colour(PALETTE, leaning)
    outlines = {
        Leaning.COMMEND: ((0.5, 0.05), (1.0, 0.95), (0.0, 0.95)),
        Leaning.CORRECT: ((0.0, 0.05), (1.0, 0.05), (0.5, 0.95)),
        Leaning.NEUTRAL: ((0.5, 0.0), (1.0, 0.5), (0.5, 1.0), (0.0, 0.5)),
    }
    if leaning is None:
        return (Box(0.35, 0.0, 0.3, 1.0, colour),)
    return (Polygon(outlines[leaning], colour),)


def _still_size(still: Still | None) -> tuple[float, float]:
    """Width and height on paper, millimetres, and room for the line under it."""
    if still is None:
        return 0.0, 0.0
    scale = min(_STILL_MM[0] / still.width, _STILL_MM[1] / still.height)
    return still.width * scale, still.height * scale + 4.5


def _put_still(sheet: Sheet, still: Still, top: float, width: float, height: float) -> None:
    picture = BytesIO(still.content)
    sheet.image(picture, sheet.l_margin, top, w=width, h=height - 4.5, alt_text=still.alt)
    sheet.set_xy(sheet.l_margin, top + height - 4)
    stamp = f"Frame {still.frame_number}, {format_time(still.time_us)}"
    sheet.words(stamp, 8, colour=PALETTE.quiet, width=width)


def _place(comment: NoteComment) -> str:
    parts = (comment.leaning_words, comment.event, comment.phase, comment.weight_words)
    return ", ".join(part for part in parts if part) or "Comment"


def _good(comment: NoteComment) -> str:
    return f"What good looks like: {comment.good}" if comment.good else ""


def _height(sheet: Sheet, comment: NoteComment, column: float) -> float:
    """Height of head and text in a column, millimetres."""
    if len(comment.text) > 6000:
        return sheet.eph
    height = sheet.height_of(comment.time_text, 10.5, bold=True, width=column)
    height += sheet.height_of(_place(comment), 9.5, width=column - 4) + 1.5
    for text, size in ((comment.text, 10.5), (_good(comment), 9.5)):
        if text:
            height += sheet.height_of(text, size, width=column) + 1.5
    return height


def _put_head(sheet: Sheet, comment: NoteComment, column: float) -> None:
    left = sheet.x
    sheet.words(comment.time_text, bold=True, width=column)
    draw_shapes(sheet, pin_shapes(comment.leaning), left, sheet.y + 1.05, _PIN_MM)
    sheet.set_x(left + 4)
    colour = leaning_colour(PALETTE, comment.leaning)
    sheet.words(_place(comment), 9.5, colour=colour, width=column - 4, after=1.5)
    sheet.set_x(left)


def _put_text(sheet: Sheet, comment: NoteComment, column: float) -> None:
    if comment.text:
        sheet.words(comment.text, width=column, after=1.5)
    if comment.good:
        sheet.words(_good(comment), 9.5, colour=PALETTE.quiet, width=column, after=1.5)
