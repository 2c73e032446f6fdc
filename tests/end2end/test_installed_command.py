"""The installed `scrubline` as a process of its own: what it prints where, and what it loads."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest
from command_line import CommandLine, Outcome, refusal_of
from known_clips import Known

SCRIPT = shutil.which("scrubline", path=str(Path(sys.executable).parent))
LOADED = (
    "import json, sys\n"
    "from app.main import main\n"
    "code = main(sys.argv[1:])\n"
    "print(json.dumps([code, sorted(sys.modules)]), file=sys.stderr)\n"
)


def started(*words: object, **changes: str) -> Outcome:
    assert SCRIPT, "scrubline is not installed beside this Python"
    ran = subprocess.run(
        [SCRIPT, *map(str, words)],
        env={**os.environ, **changes}, capture_output=True, encoding="utf-8",
        errors="backslashreplace", timeout=60,
    )  # fmt: skip
    return Outcome(ran.returncode, ran.stdout, ran.stderr)


def modules_of(*words: object) -> set[str]:
    """What a command has loaded when it ends."""
    ran = subprocess.run(
        [sys.executable, "-c", LOADED, *map(str, words)],
        cwd=Path(__file__).parents[2], capture_output=True, encoding="utf-8", timeout=60,
    )  # fmt: skip
    code, modules = json.loads(ran.stderr.splitlines()[-1])
    assert code == 0, ran
    return {name.partition(".")[0] for name in modules}


def test_the_script_answers_and_refuses_like_the_function(line: CommandLine, case: str) -> None:
    told = started("--store", line.store, "--json", "caseload")
    assert told == line.run("--json", "caseload")
    assert json.loads(told.out)["cases"][0]["case"] == case
    said = started("--store", line.store, "figures", "R-99")
    assert refusal_of(said) == line.refusal("figures", "R-99")


def test_one_json_document_is_printed_beside_a_bar(
    line: CommandLine, first: Known, out: Path
) -> None:
    pty = pytest.importorskip("pty", reason="this system has no pseudo-terminals")
    words = ("intake", first.path, "--operator", "R-1", "--case-number", 1, "--vocabulary", "sics")
    assert SCRIPT
    ours, theirs = pty.openpty()
    ran = subprocess.run(
        [SCRIPT, "--store", str(line.store), "--json", *map(str, words)],
        stdout=subprocess.PIPE, stderr=theirs, timeout=60,
    )  # fmt: skip
    os.close(theirs)
    drawn = os.read(ours, 10_000)
    os.close(ours)
    assert ran.returncode == 0
    assert json.loads(ran.stdout)["case"] == "R-1-001"
    assert drawn.endswith(b"\r")  # the bar was on the terminal, and is gone again


def test_no_version_or_help_loads_the_store_or_a_window() -> None:
    told = started("--version")
    assert told.code == 0
    assert told.out.startswith("scrubline, version ")
    for words in (["--version"], ["--help"]):
        heavy = {"PySide6", "fpdf", "jinja2", "cv2", "av", "sqlalchemy", "numpy", "scipy"}
        assert not heavy & modules_of(*words)


@pytest.mark.parametrize(
    ("words", "not_needed"),
    [
        (["caseload"], "PySide6 shiboken6 pyqtgraph fpdf jinja2 cv2 av PIL scipy"),
        (["figures", "R-07-014"], "PySide6 shiboken6 pyqtgraph fpdf jinja2 cv2 av PIL scipy"),
        (["frame", "R-07-014", "--number", "3"], "PySide6 shiboken6 pyqtgraph fpdf jinja2 scipy"),
    ],
)
def test_a_command_loads_what_it_needs_alone(
    line: CommandLine, case: str, out: Path, words: Sequence[str], not_needed: str
) -> None:
    more = ["--to", out / "x.png"] if words[0] == "frame" else []
    loaded = modules_of("--store", line.store, *words, *more)
    assert not set(not_needed.split()) & loaded
    assert "sqlalchemy" in loaded


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="other systems have a display")
def test_without_a_display_the_desk_says_so(line: CommandLine) -> None:
    ran = started("--store", line.store, "desk", DISPLAY="", WAYLAND_DISPLAY="", QT_QPA_PLATFORM="")
    assert "no display" in refusal_of(ran)


def test_the_desk_does_not_open_on_a_case_that_is_not_there(line: CommandLine, case: str) -> None:
    ran = started("--store", line.store, "desk", "R-99", QT_QPA_PLATFORM="offscreen")
    assert "R-99" in refusal_of(ran)


@pytest.mark.skipif(os.name != "posix", reason="names of files are text on this system")
def test_a_name_that_is_no_text_is_refused_in_text(
    line: CommandLine, even: Known, out: Path
) -> None:
    clip = out / os.fsdecode(b"bad\xff.mp4")
    try:
        clip.write_bytes(even.path.read_bytes())
    except OSError:
        pytest.skip("such a name may not be given here")
    words = ("--operator", "R-1", "--case-number", 1, "--vocabulary", "sics")
    for locale in ("C.UTF-8", "C"):
        ran = started("--store", line.store, "intake", clip, *words, LC_ALL=locale)
        assert "bad?.mp4" in refusal_of(ran)


def test_json_is_json_whatever_encoding_the_terminal_has(
    line: CommandLine, even: Known, out: Path
) -> None:
    clip = out / "Größe-漢字.mp4"
    clip.write_bytes(even.path.read_bytes())
    words = ("frame", clip, "--number", 1, "--to", out / "x.png")
    for encoding in ("cp1252", "utf-8"):
        told = started("--json", *words, PYTHONIOENCODING=encoding)
        assert (told.code, told.err) == (0, "")
        assert json.loads(told.out)["clip"] == clip.name
    plain = started(*words, PYTHONIOENCODING="cp1252")
    assert (plain.code, plain.err) == (0, "")
    assert "\\u6f22\\u5b57.mp4" in plain.out


def test_a_note_in_a_script_that_the_fonts_lack_is_written_without_remarks(
    line: CommandLine, case: str, out: Path
) -> None:
    rows = "kind,code,start,end,leaning,weight,comment\ncomment,,1,,,,slower 漢字 👍\n"
    (out / "in.csv").write_text(rows, encoding="utf-8")
    line.ask("tags", case, "--from", out / "in.csv")
    for kind in ("pdf", "html"):
        told = started("--store", line.store, "--json", "note", case, "--to", out / f"x.{kind}")
        assert (told.code, told.err) == (0, "")
        assert json.loads(told.out)["comments"] == 1


@pytest.mark.skipif(os.name != "posix", reason="processes end otherwise there")
def test_a_reader_that_goes_away_is_no_fault(line: CommandLine, case: str) -> None:
    assert SCRIPT
    reading, writing = os.pipe()
    os.close(reading)
    ran = subprocess.run(
        [SCRIPT, "--store", str(line.store), "caseload"],
        stdout=writing, stderr=subprocess.PIPE, timeout=60,
    )  # fmt: skip
    os.close(writing)
    assert ran.stderr == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_an_answer_that_cannot_be_written_is_told(
    line: CommandLine, case: str, unbuffered: str
) -> None:
    assert SCRIPT
    with Path("/dev/full").open("wb") as full:
        ran = subprocess.run(
            [SCRIPT, "--store", str(line.store), "caseload"],
            stdout=full, stderr=subprocess.PIPE, encoding="utf-8", timeout=60,
            env=os.environ | {"PYTHONUNBUFFERED": unbuffered},
        )  # fmt: skip
    assert ran.returncode == 2
    assert len(ran.stderr.splitlines()) == 1
    assert "no space left" in ran.stderr
    assert "Traceback" not in ran.stderr
