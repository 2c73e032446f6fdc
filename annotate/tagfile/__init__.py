"""Tag files: CSV, JSON and WebVTT, out and in."""

from annotate.tagfile.files import LARGEST_BYTES, read_rows, write_rows
from annotate.tagfile.rows import HEADER, RowKind, TagRow, markup_of, rows_of

__all__ = [
    "HEADER",
    "LARGEST_BYTES",
    "RowKind",
    "TagRow",
    "markup_of",
    "read_rows",
    "rows_of",
    "write_rows",
]
