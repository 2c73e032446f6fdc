"""The list of 5,000 rows, and an edit of all of them, as ratios within one run."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import pytest
from desk_scenes import S, opened, presenter_on, tag_only_case
from PySide6.QtWidgets import QListWidget
from pytestqt.qtbot import QtBot

from annotate.ids import RowId, new_id
from annotate.tags import Tag, TagKind
from app.review.reshaping import Reshaping
from app.review.row_lines import what_words
from app.review.row_list import RowList
from store import Put

N = 5_000


def timed_ms(deed: Callable[[], object]) -> float:
    start = perf_counter()
    deed()
    return (perf_counter() - start) * 1000


@pytest.mark.bench
def test_five_thousand_rows_are_listed_chosen_and_moved(tmp_path: Path, qtbot: QtBot) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store, tag_only_case(length_us=3 * 3600 * S))
        reshaping, rng = Reshaping(presenter), random.Random(1)
        rows = [
            Tag(RowId(new_id()), presenter.session.id, TagKind.PHASE, "sculpt", a, a + 4 * S)
            for a in range(0, 2 * N * S, 4 * S)
        ]
        presenter.edit("put", *(Put(row) for row in rows[: N // 2]))
        events = [
            Tag(RowId(new_id()), presenter.session.id, TagKind.EVENT, "good-move", at)
            for at in (rng.randrange(10_000 * S) for _ in range(N // 2))
        ]
        presenter.edit("put", *(Put(row) for row in events))
        leaf, plain = RowList(presenter), QListWidget()
        for widget in (leaf, plain):
            qtbot.addWidget(widget)
            widget.resize(372, 640)
            widget.show()
            qtbot.waitExposed(widget)

        def fill_plain() -> None:
            plain.clear()
            plain.addItems([what_words(row, presenter.vocabulary) for row in leaf.model.rows])
            plain.grab()

        def list_anew() -> None:
            leaf.refresh()
            leaf.grab()

        pairs = [(timed_ms(list_anew), timed_ms(fill_plain)) for _ in range(7)]
        listed, filled = (median(pair[side] for pair in pairs) for side in (0, 1))
        assert len(leaf.model.rows) == N
        presenter.choose(events[0].id)
        one = median(timed_ms(lambda: reshaping.shift(1_000)) for _ in range(5))
        ids = leaf.listed_ids
        chosen = timed_ms(lambda: presenter.choose(ids[0], too=ids))
        moved = timed_ms(lambda: reshaping.shift(1_000))
    print(
        f"\n{N} rows listed and painted: {listed:.0f} ms; an item each: {filled:.0f} ms; all "
        f"chosen: {chosen:.0f} ms; one moved: {one:.1f} ms; all moved in one edit: {moved:.0f} ms"
    )
    assert listed < filled
    assert moved < N * one / 10
