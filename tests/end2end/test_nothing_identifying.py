"""What leaves the machine says nothing of the files and folders that it was made from."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import CommandLine
from known_clips import Known
from pypdf import PdfReader
from pypdf.generic import StreamObject

FOLDER, NAME = "theatre-two-bed-nine", "family-given-born-1931"
NOTES = ("pdf", "html", "md", "vtt", "srt", "csv", "json")
ROWS = """kind,code,start,end,leaning,weight,comment
phase,sculpt,0.2,1.5,,,
event,iris-touch,0.5,,,,too near
comment,,1,,correct,2,slower
"""


@pytest.fixture
def marked(line: CommandLine, even: Known, tmp_path: Path) -> Path:
    """A case whose clip lies under telling names; returns the clip."""
    clip = tmp_path / FOLDER / f"{NAME}.mp4"
    clip.parent.mkdir()
    clip.write_bytes(even.path.read_bytes())
    (tmp_path / FOLDER / f"{NAME}.csv").write_text(ROWS, encoding="utf-8")
    words = ("--operator", "R-07", "--case-number", 3, "--vocabulary", "phaco-divide-conquer")
    line.ask("intake", clip, *words)
    line.ask("tags", "R-07-003", "--from", tmp_path / FOLDER / f"{NAME}.csv")
    return clip


def contents(path: Path) -> bytes:
    """All that a file holds, a PDF's packed parts and metadata unpacked."""
    raw = path.read_bytes()
    if path.suffix != ".pdf":
        return raw
    reader = PdfReader(path)
    parts = [raw, str(reader.metadata).encode()]
    for number in range(1, len(reader.xref[0]) + 1):
        thing = reader.get_object(number)
        data = thing.get_data() if isinstance(thing, StreamObject) else b""
        parts += [str(thing).encode(), data if isinstance(data, bytes) else data.encode()]
    parts += [page.extract_text().encode() for page in reader.pages]
    return b"\n".join(parts)


@pytest.mark.parametrize("is_clip_there", [True, False], ids=["clip there", "clip gone"])
def test_no_note_or_tag_file_names_where_it_came_from(
    line: CommandLine, marked: Path, out: Path, is_clip_there: bool
) -> None:
    if not is_clip_there:
        marked.unlink()
    for kind in NOTES:
        line.ask("note", "R-07-003", "--to", out / f"note.{kind}")
    for kind in ("csv", "json", "vtt"):
        line.ask("tags", "R-07-003", "--to", out / f"tags.{kind}")
    written = {path.name: contents(path) for path in out.iterdir()}
    assert len(written) == 10
    for name, content in written.items():
        folded = content.lower()
        for telling in (NAME, FOLDER, str(marked.parent.parent), str(line.store)):
            assert telling.lower().encode() not in folded, (name, telling)
    assert b"too near" in written["note.pdf"]  # what is there is seen


def test_a_picture_holds_nothing_but_its_pixels(line: CommandLine, marked: Path, out: Path) -> None:
    line.ask("frame", "R-07-003", "--number", 3, "--to", out / "x.png")
    assert NAME.encode() not in (out / "x.png").read_bytes()


def test_figures_name_codes_alone(line: CommandLine, marked: Path) -> None:
    shown = line.run("--json", "figures", "R-07-003").out + line.run("figures", "R-07-003").out
    assert NAME not in shown
    assert FOLDER not in shown


def test_a_sentence_names_a_file_by_its_name_alone(line: CommandLine, marked: Path) -> None:
    marked.unlink()
    said = line.refusal("frame", "R-07-003", "--number", 3, "--to", marked.parent / "x.png")
    assert marked.name in said
    assert FOLDER not in said
