"""A case whose clips are DICOM: it goes in, its frames come out, and nobody's name does."""

from __future__ import annotations

from pathlib import Path

import cv2
import pytest
from command_line import CommandLine
from dicom_clips import SECRETS, still, wrap
from known_clips import Known
from numbered_clips import read_number
from pypdf import PdfReader

NOTICE = "the patient is named inside"
NOTES = ("pdf", "html", "md", "vtt", "srt", "csv", "json")
ROWS = "kind,code,start,end,leaning,weight,comment\nevent,iris-touch,0.5,,,,too near\n"
WORDS = ("--operator", "R-07", "--case-number", 3, "--vocabulary", "phaco-divide-conquer")


def text_of(path: Path) -> bytes:
    """What a PDF shows and says of itself, which is packed in the file."""
    if path.suffix != ".pdf":
        return b""
    reader = PdfReader(path)
    return f"{reader.metadata} {[page.extract_text() for page in reader.pages]}".encode()


@pytest.fixture
def recording(even: Known, tmp_path: Path) -> Path:
    """A DICOM file without an ending, as archives write them."""
    path = tmp_path / "archive" / "IM000001"
    path.parent.mkdir()
    wrap(even.path, path, 3)
    return path


def test_a_dicom_case_is_taken_in_and_said_to_name_its_patient(
    line: CommandLine, recording: Path
) -> None:
    done = line.run("intake", recording, *WORDS)
    assert done.code == 0
    assert done.err.count(NOTICE) == 1
    assert not any(secret in done.out + done.err for secret in SECRETS)


def test_a_plain_case_is_not(line: CommandLine, even: Known) -> None:
    assert NOTICE not in line.run("intake", even.path, *WORDS).err


def test_frames_are_exact_from_the_file_and_from_the_case(
    line: CommandLine, recording: Path, out: Path
) -> None:
    line.run("intake", recording, *WORDS)
    for target in (recording, "R-07-003"):
        for number in (0, 17, 59):
            line.ask("frame", target, "--number", number, "--to", out / "x.png")
            assert read_number(cv2.imread(str(out / "x.png"))) == number


def test_no_store_and_no_export_holds_what_names_the_patient(
    line: CommandLine, recording: Path, out: Path, tmp_path: Path
) -> None:
    line.run("intake", recording, *WORDS)
    (tmp_path / "rows.csv").write_text(ROWS, encoding="utf-8")
    line.ask("tags", "R-07-003", "--from", tmp_path / "rows.csv")
    for kind in NOTES:
        line.ask("note", "R-07-003", "--to", out / f"note.{kind}")
    for kind in ("csv", "json", "vtt"):
        line.ask("tags", "R-07-003", "--to", out / f"tags.{kind}")
    line.ask("frame", "R-07-003", "--at", 1, "--to", out / "frame.png")
    written = [path for folder in (out, line.store.parent) for path in folder.rglob("*")]
    assert len(written) >= 12
    for path in written:
        if path.is_file():
            content = path.read_bytes() + text_of(path)
            assert not any(secret.encode() in content for secret in SECRETS), path.name


def test_a_dicom_still_is_refused_in_a_sentence(line: CommandLine, tmp_path: Path) -> None:
    still(tmp_path / "IM000002")
    said = line.refusal("intake", tmp_path / "IM000002", *WORDS)
    assert "without a video stream" in said
    assert not any(secret in said for secret in SECRETS)
