"""The note as one table for a spreadsheet, in which no cell can act as a formula."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from io import StringIO

from annotate.clock import format_time
from app.handback.comments import NoteComment
from app.handback.machine import HEAD, MachineSection
from app.handback.note import FigureTables, Note

HEADER = (
    "section",
    "start",
    "end",
    "leaning",
    "weight",
    "phase",
    "event",
    "text",
    "total",
    "share_percent",
    "visits",
)
_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def note_csv(note: Note) -> str:
    """Write a note as CSV (RFC 4180); `section` says what each row tells."""
    sink = StringIO()
    writer = csv.DictWriter(sink, HEADER, restval="", lineterminator="\r\n")
    writer.writeheader()
    for row in _rows(note):
        writer.writerow({name: harmless(value) for name, value in row.items()})
    return sink.getvalue()


def harmless(cell: str) -> str:
    """Put an apostrophe before what a spreadsheet would take for a formula."""
    lead = cell.lstrip(" \u00a0")
    return f"'{cell}" if lead.startswith(_STARTS_FORMULA) else cell


def _rows(note: Note) -> Iterator[dict[str, str]]:
    facts = "; ".join(f"{name}: {value}" for name, value in note.facts)
    yield {"section": "case", "text": f"{note.case}; {facts}"}
    if note.content_hash:
        yield {"section": "signature", "text": note.content_hash}
    for section, sentences in (("notice", note.notices), ("summary", note.summary)):
        yield from ({"section": section, "text": text} for text in sentences)
    yield from map(_comment, note.comments)
    yield from _figures("", note.figures)
    if note.operator_only:
        yield from _figures("operator-only ", note.operator_only)
    yield from _machine(note.machine)
    yield from ({"section": "caution", "text": text} for text in note.cautions)


def _comment(comment: NoteComment) -> dict[str, str]:
    return {
        "section": "event" if comment.event else "comment",
        "start": format_time(comment.start_us),
        "end": "" if comment.end_us is None else format_time(comment.end_us),
        "leaning": str(comment.leaning) if comment.leaning else "",
        "weight": str(comment.weight) if comment.weight else "",
        "phase": comment.phase,
        "event": comment.event,
        "text": comment.text,
    }


def _figures(lead: str, tables: FigureTables) -> Iterator[dict[str, str]]:
    for row in tables.phases:
        yield {
            "section": f"{lead}phase",
            "start": format_time(row.first_start_us),
            "end": format_time(row.last_end_us),
            "phase": row.label,
            "total": format_time(row.total_us),
            "share_percent": f"{row.share * 100:.1f}",
            "visits": str(row.visits),
        }
    for idle in tables.idle:
        yield {
            "section": f"{lead}idle",
            "text": idle.label,
            "total": format_time(idle.total_us),
            "share_percent": f"{idle.share * 100:.1f}",
        }
    yield {"section": f"{lead}observed", "total": format_time(tables.observed_us)}


def _machine(section: MachineSection | None) -> Iterator[dict[str, str]]:
    if section is None:
        return
    for row in section.rows:
        said = (f"{name.lower()} {cell}" for name, cell in zip(HEAD[1:], row.cells, strict=True))
        yield {"section": "machine", "text": f"{row.label}: {', '.join(said)}"}
    for limit in section.limits:
        yield {
            "section": "machine limit",
            "start": format_time(limit.start_us),
            "end": format_time(limit.end_us),
            "text": limit.text,
        }
    yield from ({"section": "machine", "text": remark} for remark in section.remarks)
