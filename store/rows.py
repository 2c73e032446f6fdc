"""Between annotate's types and the tables of what a reviewer enters.

A row's image is a dict of plain JSON values under the type's field names; the same image fills the
table's columns and the journal.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from typing import Any, cast

from sqlalchemy import Select, Table, select

from annotate.errors import UserFacingError
from annotate.marks import Calibration, Mark, MarkKind, MarkLook, Measurement, Score, Setting
from annotate.markup import Row
from annotate.tags import Comment, Leaning, Tag, TagKind
from store.base import Base
from store.row_models import (
    CalibrationTable,
    CommentTable,
    MarkTable,
    MeasurementTable,
    ScoreTable,
    SettingTable,
    TagTable,
)

Image = dict[str, Any]


@dataclass(frozen=True, slots=True, eq=False)
class RowKind:
    """One of the kinds of row: its type, its table, and the columns that hold closed sets."""

    row_type: type[Row]
    model: type[Base]
    noun: str
    choices: Mapping[str, type[StrEnum]]

    @property
    def table(self) -> Table:
        """The table, for statements on many rows at once."""
        return cast("Table", self.model.__table__)

    @property
    def name(self) -> str:
        """Name of the table."""
        return self.table.name

    def select(self) -> Select[*tuple[Any, ...]]:
        """Statement that reads the columns of an image."""
        return select(*(self.table.c[f.name] for f in fields(self.row_type)))


_LEANING: dict[str, type[StrEnum]] = {"leaning": Leaning}
KINDS = (
    RowKind(Tag, TagTable, "tag", {"kind": TagKind, **_LEANING}),
    RowKind(Comment, CommentTable, "comment", _LEANING),
    RowKind(Mark, MarkTable, "mark", {"kind": MarkKind, "look": MarkLook}),
    RowKind(Calibration, CalibrationTable, "calibration", {}),
    RowKind(Measurement, MeasurementTable, "measurement", {}),
    RowKind(Score, ScoreTable, "score", {}),
    RowKind(Setting, SettingTable, "setting", {}),
)
_BY_TYPE = {kind.row_type: kind for kind in KINDS}
_BY_TABLE = {kind.name: kind for kind in KINDS}


def kind_of(row_type: type[Row]) -> RowKind:
    """Find the kind of a type."""
    return _BY_TYPE[row_type]


def kind_of_table(table: str) -> RowKind:
    """Find the kind of a table by name."""
    return _BY_TABLE[table]


def image_of(row: Row) -> Image:
    """Image of a value.

    Raises
    ------
    UserFacingError
        If a text holds a character that no database keeps.
    ValueError
        If a number is not finite.
    """
    kind = kind_of(type(row))
    image = {f.name: _plain(getattr(row, f.name)) for f in fields(kind.row_type)}
    json.dumps(image, allow_nan=False)  # a figure that is no number never reaches the store
    return image


def value_of(kind: RowKind, image: Mapping[str, Any]) -> Row:
    """Value of an image."""
    content = dict(image)
    for column, choice in kind.choices.items():
        if content.get(column) is not None:
            content[column] = choice(content[column])
    if "points" in content:
        content["points"] = _points(json.loads(content["points"]))
    if "anchors" in content:
        content["anchors"] = tuple((us, _points(p)) for us, p in json.loads(content["anchors"]))
    return kind.row_type(**content)


def image_text(image: Image | None) -> str | None:
    """JSON of an image, the same text for the same image."""
    if image is None:
        return None
    return json.dumps(image, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def image_from(text: str | None) -> Image | None:
    """Image from its JSON."""
    return None if text is None else dict(json.loads(text))


def agrees(now: Image | None, then: Image | None) -> bool:
    """Whether a row is still as an image says; columns that came later are left out of it."""
    if now is None or then is None:
        return now is then
    return all(now.get(column) == value for column, value in then.items())


def checked_text(text: str) -> str:
    """Refuse half characters and the zero character: not every database can keep them."""
    if "\0" in text or any("\ud800" <= letter <= "\udfff" for letter in text):
        raise UserFacingError(
            "The text holds a character that cannot be kept.", "Type it again without pasting."
        )
    return text


def _plain(value: object) -> object:
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, str):
        return checked_text(value)
    if isinstance(value, tuple):
        return json.dumps(_lists(value), allow_nan=False)
    return value


def _lists(value: object) -> object:
    """Nested tuples as lists; points are floats whatever they were given as, times stay whole."""
    if not isinstance(value, tuple):
        return value
    if len(value) == 2 and not any(isinstance(part, tuple) for part in value):
        return [float(value[0]), float(value[1])]
    return [_lists(part) for part in value]


def _points(pairs: list[list[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((x, y) for x, y in pairs)
