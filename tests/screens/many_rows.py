"""Rows for a review that is as full as one gets."""

from __future__ import annotations

import random
from itertools import pairwise

from annotate.ids import RowId, SessionId, new_id
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary


def many_rows(session: SessionId, length_us: int, n: int) -> list[Tag | Comment]:
    """Phases end to end, events, pauses and comments all over."""
    chance, words = random.Random(4), shipped_vocabulary("phaco-divide-conquer")
    edges = sorted(chance.sample(range(0, length_us, 100_000), n // 2))
    rows: list[Tag | Comment] = [
        Tag(RowId(new_id()), session, TagKind.PHASE, words.phases[i % len(words.phases)].code, a, b)
        for i, (a, b) in enumerate(pairwise(edges))
    ]
    for _ in range(n - len(rows)):
        event = chance.choice(words.events)
        at_us = chance.randrange(length_us)
        rows.append(
            Tag(RowId(new_id()), session, TagKind.EVENT, event.code, at_us, None, event.leaning, 2)
        )
    for _ in range(200):
        at_us, leaning = chance.randrange(length_us), chance.choice(list(Leaning))
        text = "The second hand drifts and the eye rolls with it; pivot in the wound."
        rows.append(Comment(RowId(new_id()), session, text, at_us, None, leaning))
    return rows
