"""`figures`: what the tags add up to."""

from __future__ import annotations

from typing import Any

import click

from annotate.markup import Markup
from app.cli.shared import Line, command
from app.energy_words import energy_text
from app.figures_text import figures_text
from app.vocabulary.words import words_of
from metrics.document import figures_document
from metrics.energy import energy
from metrics.energy_document import energy_document
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
    spent = energy(markup.settings, markup.tags)
    document: dict[str, Any] = {
        "case": found.code,
        "reviewer": session.reviewer.code if session else None,
        **figures_document(result),
        "energy": energy_document(spent),
    }
    text = [figures_text(result, vocabulary), energy_text(spent)]
    line.answer(document, "\n\n".join(part for part in text if part))
