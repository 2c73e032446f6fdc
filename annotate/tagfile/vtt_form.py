"""Tag files as WebVTT: phases as chapters, the rest as notes beside them.

A cue's identifier carries what a player does not show: ``number kind code leaning weight length``,
a dash where there is nothing, and as length ``span`` or ``instant``. Its text is the term's label
and, on further lines, the tag's comment; a comment's text is the comment. An instant is shown for
`INSTANT_MS` and comes back as an instant. An empty line, which would end the cue, is written
``&nbsp;``. In a file of another's making a cue that reads like a phase is that phase, and any
other cue is a comment.

References
----------
W3C, WebVTT: The Web Video Text Tracks Format, sections 4 (syntax) and 6 (parsing), from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from html import unescape

from webvtt import Caption, WebVTT

from annotate.clock import shown, to_ms
from annotate.tagfile.checking import MOST_ROWS, Fault, RawRow
from annotate.tagfile.rows import RowKind, TagRow, as_written, span_ms
from annotate.vocabulary import Vocabulary

INSTANT_MS = 2000
"""How long a player shows what happened at an instant."""

_BLANK = "&nbsp;"
_TIME = r"(?:(\d{2,4}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
_TIMINGS = re.compile(rf"[ \t]*{_TIME}[ \t]*-->[ \t]*{_TIME}(?:[ \t].*)?", re.ASCII)
_OURS = re.compile(
    r"\d+ (phase|event|idle|comment|hand-over) (\S+) (commend|correct|neutral|-) ([123-]) "
    r"(span|instant)",
    re.ASCII,
)
_MARKUP = re.compile(r"<[^>]*>?")
_NOT_CUES = re.compile(r"(?:NOTE|STYLE|REGION)(?:[ \t].*)?")


def to_vtt(rows: Iterable[TagRow], vocabulary: Vocabulary) -> str:
    """Write rows as WebVTT, cues in order of start."""
    timed = sorted(((span_ms(row), row) for row in as_written(rows)), key=lambda pair: pair[0][0])
    cues = [_cue(n, row, span, vocabulary) for n, (span, row) in enumerate(timed, start=1)]
    return str(WebVTT(captions=cues, header_text=f"Scrubline tags, {vocabulary.name}").content)


def from_vtt(text: str, vocabulary: Vocabulary) -> tuple[list[RawRow], list[Fault]]:
    """Read the cells of every cue, and list the blocks that are none."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if not re.fullmatch(r"WEBVTT(?:[ \t].*)?", lines[0]):
        return [], [Fault(1, f"a WebVTT file begins with WEBVTT, not '{shown(lines[0])}'")]
    rows: list[RawRow] = []
    faults: list[Fault] = []
    for line, block in _blocks(lines):
        found = _raw(line, block, vocabulary)
        if isinstance(found, RawRow):
            rows.append(found)
        elif found is not None:
            faults.append(found)
        if len(rows) > MOST_ROWS:
            return [], [Fault(line, f"more than {MOST_ROWS:,} cues")]
    return rows, faults


def vtt_time(time_us: int) -> str:
    """Write a time as HH:MM:SS.mmm, rounded half to even at the millisecond."""
    return _stamp(to_ms(time_us))


def escaped(text: str) -> str:
    """Write text so that no part of it is taken for markup or for the arrow of a cue."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def cue_text(text: str) -> str:
    """Escape a text of several lines, keeping its empty lines from ending the cue."""
    return "\n".join(escaped(line) or _BLANK for line in text.split("\n"))


def _stamp(total_ms: int) -> str:
    total, ms = divmod(total_ms, 1000)
    return f"{total // 3600:02d}:{total // 60 % 60:02d}:{total % 60:02d}.{ms:03d}"


def _cue(number: int, row: TagRow, span: tuple[int, int | None], vocabulary: Vocabulary) -> Caption:
    start_ms, end_ms = span
    said = [row.kind.value, row.code or "-", row.leaning.value if row.leaning else "-"]
    said += [str(row.weight or "-"), "instant" if end_ms is None else "span"]
    text = row.comment
    if row.kind is not RowKind.COMMENT:
        text = _title(row, vocabulary) + ("\n" + text if text else "")
    return Caption(
        _stamp(start_ms),
        _stamp(start_ms + INSTANT_MS if end_ms is None else end_ms),
        cue_text(text),
        identifier=" ".join([str(number), *said]),
    )


def _title(row: TagRow, vocabulary: Vocabulary) -> str:
    is_person = row.kind is RowKind.HAND_OVER
    return f"Hand-over: {row.code}" if is_person else vocabulary.label(row.code)


def _blocks(lines: list[str]) -> Iterator[tuple[int, list[str]]]:
    """Yield each block after the header, parted by empty lines, with the line it begins on.

    A line with an arrow that cannot belong to the block at hand begins the next one.
    """
    block: list[str] = []
    is_header = True
    for number, line in enumerate([*lines, ""], start=1):
        has_arrow = "-->" in line
        starts_anew = has_arrow and bool(block) and (len(block) > 1 or "-->" in block[0])
        if not line or starts_anew or (has_arrow and is_header):
            if block and not is_header:
                yield number - len(block), block
            block, is_header = [], False
        if line:
            block.append(line)


def _raw(line: int, block: list[str], vocabulary: Vocabulary) -> RawRow | Fault | None:
    if _NOT_CUES.fullmatch(block[0]):
        return None
    has_id = "-->" not in block[0]
    if len(block) <= has_id or "-->" not in block[has_id]:
        return Fault(line, f"'{shown(block[0])}' is neither a cue nor a note")
    times = _TIMINGS.fullmatch(block[has_id])
    if not times:
        return Fault(
            line + has_id, f"'{shown(block[has_id])}' is not written HH:MM:SS.mmm --> HH:MM:SS.mmm"
        )
    start, end = _clock_text(times.groups()[:4]), _clock_text(times.groups()[4:])
    payload = block[has_id + 1 :]
    ours = _OURS.fullmatch(block[0]) if has_id else None
    if ours:
        return _own_cue(line, ours, (start, end), payload)
    text = unescape(_MARKUP.sub("", "\n".join(payload))).strip()
    phase = _phase_called(text, vocabulary)
    if phase:
        return RawRow(line, RowKind.PHASE.value, phase, start, end)
    return RawRow(line, RowKind.COMMENT.value, "", start, end, comment=text)


def _own_cue(line: int, ours: re.Match[str], times: tuple[str, str], payload: list[str]) -> RawRow:
    kind, code, leaning, weight, length = ("" if cell == "-" else cell for cell in ours.groups())
    texts = ["" if text == _BLANK else unescape(text) for text in payload]
    return RawRow(
        line=line,
        kind=kind,
        code=code,
        start=times[0],
        end=times[1] if length == "span" else "",
        leaning=leaning,
        weight=weight,
        comment="\n".join(texts if kind == RowKind.COMMENT else texts[1:]),
    )


def _clock_text(parts: tuple[str | None, ...]) -> str:
    hours, minutes, secs, ms = parts
    return f"{hours or '0'}:{minutes}:{secs}.{ms}"


def _phase_called(text: str, vocabulary: Vocabulary) -> str:
    wanted = text.casefold()
    for phase in vocabulary.phases:
        if wanted in (phase.code.casefold(), phase.label.casefold()):
            return phase.code
    return ""
