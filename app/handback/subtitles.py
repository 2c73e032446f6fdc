"""The comments as subtitles, so that any player shows them over the clip.

WebVTT follows the W3C's rules for cues; SubRip has no standard, and what all players read is
written.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from annotate.clock import to_ms
from app.handback.comments import NoteComment
from app.handback.note import Note
from app.handback.wording import one_line
from app.watched_words import watched_words

CHARACTERS_PER_S = 15
SHORTEST_MS, LONGEST_MS = 2000, 8000
"""How long a moment without an end stays to be read: common practice, no source."""

_TAG = re.compile(r"<([^<>]*)>")
_STAMP = re.compile(r"\d+:\d+:\d+[.,]\d+")


@dataclass(frozen=True, slots=True)
class Cue:
    """One subtitle: a number from 1, milliseconds, and lines of which none is blank."""

    number: int
    start_ms: int
    end_ms: int
    lines: tuple[str, ...]


def cues(note: Note) -> tuple[Cue, ...]:
    """Turn a note's moments into cues, in order of start; they may overlap."""
    timed = (_cue(comment, to_ms(note.duration_us)) for comment in note.comments)
    return tuple(sorted(timed, key=lambda cue: (cue.start_ms, cue.number)))


def note_webvtt(note: Note) -> str:
    """Write a note's moments as WebVTT."""
    status = "draft" if note.is_draft else "signed"
    about = (note.signature_text, f"Watched: {watched_words(note.watched)}" if note.watched else "")
    blocks = [
        "WEBVTT",
        f"NOTE Critique note on case {_vtt_text(note.case)}, {status}, edition {note.edition}",
        *(f"NOTE {_vtt_text(sentence)}" for sentence in about if sentence),
        *(f"NOTE {_vtt_text(one_line(caution))}" for caution in note.cautions),
        *map(_vtt_block, cues(note)),
    ]
    return "\n\n".join(blocks) + "\n"


def note_srt(note: Note) -> str:
    """Write a note's moments as SubRip, with the line ends that every player takes."""
    return "".join(
        f"{cue.number}\r\n{_clock(cue.start_ms, ',')} --> {_clock(cue.end_ms, ',')}\r\n"
        f"{_srt_text(cue.lines)}\r\n\r\n"
        for cue in cues(note)
    )


def reading_ms(text: str) -> int:
    """Time in which a text is read, milliseconds."""
    return min(max(len(text) * 1000 // CHARACTERS_PER_S, SHORTEST_MS), LONGEST_MS)


def _cue(comment: NoteComment, case_ms: int) -> Cue:
    lines = tuple(_lines(comment))
    start_ms = to_ms(comment.start_us)
    if comment.end_us is not None:
        end_ms = to_ms(comment.end_us)
    else:
        end_ms = start_ms + reading_ms(" ".join(lines))
    if case_ms > start_ms:
        end_ms = min(end_ms, case_ms)
    return Cue(comment.number, start_ms, max(end_ms, start_ms + 1), lines)


def _lines(comment: NoteComment) -> Iterator[str]:
    """The leaning and event in words, then the text, on lines of which none is blank."""
    lead = ", ".join(part for part in (comment.leaning_words, comment.event) if part)
    first, *rest = [line for line in comment.text.split("\n") if line.strip()] or [""]
    yield f"{lead}: {first}" if lead and first else lead or first or "(no words)"
    yield from rest


def _vtt_block(cue: Cue) -> str:
    times = f"{_clock(cue.start_ms, '.')} --> {_clock(cue.end_ms, '.')}"
    return "\n".join([str(cue.number), times, *map(_vtt_text, cue.lines)])


def _vtt_text(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _srt_text(lines: tuple[str, ...]) -> str:
    """Keep players from taking a text for a time line, a cue number, a tag or an override."""
    kept: list[str] = []
    for line in lines:
        if len(_STAMP.findall(line)) > 1:  # two times on a line begin a cue for some players
            line = _STAMP.sub(lambda stamp: stamp[0].replace(":", "\u2236"), line)
        plain = _TAG.sub("\u2039\\1\u203a", line.replace("-->", "\u2192")).replace("{\\", "{ \\")
        if kept and plain.strip().isdecimal():
            kept[-1] = f"{kept[-1]} {plain.strip()}"
        else:
            kept.append(plain)
    return "\r\n".join(kept)


def _clock(total_ms: int, point: str) -> str:
    total, ms = divmod(total_ms, 1000)
    hours, rest = divmod(total, 3600)
    minutes, seconds = divmod(rest, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}{point}{ms:03d}"
