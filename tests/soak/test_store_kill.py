from __future__ import annotations

from pathlib import Path

import pytest
from killed_desk import kill_and_look, needs_sigkill

N_KILLS = 60


@needs_sigkill
@pytest.mark.soak
def test_many_killed_desks_lose_nothing_that_they_showed_as_kept(tmp_path: Path) -> None:
    after = [
        kill_and_look(tmp_path / f"desk-{seed}.sqlite", 1000 + seed) for seed in range(N_KILLS)
    ]
    n_acknowledged = sum(a.n_acknowledged for a in after)
    n_lost = sum(a.n_lost for a in after)
    print(  # noqa: T201
        f"\n{sum(a.was_killed for a in after)} kills, {n_acknowledged} edits acknowledged, "
        f"{n_lost} lost, {sum(bool(a.problems) for a in after)} stores with problems"
    )
    assert all(a.was_killed for a in after)
    assert n_lost == 0
    assert [a.problems for a in after if a.problems] == []
