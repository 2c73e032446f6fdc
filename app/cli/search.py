"""`search`: words in the comments, tags and marks of all cases."""

from __future__ import annotations

from typing import Any

import click

from annotate.clock import format_time, seconds
from app.cli.shared import Line, command, printable
from app.searching.answers import MOST, Answer, Searching
from app.searching.answers import Line as FoundLine


@command("search")
@click.argument("words", nargs=-1, required=True)
@click.option("--limit", type=click.IntRange(1, 5000), default=MOST, help="At most so many.")
def search(line: Line, words: tuple[str, ...], limit: int) -> None:
    with line.opened() as store:
        answer = Searching(store, line.settings.reviewer).ask(" ".join(words), limit)
    line.answer(_document(answer), _text(answer))
    if answer.is_cut:
        line.remark(f"There is more; the newest {limit} are shown.")


def _text(answer: Answer) -> str:
    lines = [
        f"{code:<16} {format_time(found.found.start_us):>14}  {found.kind:<9} "
        f"{found.found.reviewer:<8} {printable(found.words)}"
        for code, places in answer.cases
        for found in places
    ]
    return "\n".join(lines) or "Nothing has these words."


def _document(answer: Answer) -> dict[str, Any]:
    return {
        "words": answer.query,
        "is_cut": answer.is_cut,
        "found": [_place(code, found) for code, places in answer.cases for found in places],
    }


def _place(code: str, line: FoundLine) -> dict[str, Any]:
    return {
        "case": code,
        "reviewer": line.found.reviewer,
        "at_s": seconds(line.found.start_us),
        "kind": line.kind,
        "code": line.found.code or None,
        "text": line.found.text,
    }
