"""A recording that is still being copied is told from one that merely breaks off."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from clip_kinds import KINDS

from annotate.clip.growing import (
    BETWEEN_LOOKS_S,
    growing,
    in_words,
    look_at,
    look_twice,
    refuse_growing,
)
from annotate.errors import UserFacingError

ClipMaker = Callable[[str], Path]
MEGABYTE = 10**6


def never(seconds: float) -> None:
    raise AssertionError(f"waited {seconds} s for a whole file")


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_whole_file_of_any_kind_is_looked_at_once(kind: str, clip_of: ClipMaker) -> None:
    look = look_twice(clip_of(kind), never)
    assert not look.is_unfinished
    assert growing(look, look_at(clip_of(kind))) is None


@pytest.mark.parametrize("kind", ["b_frames.mp4", "variable_rate.mkv", "mjpeg.avi"])
def test_a_copy_that_is_under_way_says_how_much_there_is(
    kind: str, clip_of: ClipMaker, tmp_path: Path
) -> None:
    content, path = clip_of(kind).read_bytes(), tmp_path / kind
    path.write_bytes(content[: len(content) // 3])

    def copy_on(seconds: float) -> None:
        assert seconds == BETWEEN_LOOKS_S
        with path.open("ab") as file:
            file.write(content[len(content) // 3 : len(content) // 2])

    with pytest.raises(UserFacingError) as refused:
        look_twice(path, copy_on)
    assert "is still being copied: " in str(refused.value)
    promised = look_at(path).promised_bytes
    assert 0.9 * len(content) < promised <= len(content)  # an MP4 promises its pictures alone
    assert f"{in_words(len(content) // 2)} of {in_words(promised)}" in str(refused.value)
    assert str(tmp_path) not in str(refused.value)


def test_a_file_that_breaks_off_and_stays_so_is_not_refused(
    clip_of: ClipMaker, tmp_path: Path
) -> None:
    content, waits = clip_of("variable_rate.mkv").read_bytes(), []
    (tmp_path / "a.mkv").write_bytes(content[: len(content) // 2])
    look = look_twice(tmp_path / "a.mkv", waits.append)
    assert look.is_unfinished
    assert waits == [BETWEEN_LOOKS_S]


def test_a_reserved_file_that_fills_up_is_growing_though_its_size_stays(tmp_path: Path) -> None:
    """As copying programs do it, with the time of change not moving either."""
    path = tmp_path / "a.ts"
    path.write_bytes(b"F" * 2 * MEGABYTE + bytes(7 * MEGABYTE))
    before, moment = look_at(path), path.stat().st_mtime_ns
    assert before.is_unfinished
    assert abs(before.written_bytes - 2 * MEGABYTE) <= 64 * 1024
    with path.open("r+b") as file:
        file.seek(2 * MEGABYTE)
        file.write(b"F" * 3 * MEGABYTE)
    os.utime(path, ns=(moment, moment))
    found = growing(before, look_at(path))
    assert found is not None
    assert abs(found.here_bytes - 5 * MEGABYTE) <= 64 * 1024
    assert found.whole_bytes == 9 * MEGABYTE


@pytest.mark.parametrize("written", [0, 1, 3 * MEGABYTE, 3 * MEGABYTE + 77, 40 * MEGABYTE])
def test_where_a_tail_of_zeros_begins(written: int, tmp_path: Path) -> None:
    size = 41 * MEGABYTE
    with (tmp_path / "a.ts").open("wb") as file:
        file.write(b"F" * written)
        file.truncate(size)
    expected = size if size - written < 1 << 20 else written
    found = look_at(tmp_path / "a.ts").written_bytes
    assert expected <= found <= expected + 64 * 1024


def test_a_file_that_grew_while_it_was_read_is_refused(clip_of: ClipMaker, tmp_path: Path) -> None:
    """A transport stream never says how long it will be."""
    path = tmp_path / "a.ts"
    path.write_bytes(clip_of("start_offset.ts").read_bytes())
    before = look_twice(path, never)
    with path.open("ab") as file:
        file.write(bytes(188 * 40))
    with pytest.raises(UserFacingError, match="still being copied"):
        refuse_growing(path, before)


@pytest.mark.parametrize(
    ("n_bytes", "words"),
    [(999, "999 bytes"), (1000, "1.0 kB"), (3_200_000_000, "3.2 GB"), (9_149_999_999, "9.1 GB")],
)
def test_amounts_in_words(n_bytes: int, words: str) -> None:
    assert in_words(n_bytes) == words


def test_a_file_that_is_not_there_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(UserFacingError, match="is not there"):
        look_at(tmp_path / "a.mp4")
