"""Reading and writing tag files, by the ending of their names. Reading is all or nothing."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from annotate.clock import shown
from annotate.errors import UserFacingError
from annotate.folders import is_folder
from annotate.tagfile.checking import Fault, RawRow, Rules
from annotate.tagfile.csv_form import from_csv, to_csv
from annotate.tagfile.json_form import from_json, to_json
from annotate.tagfile.rows import TagRow
from annotate.tagfile.vtt_form import from_vtt, to_vtt
from annotate.vocabulary import Vocabulary

LARGEST_BYTES = 20_000_000
MOST_EXPLAINED = 100
"""Bad rows beyond these are listed by their line alone."""

_ENDINGS = (".csv", ".json", ".vtt")
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")
NOTHING_KEPT = "Nothing was taken from it; mend the file and read it again."


def read_rows(
    path: Path, vocabulary: Vocabulary, length_us: int | None = None
) -> tuple[TagRow, ...]:
    """Read a tag file: every row, or none.

    Parameters
    ----------
    path : Path
        Its ending says what it is: .csv, .json or .vtt.
    vocabulary : Vocabulary
        Holds the codes that rows may have.
    length_us : int, optional
        Length of the case; a time may lie 1 ms beyond it, for rounding, and is set to it.

    Returns
    -------
    tuple of TagRow
        In the order of the file; empty where the file holds a header alone.

    Raises
    ------
    UserFacingError
        If the file cannot be read, or for bad rows: all of them, each with its line.
    """
    ending = _ending(path)
    text = text_of(path)
    raw_rows, faults = _parsed(text, ending, vocabulary)
    rules = Rules(vocabulary, length_us)
    rows: list[TagRow] = []
    for raw in raw_rows:
        made = rules.row_of(raw)
        if isinstance(made, TagRow):
            rows.append(made)
        else:
            faults.extend(made)
    if faults:
        raise UserFacingError(listed(path.name, faults), NOTHING_KEPT)
    return tuple(rows)


def write_rows(rows: Iterable[TagRow], path: Path, vocabulary: Vocabulary) -> None:
    """Write a tag file, whole or not at all.

    Raises
    ------
    UserFacingError
        If the ending is not .csv, .json or .vtt, or the file cannot be written.
    """
    ending = _ending(path)
    if ending == ".csv":
        text = to_csv(rows)
    elif ending == ".json":
        text = to_json(rows, vocabulary)
    else:
        text = to_vtt(rows, vocabulary)
    write_whole(text, path)


def write_whole(text: str, path: Path) -> None:
    """Write a text file whole or not at all.

    Raises
    ------
    UserFacingError
        If it cannot be written.
    """
    part = path.with_name(path.name + ".part")
    try:
        part.write_bytes(text.encode("utf-8"))
        part.replace(path)
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise UserFacingError(
            f"{shown(path.name)} cannot be written: {_why(path, error)}.",
            "Choose another place; what stood there before is untouched.",
        ) from error


def _ending(path: Path) -> str:
    ending = path.suffix.lower()
    if ending not in _ENDINGS:
        raise UserFacingError(
            f"{shown(path.name)} is no tag file by its name.",
            f"Tag files end in {', '.join(_ENDINGS)}.",
        )
    return ending


def text_of(path: Path, what: str = "tag file") -> str:
    """Read all of a small text file; see `read_rows` for what is refused."""
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise UserFacingError(
            f"{shown(path.name)} cannot be read: {_why(path, error)}.", f"Choose a {what}."
        ) from error
    if len(raw) > LARGEST_BYTES:
        raise UserFacingError(
            f"{shown(path.name)} is over {LARGEST_BYTES // 1_000_000} MB, which no {what} is.",
            "Nothing was taken from it; look whether a comment holds a pasted file.",
        )
    if not raw.strip():
        raise UserFacingError(f"{shown(path.name)} is empty.", f"Choose a {what}.")
    if raw.startswith(_UTF16_MARKS):
        raise UserFacingError(f"{shown(path.name)} is UTF-16 text.", "Save it as UTF-8 text.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise UserFacingError(
            f"{shown(path.name)} is not UTF-8 text: line {line} holds something else.",
            "Save it as UTF-8 text.",
        ) from error


def _why(path: Path, error: OSError) -> str:
    return "it is a folder" if is_folder(path) else (error.strerror or "unknown reason").lower()


def _parsed(text: str, ending: str, vocabulary: Vocabulary) -> tuple[list[RawRow], list[Fault]]:
    if ending == ".csv":
        return from_csv(text)
    return from_json(text) if ending == ".json" else from_vtt(text, vocabulary)


def listed(name: str, faults: list[Fault]) -> str:
    """Put every bad line into one sentence."""
    by_line: dict[int, list[str]] = {}
    for fault in sorted(faults):
        by_line.setdefault(fault.line, []).append(fault.wrong)
    lines = list(by_line)
    said = [f"line {n}: {', and '.join(by_line[n])}" for n in lines[:MOST_EXPLAINED]]
    if lines[MOST_EXPLAINED:]:
        said.append("also wrong are lines " + ", ".join(map(str, lines[MOST_EXPLAINED:])))
    count = f"{len(lines)} bad row" + ("s" if len(lines) > 1 else "")
    return f"{shown(name)} has {count}: {'; '.join(said)}."
