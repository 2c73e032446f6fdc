"""`figures`: what the tags add up to."""

from __future__ import annotations

from typing import Any

import click

from annotate.markup import Markup
from app.cli.shared import Line, command, whose_session
from app.energy_words import energy_text
from app.figures_text import figures_text
from app.vocabulary.words import words_of
from app.watched_words import watched_for, watched_words
from metrics.document import figures_document
from metrics.energy import energy
from metrics.energy_document import energy_document
from metrics.from_tags import figures as figures_from_tags
from metrics.watched import watched_document


@command("figures")
@click.argument("case")
@whose_session
def figures(line: Line, case: str, reviewer: str | None, edition: int | None) -> None:
    me = line.settings.reviewer
    with line.opened() as store:
        found = store.case(case)
        is_asked = bool(reviewer or edition or store.sessions_seen_by(found.id, me))
        session = (
            store.find_session(found.id, reviewer, viewer=me, edition=edition) if is_asked else None
        )
        markup = store.markup(session.id) if session else Markup()
        vocabulary = words_of(store, found, session, markup)
        watched = watched_for(store, found, session) if session else None
    result = figures_from_tags(markup.tags, vocabulary)
    spent = energy(markup.settings, markup.tags)
    document: dict[str, Any] = {
        "case": found.code,
        "reviewer": session.reviewer.code if session else None,
        **figures_document(result),
        "energy": energy_document(spent),
        "watched": watched_document(watched) if watched else None,
    }
    text = [figures_text(result, vocabulary), energy_text(spent)]
    if watched:
        text.append(f"Watched    {watched_words(watched)}")
    line.answer(document, "\n\n".join(part for part in text if part))
