"""A note in a file: whole or not at all."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from note_scenes import scene_note

from annotate.errors import UserFacingError
from app.handback.write_note import WRITERS, check_target, write_note

NOTE = scene_note()


@pytest.mark.parametrize("kind", sorted(WRITERS))
def test_each_kind_is_written_by_the_end_of_its_name(kind: str, tmp_path: Path) -> None:
    target = tmp_path / f"note.{kind.upper()}"
    write_note(NOTE, target)
    assert target.read_bytes() == WRITERS[kind](NOTE)
    assert [p.name for p in tmp_path.iterdir()] == [target.name]


def test_kinds_are_those_promised() -> None:
    assert set(WRITERS) == {"pdf", "html", "md", "vtt", "srt", "csv", "json"}


@pytest.mark.parametrize("name", ["note.docx", "note", ".pdf", "note.pdf.part"])
def test_unknown_kind_is_refused_naming_the_known_ones(name: str, tmp_path: Path) -> None:
    with pytest.raises(UserFacingError) as refusal:
        write_note(NOTE, tmp_path / name)
    assert "pdf" in refusal.value.do
    assert ".srt" in refusal.value.do
    assert name in refusal.value.what
    assert list(tmp_path.iterdir()) == []


def test_a_folder_of_that_name_is_refused(tmp_path: Path) -> None:
    (tmp_path / "note.pdf").mkdir()
    with pytest.raises(UserFacingError, match="is a folder"):
        check_target(tmp_path / "note.pdf")


def test_an_older_note_is_replaced(tmp_path: Path) -> None:
    target = tmp_path / "note.md"
    target.write_text("old")
    write_note(NOTE, target)
    assert target.read_text(encoding="utf-8").startswith("# Critique note")


def test_a_file_where_a_folder_is_meant_gets_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("")
    with pytest.raises(UserFacingError, match=r"note\.md"):
        write_note(NOTE, tmp_path / "taken" / "note.md")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a full device")
def test_full_disk_gets_a_sentence_and_leaves_the_old_note(tmp_path: Path) -> None:
    target = tmp_path / "note.csv"
    target.write_text("old")
    (tmp_path / "note.csv.part").symlink_to("/dev/full")
    with pytest.raises(UserFacingError, match="the disk is full"):
        write_note(NOTE, target)
    assert target.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["note.csv"]


@pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() == 0, reason="root may write everywhere"
)
def test_folder_without_permission_gets_a_sentence(tmp_path: Path) -> None:
    folder = tmp_path / "closed"
    folder.mkdir(mode=0o500)
    with pytest.raises(UserFacingError, match="may not be written to"):
        write_note(NOTE, folder / "note.md")
