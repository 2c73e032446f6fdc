"""`note`: what is handed back."""

from __future__ import annotations

from pathlib import Path

import click

from app.cli.shared import Line, command, shown_work, whose_session
from app.handback.last_look import WITH_STILLS
from app.handback.prepare import note_for
from app.handback.write_note import check_target, write_note


@command("note")
@click.argument("case")
@click.option("--to", "target", required=True, type=click.Path(path_type=Path), metavar="FILE")
@whose_session
def note(line: Line, case: str, target: Path, reviewer: str | None, edition: int | None) -> None:
    kind = check_target(target)
    with line.opened() as store, shown_work("Writing the note") as work:
        found = store.case(case)
        session = store.find_session(
            found.id, reviewer, viewer=line.settings.reviewer, edition=edition
        )
        written = note_for(
            store,
            found,
            session,
            with_stills=kind in WITH_STILLS,
            work=work,
        )
        write_note(written, target)
    line.answer(
        {
            "case": found.code,
            "reviewer": session.reviewer.code,
            "file": target.name,
            "comments": len(written.comments),
        },
        f"The note on {found.code} is in {target.name}.",
    )
