"""A vocabulary written and read again is the same, whatever is in it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from annotate.tags import Leaning
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, SettingLimit, Vocabulary
from annotate.vocabulary_check import KEYS, UNITS
from annotate.vocabulary_file import read_vocabulary, shipped_names, shipped_vocabulary
from annotate.vocabulary_text import vocabulary_text


def texts(longest: int) -> st.SearchStrategy[str]:
    made = st.text(min_size=1, max_size=longest)
    return made.filter(lambda text: text.isprintable() and bool(text.strip()))


CODES = st.from_regex(r"[a-z][a-z0-9]{0,9}(-[a-z0-9]{1,9}){0,2}", fullmatch=True)
BOUNDS = st.floats(0, 1_000_000)


@st.composite
def limits(draw: st.DrawFn) -> SettingLimit:
    setting = draw(st.sampled_from([*UNITS, "torsional"]))
    low, high = sorted((draw(BOUNDS), draw(BOUNDS)))
    which = draw(st.integers(0, 2))
    return SettingLimit(
        setting,
        UNITS.get(setting, draw(texts(20))),
        draw(texts(200)),
        low if which != 1 else None,
        high if which != 0 else None,
    )


SOME_LIMITS = st.lists(limits(), max_size=2).map(tuple)


@st.composite
def vocabularies(draw: st.DrawFn) -> Vocabulary:
    codes = draw(st.lists(CODES, min_size=1, max_size=9, unique=True))
    keys = draw(st.permutations(sorted(KEYS)))
    words = list(zip(codes, keys, strict=False))
    n_phases = draw(st.integers(1, len(words)))
    n_events = draw(st.integers(0, len(words) - n_phases))
    return Vocabulary(
        name=draw(CODES),
        title=draw(texts(80)),
        version=draw(texts(20)),
        source=draw(texts(400)),
        phases=tuple(
            PhaseTerm(c, draw(texts(40)), k, draw(texts(160)), draw(SOME_LIMITS))
            for c, k in words[:n_phases]
        ),
        events=tuple(
            EventTerm(c, draw(texts(40)), k, draw(st.sampled_from(Leaning)), draw(texts(160)),
                      draw(st.integers(1, 3)))
            for c, k in words[n_phases : n_phases + n_events]
        ),
        idle_reasons=tuple(
            IdleTerm(c, draw(texts(40)), k) for c, k in words[n_phases + n_events :]
        ),
    )  # fmt: skip


@given(vocabularies())
def test_written_and_read_again(vocabulary: Vocabulary) -> None:
    assert read_vocabulary(vocabulary_text(vocabulary), "made.toml") == vocabulary


def test_the_shipped_ones_too() -> None:
    for name in shipped_names():
        shipped = shipped_vocabulary(name)
        assert read_vocabulary(vocabulary_text(shipped), name) == shipped
