"""Rules on the tree itself that no other tool holds."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from annotate.vocabulary_file import shipped_names, shipped_vocabulary
from app.commands.table import actions, line_help

ROOT = Path(__file__).parents[2]
ROOMS = ("app", "annotate", "metrics", "store", "sample_clips")
LONGEST_FILE = 300
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "app", "annotate", "metrics", "store",
    "sample_clips", "tests", "Makefile", "LICENSE", ".gitignore", ".ci", ".pre-commit-config.yaml",
}  # fmt: skip
TEXT_ENDINGS = {
    ".py", ".md", ".toml", ".jinja", ".css", ".json", ".txt", ".yaml", ".cfg", ".csv", ".vtt", "",
}  # fmt: skip


def tracked() -> list[Path]:
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if listed.returncode:
        pytest.skip("not a git checkout")
    return [ROOT / name for name in listed.stdout.splitlines() if (ROOT / name).is_file()]


def texts() -> list[Path]:
    return [path for path in tracked() if path.suffix in TEXT_ENDINGS]


def room_modules() -> list[Path]:
    return [p for p in tracked() if p.suffix == ".py" and p.relative_to(ROOT).parts[0] in ROOMS]


def test_the_top_level_holds_what_it_should_and_nothing_else() -> None:
    assert {path.relative_to(ROOT).parts[0] for path in tracked()} <= TOP_LEVEL


def test_no_module_is_longer_than_300_lines() -> None:
    long = {
        str(path.relative_to(ROOT)): n
        for path in room_modules()
        if (n := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST_FILE
    }
    assert not long


# Written in pieces, so that this file does not hold what it forbids.
FORBIDDEN = {
    "a path of one machine": r"/(?:wor" + r"k|tm" + r"p|hom" + r"e|roo" + r"t)/[a-z]",
    "a registry's host": r"pypi\.o" + r"rg|pythonhost" + r"ed|npmj" + r"s\.",
    "a source that is not named": r"transc" + r"ript|seed docu" + r"ment",
    "a folder outside the project": r"\.\./sha" + r"red|\bsha" + r"red/",
}


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_file_holds(what: str) -> None:
    pattern = re.compile(FORBIDDEN[what], re.IGNORECASE)
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}"
        for path in texts()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if pattern.search(line)
    ]
    assert not found


WAYS_TO_HANG = {
    "a dialog that stops the desk": r"(?:dialog|box|chooser|menu)\.exec\(",
    "the event loop entered again": r"processEvents\(",
    "waiting for a while": r"time\.sleep\(|qWait\(",
    "a shell": r"shell=True|os\.system\(",
}


@pytest.mark.parametrize("what", WAYS_TO_HANG)
def test_the_program_never_uses(what: str) -> None:
    pattern = re.compile(WAYS_TO_HANG[what])
    found = [
        f"{path.name}:{n}"
        for path in room_modules()
        for n, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if pattern.search(line)
    ]
    assert not found


def test_no_action_takes_a_key_that_a_vocabulary_has() -> None:
    taken = {entry.key.upper() for entry in actions() if len(entry.key) == 1}
    for name in shipped_names():
        keys = {term.key for term in shipped_vocabulary(name).terms}
        assert not {key for key in keys if key.islower() and key.upper() in taken}
        assert not keys & {"j", "k", "l", "J", "K", "L", " "}


def test_every_command_of_the_command_line_is_in_the_readme() -> None:
    from app.cli.root import root

    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    import click

    for name in root.list_commands(click.Context(root)):
        assert line_help(name)
        assert f"scrubline {name}" in readme, f"README says nothing of {name}"


def test_every_action_with_a_key_is_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    missing = [e.id for e in actions() if e.key and f"`{e.key.replace('+', ' + ')}`" not in readme]
    assert not missing
