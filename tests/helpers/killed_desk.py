"""Kill a desk in the middle of its edits and see what its store holds afterwards."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import random_edits
from new_stores import new_store
from store_scenes import with_session

from store import open_store

ROOT = Path(random_edits.__file__).parents[2]
N_EDITS = 200
needs_sigkill = pytest.mark.skipif(
    os.name != "posix", reason="Windows has no SIGKILL; TerminateProcess is not the same test"
)


@dataclass(frozen=True)
class Aftermath:
    """What was acknowledged before the kill, how much of it is gone, what else is wrong."""

    n_acknowledged: int
    n_lost: int
    problems: tuple[str, ...]
    was_killed: bool


def kill_and_look(file: Path, seed: int) -> Aftermath:
    """Run a desk on a new store, SIGKILL it at a random moment, open the store again."""
    rng = random.Random(seed)
    with new_store(file) as store:
        _, session = with_session(store)
    lines, was_killed = _run_and_kill(file, session.id, seed, rng)
    desk, kept, pending = _replay(lines)
    with open_store(file) as store:
        problems = list(store.check())
        held = random_edits.content(store, session.id)
        journal = {record.id for record in store.history(session.id)}
        n_lost = sum(edit_id not in journal for edit_id in kept)
        expected = [desk.now]
        if pending is not None:  # it may have been kept in the instant before the kill
            before = desk.now
            desk.do(pending)
            expected = [desk.now] if len(journal) == len(kept) + 1 else [before]
        if held not in expected:
            problems.append("The rows are not what the acknowledged edits make.")
        if len(journal) - len(kept) not in (0, 1 if pending is not None else 0):
            problems.append("The journal holds edits that were never begun.")
        while store.undo(session.id, "A-01") is not None:
            pass
        if random_edits.content(store, session.id):
            problems.append("Undoing everything does not end at nothing.")
    return Aftermath(len(kept), n_lost, tuple(problems), was_killed)


def _run_and_kill(
    file: Path, session_id: str, seed: int, rng: random.Random
) -> tuple[list[dict[str, Any]], bool]:
    command = [sys.executable, random_edits.__file__, str(file), session_id, str(seed)]
    process = subprocess.Popen(
        [*command, str(N_EDITS)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert process.stdout is not None
    with process, process.stdout as output:
        lines = []
        n_to_read = rng.randrange(1, 2 * N_EDITS - 20)
        for line in output:
            lines.append(line)
            if len(lines) >= n_to_read:
                break
        with suppress(subprocess.TimeoutExpired):
            process.wait(rng.random() * 0.01)  # somewhere within the next edits
        process.send_signal(signal.SIGKILL)
        lines += output.readlines()
    whole = [json.loads(line) for line in lines if line.endswith("\n")]
    return whole, process.returncode == -signal.SIGKILL


def _replay(
    lines: list[dict[str, Any]],
) -> tuple[random_edits.PlainDesk, list[str], dict[str, Any] | None]:
    """State after the acknowledged edits, their ids, and the deed that was not acknowledged."""
    desk = random_edits.PlainDesk()
    kept: list[str] = []
    pending: dict[str, Any] | None = None
    for line in lines:
        if "will" in line:
            pending = line["will"]
        elif pending is not None:
            desk.do(pending)
            kept.append(line["kept"])
            pending = None
    return desk, kept, pending
