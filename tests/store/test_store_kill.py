from __future__ import annotations

from pathlib import Path

import pytest
from killed_desk import kill_and_look, needs_sigkill


@needs_sigkill
@pytest.mark.parametrize("seed", range(5))
def test_a_killed_desk_loses_nothing_that_it_showed_as_kept(seed: int, tmp_path: Path) -> None:
    after = kill_and_look(tmp_path / "desk.sqlite", seed)
    assert after.was_killed
    assert after.n_acknowledged > 0
    assert after.n_lost == 0
    assert after.problems == ()
