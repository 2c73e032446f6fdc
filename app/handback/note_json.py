"""The note as one JSON document; `note.schema.json` beside this file describes it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from annotate.clock import to_ms
from app.handback.machine import machine_document
from app.handback.note import FigureTables, Note, NoteComment, NotePoints, PhaseRow, Still
from metrics.watched import watched_document

FORMAT = "scrubline-note"
VERSION = 2
SCHEMA_FILE = Path(__file__).with_name("note.schema.json")


def note_json(note: Note) -> str:
    """Write a note as JSON; pictures are named by frame and time and not held in it."""
    return json.dumps(note_document(note), ensure_ascii=False, indent=2) + "\n"


def note_document(note: Note) -> dict[str, Any]:
    """Write a note as plain values; times are seconds, to the millisecond."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "case": note.case,
        "case_number": note.case_number,
        "operator": note.operator,
        "operator_level": note.operator_level,
        "reviewer": note.reviewer,
        "reviewer_kind": note.reviewer_kind,
        "procedure": note.procedure,
        "eye": note.eye or None,
        "status": "draft" if note.is_draft else "signed",
        "signed_on": note.signed_on.isoformat() if note.signed_on else None,
        "edition": note.edition,
        "content_hash": note.content_hash or None,
        "machine": machine_document(note.machine) if note.machine else None,
        "watched": watched_document(note.watched) if note.watched else None,
        "duration_s": _s(note.duration_us),
        "notices": list(note.notices),
        "summary": list(note.summary),
        "to_keep": _points(note.to_keep),
        "to_change": _points(note.to_change),
        "comments": [_comment(comment) for comment in note.comments],
        "figures": _figures(note.figures),
        "operator_only": _figures(note.operator_only) if note.operator_only else None,
        "events": [
            {"label": row.label, "leaning": row.leaning, "count": row.count} for row in note.events
        ],
        "cautions": list(note.cautions),
    }


def _s(time_us: int) -> float:
    return to_ms(time_us) / 1000


def _s_or_none(time_us: int | None) -> float | None:
    return None if time_us is None else _s(time_us)


def _points(points: NotePoints) -> dict[str, Any]:
    return {
        "points": [
            {
                "text": point.text,
                "weight": point.weight,
                "comments": list(point.numbers),
                "at_s": [_s(time_us) for time_us in point.times_us],
            }
            for point in points.points
        ],
        "more": points.n_more,
    }


def _comment(comment: NoteComment) -> dict[str, Any]:
    return {
        "number": comment.number,
        "kind": "event" if comment.event else "comment",
        "start_s": _s(comment.start_us),
        "end_s": _s_or_none(comment.end_us),
        "leaning": comment.leaning,
        "weight": comment.weight,
        "phase": comment.phase or None,
        "event": comment.event or None,
        "text": comment.text,
        "good": comment.good or None,
        "still": _still(comment.still) if comment.still else None,
    }


def _still(still: Still) -> dict[str, Any]:
    return {
        "frame_number": still.frame_number,
        "time_s": _s(still.time_us),
        "width": still.width,
        "height": still.height,
        "alt": still.alt,
    }


def _figures(tables: FigureTables) -> dict[str, Any]:
    return {
        "observed_s": _s(tables.observed_us),
        "phases": [_phase(row) for row in tables.phases],
        "idle": {
            "total_s": _s(tables.idle_total_us),
            "share": tables.idle_share,
            "longest_s": _s(tables.longest_idle_us),
            "longest_at_s": _s_or_none(tables.longest_idle_at_us),
            "reasons": [
                {"label": row.label, "total_s": _s(row.total_us), "share": row.share}
                for row in tables.idle
            ],
        },
    }


def _phase(row: PhaseRow) -> dict[str, Any]:
    return {
        "code": row.code,
        "label": row.label,
        "visits": row.visits,
        "total_s": _s(row.total_us),
        "active_s": _s(row.active_us),
        "share": row.share,
        "first_start_s": _s(row.first_start_us),
        "last_end_s": _s(row.last_end_us),
    }
