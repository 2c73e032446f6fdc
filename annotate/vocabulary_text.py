"""A vocabulary as the text of its file: the other way round of `annotate.vocabulary_file`."""

from __future__ import annotations

from typing import Any

import tomli_w

from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, SettingLimit, Vocabulary

Document = dict[str, Any]
KINDS = ("phase", "event", "idle")
"""Names of the tables of terms, in the order of a file."""


def vocabulary_text(vocabulary: Vocabulary) -> str:
    """Write a vocabulary as TOML; reading it yields the same, less what is retired."""
    return text_of(vocabulary_document(vocabulary))


def text_of(document: Document) -> str:
    """Write a document as TOML, each term a table of its own."""
    head = {name: value for name, value in document.items() if not isinstance(value, list)}
    parts = [tomli_w.dumps(head)]
    for kind in KINDS:
        for term in document[kind]:
            parts.append(_table(kind, {n: v for n, v in term.items() if n != "limit"}))
            parts += [_table(f"{kind}.limit", limit) for limit in term.get("limit", ())]
    return "\n".join(parts)


def _table(name: str, entries: Document) -> str:
    return f"[[{name}]]\n{tomli_w.dumps(entries)}"


def vocabulary_document(vocabulary: Vocabulary) -> Document:
    """Lay a vocabulary out in plain values, as its file has them."""
    retired = vocabulary.retired
    return {
        "name": vocabulary.name,
        "title": vocabulary.title,
        "version": vocabulary.version,
        "source": vocabulary.source,
        "phase": [_phase(term) for term in vocabulary.phases if term.code not in retired],
        "event": [_event(term) for term in vocabulary.events if term.code not in retired],
        "idle": [_idle(term) for term in vocabulary.idle_reasons if term.code not in retired],
    }


def _phase(term: PhaseTerm) -> Document:
    head = {"code": term.code, "label": term.label, "key": term.key, "good": term.good}
    return {**head, "limit": [_limit(limit) for limit in term.limits]} if term.limits else head


def _limit(limit: SettingLimit) -> Document:
    bounds = {"at_least": limit.at_least, "at_most": limit.at_most}
    return {
        "setting": limit.setting,
        "unit": limit.unit,
        **{name: bound for name, bound in bounds.items() if bound is not None},
        "source": limit.source,
    }


def _event(term: EventTerm) -> Document:
    return {
        "code": term.code,
        "label": term.label,
        "key": term.key,
        "leaning": term.leaning.value,
        "weight": term.weight,
        "good": term.good,
    }


def _idle(term: IdleTerm) -> Document:
    return {"code": term.code, "label": term.label, "key": term.key}
