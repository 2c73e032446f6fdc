"""What is kept: the database, its migrations, edits and undo. Owns every SQL statement."""

from store.changes import CaseEdit, CaseRow, Changes, Drop, EditRecord, PartPlace, Put, SessionLine
from store.desk_store import Store, open_store
from store.kept_vocabularies import KeptVocabulary
from store.search import Found

__all__ = [
    "CaseEdit",
    "CaseRow",
    "Changes",
    "Drop",
    "EditRecord",
    "Found",
    "KeptVocabulary",
    "PartPlace",
    "Put",
    "SessionLine",
    "Store",
    "open_store",
]
