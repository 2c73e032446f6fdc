"""A search over a large caseload beside a bare count of its rows by sqlite3."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from statistics import median, quantiles
from time import perf_counter

import pytest
from store_scenes import BY, case, clip

from annotate.ids import RowId, SessionId, new_id
from annotate.people import Reviewer
from annotate.tags import Comment, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.searching.answers import Searching
from store import Put, Store, open_store

N_CASES, N_COMMENTS, N_TAGS = 200, 50, 500
INSTANT_MS = 50
TEXT = """
wound needle tip lens groove deep shallow turn slow iris rim flap pull fold centre focus wrist elbow
calm again before after hold let lift press view light water bag edge tear quick
"""
WORDS = TEXT.split()
QUERIES = ("w", "wo", "wou", "wound", "need ti", "groove deep", "zzz", "sculpt", "rare", "the")


def rows(session_id: SessionId, rng: random.Random, codes: tuple[str, ...]) -> list[Put]:
    made = [
        Put(Comment(RowId(new_id()), session_id, " ".join(rng.choices(WORDS, k=14)), n * 1_000_000))
        for n in range(N_COMMENTS)
    ]
    return made + [
        Put(Tag(RowId(new_id()), session_id, TagKind.EVENT, rng.choice(codes), n * 100_000))
        for n in range(N_TAGS)
    ]


def fill(store: Store) -> None:
    rng = random.Random(1)
    codes = tuple(term.code for term in shipped_vocabulary("phaco-chop").terms)
    for n in range(N_CASES):
        taken = store.take_in(case(f"C-{n}", clip(f"print-{n}"), number=n + 1), BY)
        session = store.start_session(taken.id, Reviewer(BY))
        store.edit(session.id, "fill", BY, *rows(session.id, rng, codes))
    last = Comment(RowId(new_id()), session.id, "A rare word", 5)
    store.edit(session.id, "one more", BY, Put(last))


def timed_ms(deed: Callable[[], object]) -> float:
    start = perf_counter()
    deed()
    return (perf_counter() - start) * 1000


@pytest.mark.bench
def test_latency_of_a_search_over_two_hundred_cases(tmp_path: Path) -> None:
    file = tmp_path / "desk.sqlite"
    with open_store(file) as store, closing(sqlite3.connect(file)) as bare:
        fill(store)
        searching = Searching(store, BY)
        first_ms = timed_ms(lambda: searching.ask("wound"))  # reads the words of the vocabularies

        def count() -> int:
            sums = "SELECT (SELECT count(*) FROM comments) + (SELECT count(*) FROM tags)"
            return int(bare.execute(sums).fetchone()[0])

        assert count() == N_CASES * (N_COMMENTS + N_TAGS) + 1
        assert searching.ask("rare").n_places == 1
        assert searching.ask("wound").n_places == 200
        times = {q: [timed_ms(lambda: searching.ask(q)) for _ in range(15)] for q in QUERIES}  # noqa: B023 - called at once
        counts = [timed_ms(count) for _ in range(60)]
        every = [ms for some in times.values() for ms in some]
        p95 = quantiles(every, n=20)[-1]
        print(
            f"\nsearch over {N_CASES} cases: first {first_ms:.0f} ms, median {median(every):.1f} "
            f"ms, p95 {p95:.1f} ms; bare count: median {median(counts):.2f} ms; ratio "
            f"{median(every) / median(counts):.1f}"
        )
        for query, some in times.items():
            print(f"  {query!r}: median {median(some):.1f} ms")
    assert p95 < INSTANT_MS
    assert median(every) / median(counts) < 40
