"""`parts`: a case's parts listed, moved, offset and added from the command line."""

from __future__ import annotations

from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest
from command_line import CommandLine
from jsonschema import Draft202012Validator
from numbered_clips import make_clip

from app.main import main

COUNT, NUMBER = {"type": "integer", "minimum": 0}, {"type": "number", "minimum": 0}
TEXT = {"type": "string", "minLength": 1}


def exactly(**keys: Any) -> dict[str, Any]:
    return {
        "type": "object", "properties": keys, "required": list(keys), "additionalProperties": False,
    }  # fmt: skip


def each(item: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": item}


FOUND = exactly(
    kind={"enum": ["continues", "gap", "overlap", "jump", "clock starts again", "unknown"]},
    offset_s={"type": ["number", "null"]}, words=TEXT, evidence=each(TEXT),
)  # fmt: skip
PART = exactly(
    part=COUNT, file=TEXT, is_there={"type": "boolean"}, frames=COUNT, duration_s=NUMBER,
    start_s=NUMBER, offset_s={"type": "number"}, width=COUNT, height=COUNT, fps_mean=NUMBER,
    codec=TEXT, found={"anyOf": [{"type": "null"}, FOUND]},
)  # fmt: skip
PARTS = exactly(case=TEXT, duration_s=NUMBER, parts=each(PART))


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("recorder")
    paths = [folder / f"part{n}.mp4" for n in (1, 2, 3)]
    for path, first in zip(paths, (0, 48, 108), strict=True):
        make_clip(path, n_frames=60, first_number=first, width=192, height=144)
    return paths


@pytest.fixture(scope="module")
def parted_store(tmp_path_factory: pytest.TempPathFactory, recorded: list[Path]) -> Path:
    """A store with a case of two of the parts, whose join was looked at."""
    store = tmp_path_factory.mktemp("parted") / "desk.sqlite"
    words = ("--operator", "R-07", "--case-number", "9", "--vocabulary", "sics")
    assert main(["--store", str(store), "intake", *map(str, recorded[:2]), *words]) == 0
    assert main(["--store", str(store), "parts", "R-07-009"]) == 0
    return store


@pytest.fixture
def recording(recorded: list[Path], line: CommandLine, parted_store: Path) -> list[Path]:
    line.store.parent.mkdir()
    copyfile(parted_store, line.store)
    return recorded


@pytest.fixture
def case(recording: list[Path]) -> str:
    return "R-07-009"


def test_what_was_found_is_told_and_taken(line: CommandLine, case: str) -> None:
    told = line.ask("parts", case)
    assert not list(Draft202012Validator(PARTS).iter_errors(told))
    first, second = told["parts"]
    assert first["found"] is None
    assert (second["found"]["kind"], second["found"]["offset_s"]) == ("overlap", -0.4)
    assert (second["start_s"], second["offset_s"], told["duration_s"]) == (2.0, 0.0, 4.0)
    taken = line.ask("parts", case, "--take-found")
    assert (taken["parts"][1]["offset_s"], taken["duration_s"]) == (-0.4, 3.6)
    assert line.ask("parts", case) == taken
    assert "12 frames come twice." in line.run("parts", case).out


def test_parts_are_moved_offset_and_added(
    line: CommandLine, case: str, recording: list[Path], out: Path
) -> None:
    told = line.ask("parts", case, "--order", "2,1", "--offset", "1=0:01.500")
    assert [p["file"] for p in told["parts"]] == ["part2.mp4", "part1.mp4"]
    assert [p["start_s"] for p in told["parts"]] == [0.0, 3.5]
    added = line.ask("parts", case, "--add", recording[2])
    assert [p["file"] for p in added["parts"]] == ["part2.mp4", "part1.mp4", "part3.mp4"]
    assert added["duration_s"] == 7.5
    frame = line.ask("frame", case, "--at", 3.4, "--to", out / "gap.png")
    assert (frame["number"], frame["clip"]) == (59, "part2.mp4")
    frame = line.ask("frame", case, "--at", 3.5, "--to", out / "after.png")
    assert (frame["number"], frame["clip"]) == (60, "part1.mp4")


def test_a_part_that_is_away_is_told_and_the_others_are_read(
    line: CommandLine, case: str, recording: list[Path], out: Path
) -> None:
    away = recording[0].rename(recording[0].with_name("elsewhere.mov"))
    try:
        told = line.ask("parts", case)
        assert [p["is_there"] for p in told["parts"]] == [False, True]
        assert line.ask("frame", case, "--number", 70, "--to", out / "f.png")["clip"] == "part2.mp4"
        assert "part1.mp4" in line.refusal("frame", case, "--number", 5, "--to", out / "f.png")
    finally:
        away.rename(recording[0])


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--order", "1"), "is no order of 2 parts"),
        (("--order", "1,1"), "is no order of 2 parts"),
        (("--offset", "3=1"), "is no offset"),
        (("--offset", "2"), "is no offset"),
        (("--offset", "2=soon"), "is not a time"),
        (("--offset", "1=2"), "takes no offset"),
        (("--offset", "2=-60f"), "cannot overlap"),
        (("--add", "nowhere.mp4"), "nowhere.mp4"),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(
    words: tuple[str, ...], sentence: str, line: CommandLine, case: str
) -> None:
    with line.unchanged():
        assert sentence in line.refusal("parts", case, *words)
