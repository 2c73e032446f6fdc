"""`figures`: what the tags add up to."""

from __future__ import annotations

from typing import Any

import click

from annotate.markup import Markup
from app.cli.shared import Line, command
from app.figures_text import figures_text
from app.vocabulary.words import words_of
from metrics.document import figures_document
from metrics.from_tags import figures as figures_from_tags


@command("figures")
@click.argument("case")
@click.option("--reviewer", metavar="CODE", help="Whose session.")
def figures(line: Line, case: str, reviewer: str | None) -> None:
    with line.opened() as store:
        found = store.case(case)
        is_reviewed = bool(reviewer or store.sessions(found.id))
        session = store.find_session(found.id, reviewer) if is_reviewed else None
        markup = store.markup(session.id) if session else Markup()
        vocabulary = words_of(store, found, session, markup)
    result = figures_from_tags(markup.tags, vocabulary)
    document: dict[str, Any] = {
        "case": found.code,
        "reviewer": session.reviewer.code if session else None,
        **figures_document(result),
    }
    line.answer(document, figures_text(result, vocabulary))
