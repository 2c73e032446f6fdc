"""Work in a process of its own: answers, refusals, deaths, and nothing left behind."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import apart_deeds as deeds
import pytest

from annotate.clip import ReadingStopped
from annotate.errors import UserFacingError
from app.jobs import apart_process
from app.jobs.apart import apart, decoded
from app.jobs.apart_process import NAME, QUIET_NAME, end_kept
from app.jobs.work import Cancelled, Work

ROOT = Path(__file__).resolve().parents[3]


def readers() -> list[multiprocessing.process.BaseProcess]:
    """The processes that do deeds apart; the player keeps some of its own warm."""
    return [p for p in multiprocessing.active_children() if p.name in {NAME, QUIET_NAME}]


@pytest.fixture(autouse=True)
def nothing_left() -> Iterator[None]:
    """Each test begins cold, and leaves neither a process nor a thread."""
    end_kept()
    before = set(threading.enumerate())
    yield
    end_kept()
    assert not readers()
    left = [t for t in set(threading.enumerate()) - before if t.name == "reader-idle"]
    for timer in left:
        timer.join(2)
    assert not [t for t in left if t.is_alive()]


def until(told: object, seconds: float = 20.0) -> None:
    """Look again and again until something is so."""
    end_s = time.monotonic() + seconds
    while not told():  # type: ignore[operator]
        assert time.monotonic() < end_s, "never came to be"
        threading.Event().wait(0.005)


def is_there(pid: int) -> bool:
    """Whether a process runs; one that ended and was not waited for counts as there."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_an_answer_and_the_progress_come_back() -> None:
    work = Work("Doubling")
    assert apart(deeds.doubled, 21, work=work) == 42
    assert (work.done, work.total) == (2, 2)


def test_it_is_another_process_and_the_same_one_again() -> None:
    first, second = apart(deeds.own_pid), apart(deeds.own_pid)
    assert first == second != os.getpid()


def test_it_is_done_here_unless_the_desk_asks() -> None:
    assert decoded(deeds.own_pid, work=Work(), reading="a clip") == os.getpid()
    there = decoded(deeds.own_pid, work=Work(decodes_apart=True), reading="a clip")
    assert there != os.getpid()


def test_nothing_of_qt_is_loaded_there() -> None:
    wanted = ["annotate.clip.thumbnails", "app.intake.decoding", "app.handback.case_frames"]
    there = apart(deeds.modules_of, wanted)
    assert set(wanted) <= set(there)
    assert not [name for name in there if name.startswith(("PySide6", "shiboken6", "pyqtgraph"))]


def test_what_the_user_can_mend_keeps_its_sentences() -> None:
    with pytest.raises(UserFacingError) as caught:
        apart(deeds.refused)
    assert (caught.value.what, caught.value.do) == ("The clip is empty.", "Copy it again.")
    with pytest.raises(ReadingStopped):
        apart(deeds.stopped)


@pytest.mark.parametrize(("is_odd", "kind"), [(False, ZeroDivisionError), (True, RuntimeError)])
def test_a_fault_comes_back_with_where_it_was(is_odd: bool, kind: type[Exception]) -> None:
    with pytest.raises(kind) as caught:
        apart(deeds.at_fault, is_odd)
    assert "in at_fault" in "".join(caught.value.__notes__)
    assert apart(deeds.doubled, 1) == 2


def test_an_answer_that_cannot_cross_is_a_fault_and_no_hang() -> None:
    with pytest.raises((TypeError, AttributeError, RuntimeError)):
        apart(deeds.not_packable)


def test_large_things_cross_both_ways() -> None:
    assert apart(deeds.length_of, bytes(20 << 20)) == 20 << 20
    assert len(apart(deeds.large, 20 << 20)) == 20 << 20


def test_parts_come_one_by_one_on_this_thread() -> None:
    got: list[tuple[int, int]] = []
    answer = apart(deeds.in_parts, 5, on_part=lambda n: got.append((n, threading.get_ident())))
    assert answer is None
    assert got == [(n, threading.get_ident()) for n in range(5)]


def test_one_death_is_made_good(tmp_path: Path) -> None:
    assert apart(deeds.dies, tmp_path / "log", 1) == 2


def test_two_deaths_are_told_and_the_next_deed_works(tmp_path: Path) -> None:
    with pytest.raises(UserFacingError, match=r"Reading part1\.mp4 ended the reader.*nothing is"):
        apart(deeds.dies, tmp_path / "log", 99, reading="part1.mp4")
    assert (tmp_path / "log").read_text() == "xx"
    assert apart(deeds.doubled, 3) == 6


def test_a_warm_process_that_was_killed_meanwhile_is_replaced() -> None:
    pid = apart(deeds.own_pid)
    os.kill(pid, getattr(signal, "SIGKILL", signal.SIGTERM))
    assert apart(deeds.own_pid) != pid
    assert not is_there(pid)


@pytest.mark.parametrize("is_deaf", [False, True])
def test_calling_off_takes_a_fifth_of_a_second(tmp_path: Path, is_deaf: bool) -> None:
    log, work, outcome = tmp_path / "log", Work(), []

    def ask() -> None:
        try:
            apart(deeds.counts_for_ever, log, is_deaf, work=work)
        except Cancelled:
            outcome.append(time.monotonic())

    thread = threading.Thread(target=ask)
    thread.start()
    until(lambda: log.is_file() and log.read_text())
    began_s = time.monotonic()
    work.cancel.set()
    thread.join(10)
    assert outcome
    assert outcome[0] - began_s < 0.2
    pid = int(log.read_text())
    if is_deaf:
        until(lambda: not is_there(pid))
    else:
        assert apart(deeds.own_pid) == pid  # it came back from the deed, and is kept
    assert apart(deeds.doubled, 3) == 6


def test_work_called_off_before_it_began_starts_nothing() -> None:
    work = Work()
    work.cancel.set()
    with pytest.raises(Cancelled):
        apart(deeds.doubled, 1, work=work)
    assert not readers()
    assert apart(deeds.doubled, 1) == 2
    assert len(readers()) == 1  # which is how one would have shown


def test_two_at_once_have_a_process_each(tmp_path: Path) -> None:
    log, work = tmp_path / "log", Work()

    def ask() -> None:
        with pytest.raises(Cancelled):
            apart(deeds.counts_for_ever, log, False, work=work)

    thread = threading.Thread(target=ask)
    thread.start()
    until(lambda: log.is_file() and log.read_text())
    assert apart(deeds.own_pid) != int(log.read_text())
    work.cancel.set()
    thread.join(10)


@pytest.mark.skipif(not hasattr(os, "nice"), reason="this system has no such order")
@pytest.mark.skipif(
    hasattr(os, "nice") and os.nice(0) >= 19, reason="these tests stand behind all others already"
)
def test_quiet_work_steps_back() -> None:
    assert apart(deeds.own_niceness, is_quiet=True) > apart(deeds.own_niceness)


def test_an_idle_process_goes_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart_process, "KEPT_WARM_S", 0.05)
    pid = apart(deeds.own_pid)
    until(lambda: not is_there(pid))


MODULE = """
import sys
sys.path[:0] = {paths!r}
import apart_deeds as deeds
from pathlib import Path
from app.jobs.apart import apart

if __name__ == "__main__":
    if sys.argv[1] == "stay":
        apart(deeds.counts_for_ever, Path(sys.argv[2]), False)
    print(apart(deeds.own_pid), apart(deeds.own_pid, is_quiet=True))
"""


@pytest.fixture
def script(tmp_path: Path) -> Path:
    path = tmp_path / "asks.py"
    path.write_text(MODULE.format(paths=[str(ROOT), str(ROOT / "tests/helpers")]))
    return path


def test_leaving_the_program_leaves_nothing_and_says_nothing(script: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-W", "error", str(script), "go"],
        capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    assert done.stderr == ""
    assert not [pid for pid in map(int, done.stdout.split()) if is_there(pid)]


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="killed as POSIX kills")
def test_a_program_that_is_killed_takes_its_processes_along(script: Path, tmp_path: Path) -> None:
    log = tmp_path / "log"
    asking = subprocess.Popen([sys.executable, str(script), "stay", str(log)])
    until(lambda: log.is_file() and log.read_text())
    asking.kill()
    asking.wait(10)
    until(lambda: not is_there(int(log.read_text())))


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="the system lists none")
def test_ten_deaths_leak_no_file(tmp_path: Path) -> None:
    def n_open() -> int:
        return len(list(Path("/proc/self/fd").iterdir()))

    apart(deeds.doubled, 1)
    end_kept()
    before = n_open()
    for n in range(10):
        assert apart(deeds.dies, tmp_path / f"log{n}", 1) == 2
    end_kept()
    assert n_open() <= before
