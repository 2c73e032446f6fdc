"""Rows of a session when the parts of their case move: each stays on its pictures."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from sqlalchemy import delete, insert, select
from sqlalchemy.orm import Session

from annotate.ids import RowId, SessionId, new_id
from annotate.marks import Calibration, Mark
from annotate.rearranging import Piece, Rearrangement, Span
from store.entries import write
from store.journal import RowChange
from store.models import RowPieceTable
from store.rows import KINDS, Image, RowKind, agrees, image_text, kind_of

_REFERENCES = {"mark_id": kind_of(Mark), "calibration_id": kind_of(Calibration)}
"""Columns in which a row names another, and of what kind that is."""

Places = dict[str, list[tuple[Span, str]]]
"""By id of a row before: the spans that it went into, with their ids."""


def move_rows(db: Session, session_id: SessionId, moves: Rearrangement) -> list[RowChange]:
    """Move every row of a session that has a time; returns what was changed.

    A span that is torn apart becomes several rows, of which the first keeps the id. The others
    are noted as pieces of it, and become one row again where they meet and still say the same.
    """
    origins = _origins(db, session_id)
    moved: dict[RowKind, _Moved] = {}
    for kind in KINDS:
        moved[kind] = _Moved(_images(db, kind, session_id), origins, moves)
    changes = []
    for kind, found in moved.items():
        after = {image["id"]: _pointed(image, moved) for image in found.after}
        for row_id in dict.fromkeys([*found.before, *after]):
            was, now = found.before.get(row_id), after.get(row_id)
            if not agrees(was, now):
                changes.append(RowChange(kind, row_id, was, now))
    write(db, changes)
    _note_pieces(db, session_id, moved.values())
    return changes


class _Moved:
    """The rows of one kind before and after.

    Attributes
    ----------
    before : dict
        Images by id.
    after : list of Image
    places : Places
    new_pieces : dict
        By id of a new row: the id of the row that it was torn off.
    """

    def __init__(
        self, images: Iterable[Image], origins: Mapping[str, str], moves: Rearrangement
    ) -> None:
        self.before = {str(image["id"]): image for image in images}
        self.after: list[Image] = []
        self.places: Places = defaultdict(list)
        self.new_pieces: dict[str, str] = {}
        self._moves = moves
        alike: dict[tuple[str, str | None], list[Image]] = defaultdict(list)
        for row_id, image in self.before.items():
            if image.get("end_us") is None or image["end_us"] <= image["start_us"]:
                self.after.append(self._at_one_moment(image))
            else:
                origin = origins.get(row_id, row_id)
                alike[origin, image_text(_content(image))].append(image)
        for (origin, _), group in alike.items():
            self._move_spans(origin, group)

    @property
    def gone(self) -> list[str]:
        """Ids of rows that became part of another."""
        kept = {image["id"] for image in self.after}
        return [row_id for row_id in self.before if row_id not in kept]

    def _at_one_moment(self, image: Image) -> Image:
        if "at_us" in image:
            return {**image, "at_us": self._moves.instant(image["at_us"])}
        if "start_us" not in image:
            return image
        start_us = self._moves.instant(image["start_us"])
        if image["end_us"] is None:
            return {**image, "start_us": start_us}
        return {
            **image,
            "start_us": start_us,
            "end_us": max(0, start_us + image["end_us"] - image["start_us"]),
        }

    def _move_spans(self, origin: str, group: Sequence[Image]) -> None:
        """Move rows that are pieces of one another, or one row that is whole."""
        pieces: list[tuple[Piece, tuple[int, Image]]] = []
        for image in sorted(group, key=lambda image: (image["start_us"], image["id"])):
            for piece in self._moves.pieces(image["start_us"], image["end_us"]):
                pieces.append((piece, (len(pieces), image)))
        found = self._moves.joined(pieces)
        used: set[str] = set()
        for span, sources in sorted(found, key=lambda pair: min(n for n, _ in pair[1])):
            ids = list(dict.fromkeys(str(image["id"]) for _, image in sources))
            ids.sort(key=lambda row_id: row_id != origin)
            row_id = next((row_id for row_id in ids if row_id not in used), None)
            if row_id is None:
                row_id = new_id()
                self.new_pieces[row_id] = origin
            used.add(row_id)
            image = self._anchored(sources[0][1])
            self.after.append({**image, "id": row_id, "start_us": span[0], "end_us": span[1]})
            for source in ids:
                self.places[source].append((span, row_id))

    def _anchored(self, image: Image) -> Image:
        """A mark whose anchors go with their pictures."""
        if image.get("anchors", "[]") == "[]":
            return image
        anchors = [[self._moves.instant(at_us), points] for at_us, points in _read(image)]
        return {**image, "anchors": json.dumps(sorted(anchors))}


def _read(mark: Image) -> list[tuple[int, list[list[float]]]]:
    return [(at_us, points) for at_us, points in json.loads(mark["anchors"])]


def _content(image: Image) -> Image:
    return {c: value for c, value in image.items() if c not in ("id", "start_us", "end_us")}


def _pointed(image: Image, moved: Mapping[RowKind, _Moved]) -> Image:
    """The image with what it names: that piece of it which lies where the row does."""
    for column, kind in _REFERENCES.items():
        named = image.get(column)
        places = moved[kind].places.get(named, []) if named is not None else []
        if places:
            start_us = int(image["start_us"] if "start_us" in image else image["at_us"])
            end_us = int(image.get("end_us") or start_us + 1)
            near = [row for (a, b), row in places if a < end_us and start_us < b]
            rest = [row for _, row in places]
            choice = near or rest
            return {**image, column: named if named in choice else choice[0]}
    return image


def _images(db: Session, kind: RowKind, session_id: SessionId) -> list[Image]:
    found = db.execute(kind.select().where(kind.table.c.session_id == session_id)).mappings()
    return [dict(row) for row in found]


def _origins(db: Session, session_id: SessionId) -> dict[str, str]:
    found = db.execute(
        select(RowPieceTable.row_id, RowPieceTable.origin_id).where(
            RowPieceTable.session_id == session_id
        )
    )
    return {row.row_id: row.origin_id for row in found}


def _note_pieces(db: Session, session_id: SessionId, moved: Iterable[_Moved]) -> None:
    for found in moved:
        if found.gone:
            db.execute(delete(RowPieceTable).where(RowPieceTable.row_id.in_(found.gone)))
        if found.new_pieces:
            db.execute(
                insert(RowPieceTable),
                [
                    {"row_id": RowId(row_id), "session_id": session_id, "origin_id": origin}
                    for row_id, origin in found.new_pieces.items()
                ],
            )
