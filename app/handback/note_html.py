"""The note as one HTML file that opens anywhere: pictures inside, no script, nothing fetched."""

from __future__ import annotations

from base64 import b64encode
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup as SafeText

from annotate.clock import format_time, to_ms
from app.handback.machine import HEAD, HEADING
from app.handback.note import PALETTE, STRIP_KEY, Note, NoteStrip, PhaseRow, Still
from app.handback.tables import SWATCH_SIZE
from app.handback.wording import percent
from app.strip.svg import svg_text

TEMPLATE = "note.html.jinja"


def note_html(note: Note) -> str:
    """Write a note as a page in one file."""
    return (
        _environment()
        .get_template(TEMPLATE)
        .render(
            note=note,
            colours=PALETTE,
            strip_key=STRIP_KEY,
            machine_heading=HEADING,
            machine_head=HEAD,
        )
    )


def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {
        "clock": format_time,
        "machine_time": _machine_time,
        "percent": percent,
        "picture": _picture,
        "strip": _strip,
        "swatch": _swatch,
        "paragraphs": _paragraphs,
    }
    return environment


def _machine_time(time_us: int) -> str:
    """A length of time as HTML's ``datetime`` takes it."""
    total, ms = divmod(to_ms(time_us), 1000)
    return f"PT{total}.{ms:03d}S"


def _picture(still: Still) -> str:
    return f"data:{still.media_type};base64,{b64encode(still.content).decode('ascii')}"


def _strip(strip: NoteStrip) -> SafeText:
    # svg_text escapes every word and colour that it is given.
    return SafeText(svg_text(strip.shapes, strip.width, strip.height, title=strip.alt))


def _swatch(row: PhaseRow) -> SafeText:
    return SafeText(svg_text(row.swatch, *SWATCH_SIZE, title=row.label))


def _paragraphs(text: str) -> list[str]:
    return [paragraph for paragraph in text.split("\n\n") if paragraph.strip()]
