"""The paper of a note: A4 pages with fonts of our own, page numbers, headings in the outline."""

from __future__ import annotations

import logging
import unicodedata
from functools import lru_cache
from pathlib import Path

import fontpkg_atkinson_hyperlegible
import fontpkg_noto_sans
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from fpdf import FPDF
from fpdf.output import OutputProducer, PDFInfo

from app.handback.note import PALETTE

logging.getLogger("fpdf").setLevel(logging.ERROR)  # its remarks on glyphs are for no terminal

FACE, FALLBACK = "atkinson", "noto"
_MARGIN_MM, _FOOT_MM = 18.0, 20.0
_PT_MM = 25.4 / 72

_FILES = {
    (FACE, ""): fontpkg_atkinson_hyperlegible.ROOT / "files" / "AtkinsonHyperlegible-Regular.ttf",
    (FACE, "B"): fontpkg_atkinson_hyperlegible.ROOT / "files" / "AtkinsonHyperlegible-Bold.ttf",
    (FALLBACK, ""): fontpkg_noto_sans.ROOT / "files" / "NotoSans[wdth,wght].ttf",
    (FALLBACK, "B"): fontpkg_noto_sans.ROOT / "files" / "NotoSans[wdth,wght].ttf",
}


class _Producer(OutputProducer):
    """Writes the file without the time at which it was made."""

    def _add_info(self) -> PDFInfo:
        pdf = self.fpdf
        info = PDFInfo(pdf.title, None, None, None, pdf.creator, pdf.producer, None)
        self._add_pdf_obj(info)
        return info


class Sheet(FPDF):
    """A document that words are put on, top to bottom.

    Parameters
    ----------
    title : str
        Name of the document, in its properties and at the foot of each page.
    foot : str
        What else stands at the foot, such as that it is a draft.
    """

    def __init__(self, title: str, foot: str) -> None:
        super().__init__(unit="mm", format="A4")
        self._foot = f"{title}, {foot}"
        for (family, style), path in _FILES.items():
            self.add_font(family, style, path)
        self.set_fallback_fonts([FALLBACK], exact_match=False)
        self.set_title(title)
        self.set_creator("Scrubline")
        self.set_producer("Scrubline")
        self.set_lang("en")
        self.set_margins(_MARGIN_MM, 16.0)
        self.set_auto_page_break(True, _FOOT_MM)
        self.c_margin = 0.0
        self.add_page()

    def footer(self) -> None:
        """Put the title and the page number at the foot of a page; FPDF calls it."""
        self.set_y(-13)
        self.set_font(FACE, "", 8.5)
        self.paint(PALETTE.quiet)
        self.cell(self.epw - 30, 5, readable(self._foot))
        self.cell(30, 5, f"{self.page_no()} of {{nb}}", align="R")

    def paint(self, colour: str) -> None:
        """Take a colour (``#rrggbb``) for words, strokes and fills."""
        channels = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
        self.set_text_color(*channels)
        self.set_draw_color(*channels)
        self.set_fill_color(*channels)

    def words(
        self,
        text: str,
        size: float = 10.5,
        *,
        bold: bool = False,
        colour: str = PALETTE.text,
        width: float = 0.0,
        after: float = 0.0,
    ) -> None:
        """Put a text down from where the pen stands; it goes on over as many pages as it needs.

        Parameters
        ----------
        size : float
            Points.
        width, after : float
            Millimetres: of the column (0 to the right margin), and of white below.
        """
        left = self.x
        self.set_font(FACE, "B" if bold else "", size)
        self.paint(colour)
        self.multi_cell(
            width, line_height(size), readable(text), align="L", new_x="LMARGIN", new_y="NEXT"
        )
        self.set_xy(left, self.y + after)

    def height_of(
        self, text: str, size: float = 10.5, *, bold: bool = False, width: float = 0.0
    ) -> float:
        """Height that `words` would take for a text, millimetres."""
        self.set_font(FACE, "B" if bold else "", size)
        lines = self.multi_cell(
            width, line_height(size), readable(text), align="L", dry_run=True, output="LINES"
        )
        return len(lines) * line_height(size)

    def heading(self, text: str, level: int = 0, *, needs: float = 30.0) -> None:
        """Put a heading down and into the outline; it stays with `needs` millimetres below it."""
        self.room(needs)
        self.set_x(self.l_margin)
        if level or self.y > self.t_margin + 1:
            self.set_y(self.y + 4)
        self.start_section(readable(text), level)
        self.words(text, 13.5 - 2 * level, bold=True, after=1.5)

    def room(self, height: float) -> bool:
        """Begin a page if this one has less than `height` millimetres left; tell whether."""
        if self.y + height <= self.page_break_trigger:
            return False
        self.add_page()
        return True

    def rule(self) -> None:
        """Draw a thin line across the page where the pen stands."""
        self.paint(PALETTE.line)
        self.set_line_width(0.2)
        self.line(self.l_margin, self.y, self.w - self.r_margin, self.y)

    def written(self) -> bytes:
        """Finish the document: its bytes, the same each time for the same content."""
        self.creation_date = None
        return bytes(self.output(output_producer_class=_Producer))


def line_height(size: float) -> float:
    """Height of a line of text of `size` points, millimetres."""
    return size * _PT_MM * 1.36


def readable(text: str) -> str:
    """Replace what neither font can show: a pictograph by its name, else by an empty box."""
    known = _known()
    composed = unicodedata.normalize("NFC", text)
    return "".join(c if ord(c) in known or c == "\n" else _stand_in(c) for c in composed)


def _stand_in(char: str) -> str:
    kind = unicodedata.category(char)
    if kind in ("So", "Sk", "Sm"):
        return f"[{unicodedata.name(char, 'sign').lower()}]"
    if kind.startswith("Z"):
        return " "
    return "" if kind in ("Mn", "Me", "Cf") else "\u25a1"


@lru_cache(maxsize=1)
def _known() -> frozenset[int]:
    """Every character that the face or, failing that, the fallback can show."""
    return frozenset().union(*(_characters(_FILES[family, ""]) for family in (FACE, FALLBACK)))


def _characters(path: Path) -> frozenset[int]:
    with TTFont(path) as font:
        return frozenset(font.getBestCmap())
