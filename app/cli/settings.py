"""`settings`: a session's machine values from a file, or to one."""

from __future__ import annotations

from pathlib import Path

import click

from annotate.settingfile import read_settings, write_settings
from app.cli.shared import Line, command, from_or_to, refuse_withheld, whose_session
from app.review.adding_settings import add_settings, added_words, spans_words
from app.reviewers import reviewer_of


@command("settings")
@click.argument("case")
@from_or_to("machine values")
@whose_session
def settings(
    line: Line,
    case: str,
    source: Path | None,
    target: Path | None,
    reviewer: str | None,
    edition: int | None,
) -> None:
    with line.opened() as store:
        found = store.case(case)
        if source is not None:
            code = reviewer or line.settings.reviewer
            refuse_withheld(store, found.id, code, line.settings.reviewer)
            session = store.start_session(found.id, reviewer_of(found, code))
            rows = read_settings(source, session.id, found.length_us)
            added = add_settings(store, session.id, rows, by=code)
            line.answer(
                {
                    "case": found.code,
                    "reviewer": code,
                    "added": added.new,
                    "already_there": added.already_there,
                    "gave_way": added.gave_way,
                },
                f"Machine values added to the session of {code} on {found.code}: "
                f"{added_words(added)}",
            )
        elif target is not None:
            session = store.find_session(
                found.id, reviewer, viewer=line.settings.reviewer, edition=edition
            )
            kept = store.markup(session.id).settings
            write_settings(kept, target)
            line.answer(
                {"case": found.code, "reviewer": session.reviewer.code, "written": len(kept)},
                f"{spans_words(len(kept))} written to {target.name}.",
            )
