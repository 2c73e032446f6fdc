"""Vocabularies read from TOML: those that are shipped, and those that a department writes."""

from __future__ import annotations

import hashlib
import re
import tomllib
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from annotate.clock import shown
from annotate.errors import UserFacingError
from annotate.folders import is_folder
from annotate.toml_lines import TomlLines
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_check import Fault, vocabulary_from

LARGEST_BYTES = 1_000_000
"""A vocabulary is a few kilobytes; a larger file is another file."""

_DO = "Mend the file in a text editor; the vocabulary was not loaded."
_AT_LINE = re.compile(r" ?\(at line (\d+), column \d+\)")


def load_vocabulary(path: Path) -> Vocabulary:
    """Read a vocabulary from a TOML file.

    Raises
    ------
    UserFacingError
        If the file cannot be read, is no TOML, or is no vocabulary: with its name, and for every
        fault its line and what is wrong.
    """
    return _parsed(_bytes_of(path), path.name)


@cache
def shipped_vocabulary(name: str) -> Vocabulary:
    """Return a vocabulary that comes with the program.

    Raises
    ------
    UserFacingError
        If none is called `name`.
    """
    if name not in shipped_names():
        raise UserFacingError(
            f"There is no vocabulary '{shown(name)}'.",
            f"Shipped are {', '.join(shipped_names())}; or give the path of a .toml file.",
        )
    return _parsed((_folder() / f"{name}.toml").read_bytes(), f"{name}.toml")


@cache
def shipped_names() -> tuple[str, ...]:
    """Names of the vocabularies that come with the program, in order of the alphabet."""
    found = (entry.name for entry in _folder().iterdir())
    return tuple(sorted(n.removesuffix(".toml") for n in found if n.endswith(".toml")))


def read_vocabulary(text: str, file_name: str) -> Vocabulary:
    """Read a vocabulary from the text of its file; raises as `load_vocabulary` does."""
    return _parsed(text.encode(), file_name)


def content_hash(text: str) -> str:
    """SHA-256 of a vocabulary's text, by which reviews name the edition they were made with."""
    return hashlib.sha256(text.encode()).hexdigest()


def vocabulary_named(name_or_path: str | Path) -> Vocabulary:
    """Return the shipped vocabulary of that name, else read the TOML file at that path.

    Raises
    ------
    UserFacingError
        If it is neither, or the file is no vocabulary.
    """
    text = str(name_or_path)
    if text not in shipped_names() and Path(text).suffix.lower() == ".toml":
        return load_vocabulary(Path(text))
    return shipped_vocabulary(text)


def _folder() -> Any:  # importlib's Traversable moves between modules from 3.11 to 3.14
    return files("annotate") / "vocabularies"


def _bytes_of(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        why = "is a folder" if is_folder(path) else (error.strerror or "cannot be read").lower()
        raise UserFacingError(
            f"The vocabulary {shown(path.name)} cannot be read: {why}.",
            "Give the path of a vocabulary in TOML.",
        ) from error
    if len(raw) > LARGEST_BYTES:
        raise UserFacingError(
            f"{shown(path.name)} is over 1 MB, which no vocabulary is.",
            "Give the path of a vocabulary in TOML.",
        )
    return raw


def _parsed(raw: bytes, file_name: str) -> Vocabulary:
    text = _decoded(raw, file_name)
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _refusal(file_name, [_syntax_fault(str(error), text)]) from error
    except (RecursionError, ValueError) as error:  # ValueError: a number of thousands of digits
        wrong = "a number is too long, or tables lie in one another too deeply"
        raise _refusal(file_name, [Fault(1, wrong)]) from error
    vocabulary, faults = vocabulary_from(document, TomlLines(text))
    if vocabulary is None:
        raise _refusal(file_name, faults)
    return vocabulary


def _decoded(raw: bytes, file_name: str) -> str:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        fault = Fault(line, "this is not UTF-8 text; save the file as UTF-8")
        raise _refusal(file_name, [fault]) from error
    return text.replace("\r\n", "\n")


def _syntax_fault(message: str, text: str) -> Fault:
    found = _AT_LINE.search(message)
    if found:
        return Fault(int(found[1]), "not valid TOML: " + shown(_AT_LINE.sub("", message), 120))
    line = text.rstrip("\n").count("\n") + 1
    wrong = message.replace(" (at end of document)", "") + ", at the end of the file"
    return Fault(line, "not valid TOML: " + shown(wrong, 120))


def _refusal(file_name: str, faults: list[Fault]) -> UserFacingError:
    listed = "; ".join(f"line {fault.line}: {fault.wrong}" for fault in sorted(faults))
    return UserFacingError(f"The vocabulary {shown(file_name)} is not usable: {listed}.", _DO)
