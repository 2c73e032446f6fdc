"""A note into a file, whole or not at all, in the format that the file's name asks for."""

from __future__ import annotations

import errno
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

from annotate.clock import shown
from annotate.errors import UserFacingError
from annotate.folders import is_folder
from app.handback.note import Note
from app.handback.note_csv import note_csv
from app.handback.note_html import note_html
from app.handback.note_json import note_json
from app.handback.note_markdown import note_markdown
from app.handback.note_pdf import note_pdf
from app.handback.subtitles import note_srt, note_webvtt
from app.handback.wording import listed


def _text(writer: Callable[[Note], str], encoding: str = "utf-8") -> Callable[[Note], bytes]:
    return lambda note: writer(note).encode(encoding)


WRITERS: Mapping[str, Callable[[Note], bytes]] = MappingProxyType(
    {
        "pdf": note_pdf,
        "html": _text(note_html),
        "md": _text(note_markdown),
        "vtt": _text(note_webvtt),
        "srt": _text(note_srt),
        "csv": _text(note_csv, "utf-8-sig"),  # spreadsheets tell UTF-8 by its mark
        "json": _text(note_json),
    }
)
"""What writes each kind of file; the kind is the end of the file's name."""


def check_target(path: Path) -> str:
    """Tell the kind of note that a file's name asks for.

    Raises
    ------
    UserFacingError
        If the kind is not known, or there is a folder of that name.
    """
    kind = path.suffix.lower().removeprefix(".")
    name = shown(path.name, 80)
    if kind not in WRITERS:
        known = listed([f".{kind}" for kind in WRITERS])
        raise UserFacingError(
            f"'{name}' does not say what kind of note to write.",
            f"End its name in one of {known}.",
        )
    if is_folder(path):
        raise UserFacingError(f"'{name}' is a folder.", f"Name a file that ends in .{kind}.")
    return kind


def write_note(note: Note, path: Path) -> None:
    """Write a note; a file of that name is replaced once the new one is complete.

    Raises
    ------
    UserFacingError
        As `check_target`, or if the folder cannot be written or the disk is full.
    """
    content = WRITERS[check_target(path)](note)
    part = path.with_name(f"{path.name}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(content)
        part.replace(path)
    except OSError as fault:
        _let_go(part)
        raise _refusal(path, fault) from fault


def _let_go(part: Path) -> None:
    try:
        part.unlink(missing_ok=True)
    except OSError:
        return  # nothing was made there, or the folder cannot be reached


def _refusal(path: Path, fault: OSError) -> UserFacingError:
    if fault.errno == errno.ENOSPC:
        why, do = "the disk is full", "Make room, or choose another disk."
    elif fault.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        why, do = "the folder may not be written to", "Choose another folder."
    else:
        why, do = (fault.strerror or "the disk refused").lower(), "Choose another folder."
    return UserFacingError(
        f"'{shown(path.name, 80)}' could not be written: {why}.",
        f"{do} What you entered is safe.",
    )
