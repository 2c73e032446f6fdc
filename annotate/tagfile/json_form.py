"""Tag files as JSON, by the schema in tags.schema.json. Times are seconds to the millisecond."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, NoReturn

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from annotate.clock import shown
from annotate.tagfile.checking import MOST_ROWS, Fault, RawRow
from annotate.tagfile.rows import TagRow, as_written, span_ms
from annotate.vocabulary import Vocabulary

FORMAT = "scrubline-tags"
VERSION = 1

_TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[\[\]{},\n]|[^\s"\[\]{},]+', re.DOTALL)
_OPENING, _CLOSING = ("[", "{"), ("]", "}")
_DEPTH_OF_ROWS = 2


def to_json(rows: Iterable[TagRow], vocabulary: Vocabulary) -> str:
    """Write rows as a JSON document, one row a line."""
    lines = ",\n".join("    " + json.dumps(_entry(r), ensure_ascii=False) for r in as_written(rows))
    head = {"format": FORMAT, "version": VERSION, "vocabulary": vocabulary.name}
    opening = json.dumps(head, indent=2, ensure_ascii=False).removesuffix("\n}")
    return f'{opening},\n  "tags": [' + (f"\n{lines}\n  ]\n}}\n" if lines else "]\n}\n")


def from_json(text: str) -> tuple[list[RawRow], list[Fault]]:
    """Read the entries of every row, and list those that the schema refuses."""
    document = _parsed(text)
    if isinstance(document, Fault):
        return [], [document]
    lines = _lines_of_rows(text)
    refused: dict[int | None, list[str]] = {}
    for refusal in schema().iter_errors(document):
        refused.setdefault(_ordinal(refusal), []).append(_wrong(refusal))
    faults = [
        Fault(1 if ordinal is None else lines.get(ordinal, 1), wrong)
        for ordinal, all_wrong in refused.items()
        for wrong in dict.fromkeys(all_wrong)
    ]
    if None in refused:
        return [], faults
    entries = enumerate(document["tags"])
    return [_raw(e, lines.get(n, 1)) for n, e in entries if n not in refused], faults


def _parsed(text: str) -> Any:
    """Parse the text, or say why it cannot be parsed, or need not be."""
    try:
        document = json.loads(text, parse_constant=_refuse_constant)
    except json.JSONDecodeError as error:
        return Fault(error.lineno, f"not valid JSON: {shown(error.msg, 80)}")
    except _NoNumberError as error:
        return Fault(_line_of(text, str(error)), f"{error} is no number that a tag file may hold")
    except RecursionError:
        return Fault(1, "values lie in one another too deeply")
    except ValueError:  # a whole number of thousands of digits
        return Fault(1, "a number has too many digits")
    rows = document.get("tags") if isinstance(document, dict) else None
    if isinstance(rows, list) and len(rows) > MOST_ROWS:
        return Fault(1, f"more than {MOST_ROWS:,} rows")
    return document


class _NoNumberError(ValueError):
    """NaN or an infinity stands where a number should."""


def _line_of(text: str, word: str) -> int:
    return text.count("\n", 0, text.find(word)) + 1


@cache
def schema() -> Draft202012Validator:
    """Validator of the published schema."""
    source = (files("annotate.tagfile") / "tags.schema.json").read_text(encoding="utf-8")
    return Draft202012Validator(json.loads(source))


def _entry(row: TagRow) -> dict[str, Any]:
    start_ms, end_ms = span_ms(row)
    return {
        "kind": row.kind.value,
        "code": row.code,
        "start": start_ms / 1000,
        "end": None if end_ms is None else end_ms / 1000,
        "leaning": None if row.leaning is None else row.leaning.value,
        "weight": row.weight,
        "comment": row.comment,
    }


def _raw(entry: Mapping[str, Any], line: int) -> RawRow:
    def cell(name: str) -> str:
        value = entry.get(name)
        return "" if value is None else str(value)

    weight = entry.get("weight")
    return RawRow(
        line=line,
        kind=cell("kind"),
        code=cell("code"),
        start=cell("start"),
        end=cell("end"),
        leaning=cell("leaning"),
        weight="" if weight is None else str(int(weight)),
        comment=cell("comment"),
    )


def _refuse_constant(name: str) -> NoReturn:
    raise _NoNumberError(name)


def _ordinal(refusal: ValidationError) -> int | None:
    path = list(refusal.absolute_path)
    return int(path[1]) if len(path) > 1 and path[0] == "tags" else None


def _wrong(refusal: ValidationError) -> str:
    """Say in our words what the schema refuses; the validator's would quote whole comments."""
    rule: Any = refusal.validator_value
    instance: Any = refusal.instance
    name = str(refusal.absolute_path[-1]) if refusal.absolute_path else "the document"
    name = "the row" if name.isdigit() else name
    found = _quoted(instance)
    match refusal.validator:
        case "required":
            return ", ".join(f"'{n}' is missing" for n in rule if n not in instance)
        case "additionalProperties":
            known = refusal.schema["properties"] if isinstance(refusal.schema, dict) else {}
            extra = [f"'{shown(n)}'" for n in instance if n not in known]
            return f"there is no entry {', '.join(extra[:5])}"
        case "maxLength":
            return f"{name} has over {rule:,} characters"
        case "enum" | "const":
            allowed = rule if isinstance(rule, list) else [rule]
            return f"{name} is {', '.join(json.dumps(a) for a in allowed)}, not {found}"
        case "oneOf":
            return f"{name} is seconds from 0 up or a time such as 0:01:14.800, not {found}"
        case _:
            return f"{name} must be of type {rule}, not {found}"


def _quoted(value: object) -> str:
    if isinstance(value, list | dict):
        return "a list" if isinstance(value, list) else "an object"
    return shown(json.dumps(value, ensure_ascii=False))


def _lines_of_rows(text: str) -> dict[int, int]:
    """Line on which each row begins: each element of the one array within the document."""
    lines: dict[int, int] = {}
    depth, line = 0, 1
    is_row_next = False
    for found in _TOKEN.finditer(text):
        token = found[0]
        if token == "\n":
            line += 1
            continue
        if is_row_next and token != "]":
            lines[len(lines)] = line
        is_row_next = False
        if token in _OPENING:
            depth += 1
        elif token in _CLOSING:
            depth -= 1
        if depth == _DEPTH_OF_ROWS and token in ("[", ","):
            is_row_next = True
    return lines
