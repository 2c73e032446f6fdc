"""The note as Markdown, for pages and mails that take plain text; pictures are left out."""

from __future__ import annotations

import re
from collections.abc import Iterator

from annotate.clock import format_time
from app.handback.comments import NoteComment
from app.handback.machine import HEAD, HEADING, MachineSection
from app.handback.note import FigureTables, Note, NotePoints
from app.handback.wording import one_line, percent

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~&!$])")
_AT_START = re.compile(r"^(\d*)([-+=.)])")


def note_markdown(note: Note) -> str:
    """Write a note as Markdown (CommonMark with tables)."""
    lines = [
        *_head(note),
        *_points("What to commend", note.to_keep),
        *_points("What to correct", note.to_change),
        "## Comments",
        "",
        *(line for comment in note.comments for line in _comment(comment)),
        *([] if note.comments else ["There are none.", ""]),
        *_figures("Phases and idle time", note.figures),
        *(_figures(f"{note.operator} alone", note.operator_only) if note.operator_only else ()),
        *_events(note),
        *_machine(note.machine),
        "## Cautions",
        "",
        *(f"- {escaped(text)}" for text in note.cautions),
        "",
        *([escaped(note.signature_text), ""] if note.signature_text else []),
    ]
    return "\n".join(lines)


def escaped(text: str) -> str:
    """Write a text on one line so that no Markdown reader takes any of it for markup."""
    return _AT_START.sub(r"\1\\\2", _SPECIAL.sub(r"\\\1", one_line(text)))


def _head(note: Note) -> Iterator[str]:
    yield f"# {escaped(note.title)}"
    yield ""
    for notice in note.notices:
        yield f"**{escaped(notice)}**"
        yield ""
    for name, value in note.facts:
        yield f"- {name}: {escaped(value)}"
    yield ""
    yield "## In short"
    yield ""
    yield " ".join(escaped(sentence) for sentence in note.summary)
    yield ""


def _points(heading: str, points: NotePoints) -> Iterator[str]:
    if not points.points:
        return
    yield f"## {heading}"
    yield ""
    for point in points.points:
        times = ", ".join(map(format_time, point.times_us))
        yield f"- {escaped(point.text)} ({point.weight_words}, at {times})"
    if points.n_more:
        yield f"- {points.n_more} more among the comments"
    yield ""


def _comment(comment: NoteComment) -> Iterator[str]:
    parts = [
        comment.time_text,
        comment.leaning_words,
        comment.event,
        comment.phase,
        comment.weight_words,
    ]
    yield f"### {comment.number}. {', '.join(escaped(part) for part in parts if part)}"
    yield ""
    for paragraph in comment.text.split("\n\n"):
        if paragraph.strip():
            yield from (f"> {escaped(line)}" for line in paragraph.split("\n") if line.strip())
            yield ""
    if comment.good:
        yield f"What good looks like: {escaped(comment.good)}"
        yield ""
    if comment.still:
        yield f"Frame {comment.still.frame_number}, {format_time(comment.still.time_us)}"
        yield ""


def _figures(heading: str, tables: FigureTables) -> Iterator[str]:
    yield f"## {escaped(heading)}"
    yield ""
    yield "| Phase | Visits | Total | Active | Share | First start | Last end |"
    yield "| --- | ---: | ---: | ---: | ---: | ---: | ---: |"
    for row in tables.phases:
        times = (row.total_us, row.active_us)
        ends = (row.first_start_us, row.last_end_us)
        yield (
            f"| {escaped(row.label)} | {row.visits} | {' | '.join(map(format_time, times))} "
            f"| {percent(row.share)} | {' | '.join(map(format_time, ends))} |"
        )
    yield ""
    yield "| Idle | Time | Share |"
    yield "| --- | ---: | ---: |"
    for idle in tables.idle:
        yield f"| {escaped(idle.label)} | {format_time(idle.total_us)} | {percent(idle.share)} |"
    total = format_time(tables.idle_total_us)
    yield f"| All idle time | {total} | {percent(tables.idle_share)} |"
    yield f"| First phase to last | {format_time(tables.observed_us)} | |"
    yield ""


def _events(note: Note) -> Iterator[str]:
    if not note.events:
        return
    yield "## Events"
    yield ""
    yield "| Event | Asks | Count |"
    yield "| --- | --- | ---: |"
    for row in note.events:
        yield f"| {escaped(row.label)} | {row.leaning_words} | {row.count} |"
    yield ""


def _machine(section: MachineSection | None) -> Iterator[str]:
    if section is None:
        return
    yield f"## {HEADING}"
    yield ""
    if section.rows:
        yield f"| {' | '.join(HEAD)} |"
        yield "| --- | ---: | ---: | ---: | ---: |"
        for row in section.rows:
            yield f"| {escaped(row.label)} | {' | '.join(row.cells)} |"
        yield ""
    for limit in section.limits:
        span = f"{format_time(limit.start_us)} to {format_time(limit.end_us)}"
        yield f"- {span}: {escaped(limit.text)}"
    yield from [""] if section.limits else []
    for remark in section.remarks:
        yield escaped(remark)
        yield ""
