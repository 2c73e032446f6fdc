"""What is kept: the database, its migrations, edits and undo. Owns every SQL statement."""

from store.changes import CaseEdit, CaseRow, Changes, Drop, EditRecord, PartPlace, Put, SessionLine
from store.desk_store import Store, open_store

__all__ = [
    "CaseEdit",
    "CaseRow",
    "Changes",
    "Drop",
    "EditRecord",
    "PartPlace",
    "Put",
    "SessionLine",
    "Store",
    "open_store",
]
