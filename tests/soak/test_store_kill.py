from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from killed_desk import Aftermath, kill_and_look, needs_sigkill

N_KILLS = 60


@pytest.fixture(scope="module")
def aftermaths() -> Iterator[list[Aftermath]]:
    """Collect what each kill left behind; the sum is printed at the end."""
    found: list[Aftermath] = []
    yield found
    print(
        f"\n{sum(a.was_killed for a in found)} kills, "
        f"{sum(a.n_acknowledged for a in found)} edits acknowledged, "
        f"{sum(a.n_lost for a in found)} lost, "
        f"{sum(bool(a.problems) for a in found)} stores with problems"
    )


@needs_sigkill
@pytest.mark.soak
@pytest.mark.parametrize("seed", range(1000, 1000 + N_KILLS))
def test_a_killed_desk_loses_nothing_that_it_showed_as_kept(
    seed: int, tmp_path: Path, aftermaths: list[Aftermath]
) -> None:
    after = kill_and_look(tmp_path / "desk.sqlite", seed)
    aftermaths.append(after)
    assert after.was_killed
    assert after.n_lost == 0
    assert after.problems == ()
