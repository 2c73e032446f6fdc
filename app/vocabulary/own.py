"""Vocabularies by name: one's own from a folder of this desk, before those that are shipped."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from annotate.clock import shown
from annotate.errors import UserFacingError
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_file import load_vocabulary, shipped_names, vocabulary_named
from annotate.vocabulary_text import vocabulary_text
from app.places import vocabularies_folder

_CHOSEN: list[Path] = []
_NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*", re.ASCII)


@contextmanager
def vocabularies_in(folder: Path) -> Iterator[None]:
    """Have one's own vocabularies in another folder for a while: a demo leaves the real alone."""
    _CHOSEN.append(folder)
    try:
        yield
    finally:
        _CHOSEN.pop()


def _folder() -> Path:
    return _CHOSEN[-1] if _CHOSEN else vocabularies_folder()


def own_names() -> tuple[str, ...]:
    """Names of the vocabularies in one's own folder, in order of the alphabet."""
    try:
        found = [path.stem for path in _folder().glob("*.toml")]
    except OSError:
        return ()
    return tuple(sorted(name for name in found if _NAME.fullmatch(name)))


def names() -> tuple[str, ...]:
    """Names of all vocabularies that a case may take, in order of the alphabet."""
    return tuple(sorted({*shipped_names(), *own_names()}))


def titles() -> dict[str, str]:
    """Names and titles of all vocabularies that can be read."""
    found = {}
    for name in names():
        with suppress(UserFacingError):
            found[name] = vocabulary_today(name).title
    return found


def is_name(text: str) -> bool:
    """Whether a vocabulary is called that; a path, or what could lead out of a folder, is none."""
    return text in shipped_names() or _own_file(text) is not None


def vocabulary_today(name_or_path: str | Path) -> Vocabulary:
    """Return one's own vocabulary of that name, else the shipped one, else read the file there.

    Raises
    ------
    UserFacingError
        If there is none, or the file is no vocabulary.
    """
    own = _own_file(str(name_or_path))
    if own is None:
        return vocabulary_named(name_or_path)
    found = load_vocabulary(own)
    if found.name != own.stem:
        raise UserFacingError(
            f"The vocabulary {own.name} calls itself '{shown(found.name)}'.",
            f'Write name = "{own.stem}" in it, or give the file the other name.',
        )
    return found


def file_to_write(name_or_path: str) -> Path:
    """Where a changed vocabulary goes: its own file where it was named by one, else one's folder.

    Raises
    ------
    UserFacingError
        If the name could lead out of the folder.
    """
    if Path(name_or_path).suffix.lower() == ".toml":
        return Path(name_or_path)
    if not _NAME.fullmatch(name_or_path) or len(name_or_path) > 40:
        raise UserFacingError(
            f"'{shown(name_or_path)}' cannot be the name of a vocabulary.",
            "Take small letters, digits and dashes, up to 40.",
        )
    return _folder() / f"{name_or_path}.toml"


def write_vocabulary(vocabulary: Vocabulary, target: Path) -> None:
    """Write a vocabulary whole, or leave what is there.

    Raises
    ------
    UserFacingError
        If the file cannot be written.
    """
    part = target.with_suffix(".part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(vocabulary_text(vocabulary), encoding="utf-8", newline="\n")
        part.replace(target)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise UserFacingError(
            f"The vocabulary could not be kept: {(error.strerror or 'no room').lower()}.",
            "It is as it was before; your changes are still here.",
        ) from error


def _own_file(name: str) -> Path | None:
    if not _NAME.fullmatch(name):
        return None
    path = _folder() / f"{name}.toml"
    return path if path.is_file() else None
