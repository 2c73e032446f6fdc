"""`tags`: a session's tags from a file, or to one."""

from __future__ import annotations

from pathlib import Path

import click

from annotate.tagfile import read_rows, rows_of, write_rows
from app.cli.shared import Line, command, from_or_to, refuse_withheld, whose_session
from app.review.adding_tags import add_rows
from app.reviewers import reviewer_of
from app.vocabulary.own import vocabulary_today
from app.vocabulary.words import keep_words, words_of


@command("tags")
@click.argument("case")
@from_or_to("tags")
@click.option("--overlaps", type=click.Choice(["keep", "yield"]), default="keep")
@whose_session
def tags(
    line: Line,
    case: str,
    source: Path | None,
    target: Path | None,
    reviewer: str | None,
    edition: int | None,
    overlaps: str,
) -> None:
    with line.opened() as store:
        found = store.case(case)
        if source is not None:
            code = reviewer or line.settings.reviewer
            refuse_withheld(store, found.id, code, line.settings.reviewer)
            begun = next((s for s in store.sessions(found.id) if s.reviewer.code == code), None)
            words = words_of(store, found, begun)
            rows = read_rows(source, words, found.length_us)
            words_hash = keep_words(store, vocabulary_today(found.vocabulary))
            session = store.start_session(found.id, reviewer_of(found, code), words_hash)
            added = add_rows(store, session, rows, by=code, yields=overlaps == "yield")
            told = added.rows_told(words)
            line.answer(
                {
                    "case": found.code,
                    "reviewer": code,
                    "added": added.n_added,
                    "already_there": added.n_there,
                    "left_out": added.n_left_out,
                    "met": list(told),
                },
                f"Session of {code} on {found.code}: {added.words}",
            )
            if not line.is_json:
                line.remark(*told)
        elif target is not None:
            session = store.find_session(
                found.id, reviewer, viewer=line.settings.reviewer, edition=edition
            )
            written = rows_of(store.markup(session.id))
            write_rows(written, target, words_of(store, found, session))
            line.answer(
                {"case": found.code, "reviewer": session.reviewer.code, "written": len(written)},
                f"{len(written)} tags written to {target.name}.",
            )
