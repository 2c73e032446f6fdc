"""Hypothesis strategies for the rows of tag files and the tags of sessions."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import strategies as st

from annotate.ids import RowId, SessionId, new_id
from annotate.tagfile import RowKind, TagRow
from annotate.tags import Leaning, Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary

WORDS = shipped_vocabulary("phaco-stop-chop")
LENGTH_US = 3 * 3600 * 1_000_000

_CODES = {
    RowKind.PHASE: WORDS.phase_codes,
    RowKind.EVENT: tuple(term.code for term in WORDS.events),
    RowKind.IDLE: tuple(term.code for term in WORDS.idle_reasons),
    RowKind.COMMENT: ("", *WORDS.phase_codes),
    RowKind.HAND_OVER: ("attending", "A-01", "A--1"),
}
_TEXT = st.text(max_size=60) | st.text("=+-@'\t\n\r,;\"<>&-->nbsp \u2028\u00a0", max_size=30)


@st.composite
def tag_rows(draw: st.DrawFn) -> TagRow:
    """Any row that can stand in a tag file."""
    kind = draw(st.sampled_from(list(RowKind)))
    start_us = draw(st.integers(0, LENGTH_US - 1))
    end_us = draw(st.integers(start_us + 1, min(LENGTH_US, start_us + 10**9)))
    can_be_instant = kind in (RowKind.EVENT, RowKind.COMMENT)
    return TagRow(
        kind=kind,
        code=draw(st.sampled_from(_CODES[kind])),
        start_us=start_us,
        end_us=None if can_be_instant and draw(st.booleans()) else end_us,
        leaning=draw(st.none() | st.sampled_from(Leaning)),
        weight=draw(st.none() | st.sampled_from((1, 2, 3))),
        comment=draw(_TEXT),
    )


def tag(
    kind: str,
    code: str,
    start_s: float,
    end_s: float | None = None,
    leaning: Leaning | None = None,
    weight: int | None = None,
) -> Tag:
    """A tag, its times in seconds for brevity."""
    end_us = None if end_s is None else round(end_s * 1_000_000)
    return Tag(
        id=RowId(new_id()),
        session_id=SessionId("s"),
        kind=TagKind(kind),
        code=code,
        start_us=round(start_s * 1_000_000),
        end_us=end_us,
        leaning=leaning,
        weight=weight,
    )


@st.composite
def session_tags(draw: st.DrawFn, *, phases_overlap: bool = True) -> list[Tag]:
    """Tags of a session, times small enough that spans meet and overlap often."""
    if phases_overlap:
        phases = draw(st.lists(_spanned("phase", WORDS.phase_codes[:4]), max_size=8))
    else:
        cuts = sorted(draw(st.sets(st.integers(0, 60), max_size=16)))
        codes = st.sampled_from(WORDS.phase_codes[:4])
        phases = [
            tag("phase", draw(codes), start / 1e6, end / 1e6)
            for start, end in pairwise(cuts)
            if draw(st.booleans())
        ]
    idle = draw(st.lists(_spanned("idle", ("wait", "talk")), max_size=5))
    others = draw(st.lists(_spanned("hand-over", ("attending",)), max_size=3))
    events = draw(st.lists(_event(), max_size=5))
    return draw(st.permutations([*phases, *idle, *others, *events]))


def _spanned(kind: str, codes: tuple[str, ...]) -> st.SearchStrategy[Tag]:
    return st.builds(
        lambda code, start, length: tag(kind, code, start / 1e6, (start + length) / 1e6),
        st.sampled_from(codes),
        st.integers(0, 50),
        st.integers(1, 25),
    )


def _event() -> st.SearchStrategy[Tag]:
    codes = ("good-move", "iris-touch")
    return st.builds(
        lambda code, at: tag("event", code, at / 1e6), st.sampled_from(codes), st.integers(0, 80)
    )
