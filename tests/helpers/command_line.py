"""The command line, called as a user would, and what must hold of each of its answers."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from app.main import main
from store import open_store


@dataclass(frozen=True)
class Outcome:
    """What a command left behind."""

    code: int
    out: str
    err: str


@dataclass(frozen=True)
class CommandLine:
    """Runs commands on one store in this process."""

    store: Path
    capsys: pytest.CaptureFixture[str]

    def run(self, *words: object) -> Outcome:
        self.capsys.readouterr()
        code = main(["--store", str(self.store), *map(str, words)])
        out, err = self.capsys.readouterr()
        return Outcome(code, out, err)

    def ask(self, *words: object) -> Any:
        """The one JSON document that a command answers; it must say nothing else."""
        outcome = self.run("--json", *words)
        assert (outcome.code, outcome.err) == (0, ""), outcome
        return json.loads(outcome.out)

    def refusal(self, *words: object) -> str:
        """The sentence with which a command refuses."""
        return refusal_of(self.run(*words))

    @contextmanager
    def unchanged(self, *folders: Path) -> Iterator[None]:
        """Hold that the block changes nothing in the store or in the folders."""
        before = self._content(), listing(*folders)
        yield
        assert (self._content(), listing(*folders)) == before

    def _content(self) -> list[Any]:
        with open_store(self.store) as store:
            assert store.check() == ()
            sessions = [s for row in store.cases() for s in store.sessions(row.case.id)]
            return [store.cases(), store.operators(), *((s, store.markup(s.id)) for s in sessions)]


def refusal_of(outcome: Outcome) -> str:
    """The sentence of a refusal, once it has the form that all of them have."""
    assert outcome.code == 2, outcome
    assert outcome.out == ""
    sentence = outcome.err.removesuffix("\n")
    assert sentence
    assert "\n" not in sentence
    assert sentence.isprintable()
    assert sentence.endswith("."), sentence
    assert "Traceback" not in sentence
    assert not sentence.lower().startswith(("error", "usage"))
    return sentence


def listing(*folders: Path) -> dict[str, str]:
    """Every file below the folders with its mode and a hash of its content."""
    found = (p for folder in folders for p in sorted(folder.rglob("*")))
    return {str(p): f"{p.stat().st_mode:o} {_hash(p)}" for p in found if p.exists()}


def _hash(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest() if path.is_file() else ""
