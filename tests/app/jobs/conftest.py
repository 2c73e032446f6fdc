"""The same guard as the desk's: nothing of Qt is collected on another thread."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from let_go import all_let_go


@pytest.fixture(autouse=True)
def garbage_collected_here(qapp: object) -> Iterator[None]:
    with all_let_go():
        yield
