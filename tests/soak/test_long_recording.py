"""A case of six parts of 30 minutes each opens at once, and every seek over its joins is exact."""

from __future__ import annotations

import random
import time
from fractions import Fraction
from pathlib import Path

import av
import pytest
from numbered_clips import make_clip, read_number

from annotate.clip import CaseReader
from app.intake.clips import opened_case
from app.intake.take_in import Intake, take_in
from store import Store, open_store

pytestmark = pytest.mark.soak

N_PARTS, N_ROUNDS, N_SHORT, RATE = 6, 36, 1500, 30
N_PART = N_ROUNDS * N_SHORT
S = 1_000_000


def long_part(folder: Path, part: int) -> Path:
    """30 minutes: a recording of 50 s over and over, its packets shifted in time."""
    short, path = folder / f"short{part}.mp4", folder / f"part{part + 1}.mp4"
    make_clip(
        short, n_frames=N_SHORT, first_number=part * 2000, width=96, height=64, gop=60,
        time_base=Fraction(1, 30000),
    )  # fmt: skip
    with av.open(str(short)) as source, av.open(str(path), "w") as out:
        origin = source.streams.video[0]
        stream = out.add_stream_from_template(origin)
        stream.time_base = origin.time_base
        packets = [p for p in source.demux(origin) if p.size]
        shift = round(N_SHORT / RATE / origin.time_base)
        for turn in range(N_ROUNDS):
            for packet in packets:
                again = av.Packet(bytes(packet))
                again.pts, again.dts = packet.pts + turn * shift, packet.dts + turn * shift
                again.duration, again.time_base = packet.duration, origin.time_base
                again.is_keyframe, again.stream = packet.is_keyframe, stream
                out.mux(again)
    short.unlink()
    return path


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    folder = tmp_path_factory.mktemp("long")
    paths = [long_part(folder, part) for part in range(N_PARTS)]
    made = open_store(folder / "desk.sqlite")
    take_in(made, Intake(paths, "R-07", 1, "phaco-chop", code="LONG"), "A-01")
    return made


def expected(number: int) -> int:
    """What the picture of a case-wide frame reads, where no part repeats another."""
    part, within = divmod(number, N_PART)
    return part * 2000 + within % N_SHORT


def is_right(case: CaseReader, number: int) -> bool:
    return read_number(case.frame(number).frame.rgb()) == expected(number)


def test_three_hours_in_six_parts(store: Store) -> None:
    begun = time.perf_counter()
    with opened_case(store, store.case("LONG")) as case:
        assert read_number(case.frame(0).frame.rgb()) == 0
        opened_s = time.perf_counter() - begun
        assert case.n_frames == N_PARTS * N_PART
        assert case.clock.duration_us == pytest.approx(3 * 3600 * S, abs=10)
        joins = [n * N_PART for n in range(1, N_PARTS)]
        for join in joins:
            near = range(join - 40, join + 40)
            assert all(is_right(case, n) for n in near)
            assert all(is_right(case, n) for n in reversed(near))
            assert case.until_of(join - 1) == case.time_of(join)
        chance = random.Random(9)
        for _ in range(300):
            number = chance.randrange(case.n_frames)
            time_us = chance.randrange(case.time_of(number), case.until_of(number))
            found = case.frame_at(time_us)
            assert found.number == number
            assert read_number(found.frame.rgb()) == expected(number)
            assert len(case.open_parts) <= 2
    print(f"first picture of three hours after {opened_s:.2f} s")
    store.close()
