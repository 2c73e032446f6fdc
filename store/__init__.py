"""What is kept: the database, its migrations, edits and undo. Owns every SQL statement."""

from store.changes import CaseRow, Changes, Drop, EditRecord, Put, SessionLine
from store.desk_store import Store, open_store

__all__ = [
    "CaseRow",
    "Changes",
    "Drop",
    "EditRecord",
    "Put",
    "SessionLine",
    "Store",
    "open_store",
]
