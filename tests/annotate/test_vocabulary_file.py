from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import UserFacingError
from annotate.tags import Leaning
from annotate.vocabulary_check import KEYS
from annotate.vocabulary_file import (
    load_vocabulary,
    shipped_names,
    shipped_vocabulary,
    vocabulary_named,
)

GOOD = """\
name = "knot"
title = "Tying a knot"
version = "1"
source = "common practice, no source"

[[phase]]
code = "loop"
label = "Loop"
key = "1"
good = "The loop lies flat."

[[phase.limit]]
setting = "vacuum"
unit = "mmHg"
at_most = 100
source = "common practice, no source"

[[phase]]
code = "pull"
label = "Pull"
key = "2"
good = "Both ends move."

[[event]]
code = "slip"
label = "Slip"
key = "a"
leaning = "correct"
good = "Tension is kept."

[[idle]]
code = "wait"
label = "Waiting"
key = "Q"
"""
PHACO_NAMES = ("phaco-divide-conquer", "phaco-stop-chop", "phaco-chop")


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "knot.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def complaint(folder: Path, text: str | bytes) -> str:
    with pytest.raises(UserFacingError) as caught:
        load_vocabulary(written(folder, text))
    assert "knot.toml" in caught.value.what
    assert str(folder) not in str(caught.value)
    assert caught.value.do
    return caught.value.what


def line_of(text: str, part: str) -> int:
    return text[: text.rindex(part)].count("\n") + 1


def test_the_shipped_vocabularies_are_the_five_of_the_plan() -> None:
    assert set(shipped_names()) == {*PHACO_NAMES, "sics", "lap-chole"}


@pytest.mark.parametrize("name", shipped_names())
def test_each_shipped_vocabulary_loads_under_its_own_name(name: str) -> None:
    vocabulary = shipped_vocabulary(name)
    assert vocabulary.name == name
    assert vocabulary.title
    assert vocabulary.source
    assert {reason.code for reason in vocabulary.idle_reasons} == {
        "wait",
        "changing-hands",
        "exchange",
        "view-lost",
        "talk",
    }


@pytest.mark.parametrize("name", shipped_names())
def test_no_key_serves_twice_in_a_shipped_vocabulary(name: str) -> None:
    words = shipped_vocabulary(name)
    keys = [term.key for term in (*words.phases, *words.events, *words.idle_reasons)]
    assert len(keys) == len(set(keys))
    assert set(keys) <= KEYS


def test_no_key_of_the_player_may_be_used() -> None:
    assert not KEYS & set(" jklimhnopuy,./[]JKLIMHNOPUY\t\n")


def test_the_same_code_has_the_same_key_in_all_phaco_vocabularies() -> None:
    keys: dict[str, set[str]] = {}
    for name in PHACO_NAMES:
        words = shipped_vocabulary(name)
        for term in (*words.phases, *words.events, *words.idle_reasons):
            keys.setdefault(term.code, set()).add(term.key)
    assert {code: found for code, found in keys.items() if len(found) > 1} == {}


def test_each_technique_lists_only_its_own_ways_to_split_the_lens() -> None:
    splitting = {
        name: set(shipped_vocabulary(name).phase_codes) & {"sculpt", "crack", "chop"}
        for name in PHACO_NAMES
    }
    assert splitting == {
        "phaco-divide-conquer": {"sculpt", "crack"},
        "phaco-stop-chop": {"sculpt", "crack", "chop"},
        "phaco-chop": {"chop"},
    }


def test_phaco_phases_stand_in_expected_order() -> None:
    assert shipped_vocabulary("phaco-stop-chop").phase_codes == (
        "incision",
        "viscoelastic",
        "capsulorhexis",
        "hydrodissection",
        "sculpt",
        "crack",
        "chop",
        "fragments",
        "cortex",
        "polish",
        "lens",
        "viscoelastic-removal",
        "closure",
    )


@pytest.mark.parametrize("name", PHACO_NAMES)
def test_phaco_knows_the_events_of_the_trade(name: str) -> None:
    assert {
        "eye-off-centre",
        "needle-on-wound",
        "chop-incomplete",
        "vacuum-lost",
        "chamber-shallow",
        "capsule-tear",
        "iris-touch",
        "good-move",
    } <= {event.code for event in shipped_vocabulary(name).events}


def test_sculpting_has_the_limits_of_common_practice() -> None:
    sculpt = next(p for p in shipped_vocabulary("phaco-stop-chop").phases if p.code == "sculpt")
    limits = {limit.setting: limit for limit in sculpt.limits}
    assert (limits["vacuum"].at_most, limits["vacuum"].unit) == (100, "mmHg")
    flow = limits["flow"]
    assert flow.at_least is not None
    assert flow.at_most is not None
    assert flow.at_least < 25 < flow.at_most
    assert limits["duty-cycle"].at_most == 50
    assert all("no source" in limit.source for limit in sculpt.limits)


def test_every_limit_names_its_source() -> None:
    limits = [
        limit
        for name in shipped_names()
        for phase in shipped_vocabulary(name).phases
        for limit in phase.limits
    ]
    assert limits
    assert all(limit.source for limit in limits)


def test_a_written_vocabulary_loads(tmp_path: Path) -> None:
    words = load_vocabulary(written(tmp_path, GOOD))
    assert words.phase_codes == ("loop", "pull")
    assert words.phases[0].limits[0].at_most == 100
    assert words.events[0].leaning is Leaning.CORRECT
    assert words.events[0].weight == 1
    assert words.label("wait") == "Waiting"


def test_a_vocabulary_with_windows_line_ends_and_a_mark_loads(tmp_path: Path) -> None:
    text = b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode()
    assert load_vocabulary(written(tmp_path, text)).name == "knot"


def test_vocabulary_named_takes_a_name_or_a_path(tmp_path: Path) -> None:
    assert vocabulary_named("sics") is shipped_vocabulary("sics")
    assert vocabulary_named(str(written(tmp_path, GOOD))).name == "knot"


def test_an_unknown_name_lists_the_shipped_ones() -> None:
    with pytest.raises(UserFacingError, match="no vocabulary 'needlework'") as caught:
        vocabulary_named("needlework")
    assert "phaco-chop" in caught.value.do


@pytest.mark.parametrize(
    ("old", "new", "at", "wrong"),
    [
        pytest.param('key = "2"', 'key = "1"', 'key = "1"\ngood = "B', "already", id="key"),
        pytest.param('key = "Q"', 'key = "a"', 'key = "a"\n', "already taken", id="key-kinds"),
        pytest.param('"pull"', '"loop"', 'code = "loop"\nlabel = "P', "already", id="code"),
        pytest.param('key = "2"', 'key = "k"', 'key = "k"', "'k' is not free", id="player"),
        pytest.param('key = "2"', 'key = "12"', 'key = "12"', "not free", id="two-characters"),
        pytest.param('key = "2"', "key = 2", "key = 2", "must be text", id="number-as-key"),
        pytest.param('label = "Pull"\n', "", 'code = "pull"', "'label' is missing", id="missing"),
        pytest.param('"correct"', '"bad"', 'leaning = "bad"', "not 'bad'", id="leaning"),
        pytest.param('"correct"', '"correct"\nweight = 4', "weight = 4", "1, 2 or 3", id="weight"),
        pytest.param("at_most = 100", "at_most = nan", "at_most = nan", "a number", id="nan"),
        pytest.param("at_most = 100\n", "", "[[phase.limit]]", "at_least or at_most", id="bare"),
        pytest.param('"mmHg"', '"psi"', 'unit = "psi"', "kept in mmHg", id="unit"),
        pytest.param('"pull"', '"Pull it"', 'code = "Pull it"', "no code", id="code-form"),
        pytest.param('key = "2"', 'key = "2"\nkee = 1', "kee = 1", "no entry", id="unknown"),
        pytest.param('"Both', '"""Both\n', 'good = """', "one line", id="two-lines"),
        pytest.param('version = "1"', 'version = ""', 'version = ""', "is empty", id="empty"),
    ],
)
def test_a_fault_is_told_with_its_line(
    tmp_path: Path, old: str, new: str, at: str, wrong: str
) -> None:
    text = GOOD.replace(old, new, 1)
    if new.startswith('"""'):
        text = text.replace('move."', 'move."""')
    what = complaint(tmp_path, text)
    assert wrong in what
    expected = line_of(text, at)
    if "label" in wrong:
        expected -= 1  # a missing entry is placed at the head of its table
    assert f"line {expected}:" in what


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    text = GOOD.replace('key = "2"', 'key = "k"').replace('"correct"', '"bad"')
    text = text.replace('label = "Waiting"', "label = 5")
    what = complaint(tmp_path, text)
    assert [part in what for part in ("'k'", "'bad'", "label must be text")] == [True] * 3


@pytest.mark.parametrize(
    ("text", "line", "wrong"),
    [
        pytest.param('name = "x"\ntitle =\n', 2, "not valid TOML", id="no-value"),
        pytest.param('name = "x"\n[[phase]\n', 2, "not valid TOML", id="bracket"),
        pytest.param('a = 1\nb = "x', 2, "not valid TOML", id="open-string"),
        pytest.param('a = "ok"\nb = "\xff"'.encode("latin-1"), 2, "not UTF-8", id="latin-1"),
        pytest.param("a = " + "[" * 5000, 1, "too deeply", id="deep"),
        pytest.param("a = " + "9" * 5000, 1, "too long", id="digits"),
        pytest.param("phase = 3", 1, "[[phase]]", id="scalar-for-table"),
        pytest.param("", 1, "'name' is missing", id="empty"),
    ],
)
def test_a_file_that_is_no_vocabulary_is_told_with_its_line(
    tmp_path: Path, text: str | bytes, line: int, wrong: str
) -> None:
    what = complaint(tmp_path, text)
    assert f"line {line}:" in what
    assert wrong in what


def test_a_file_over_the_limit_is_refused(tmp_path: Path) -> None:
    assert "1 MB" in complaint(tmp_path, b"# " + b"x" * 1_000_000)


def test_a_missing_file_and_a_folder_get_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "folder.toml").mkdir()
    for name, why in (("none.toml", "no such file"), ("folder.toml", "is a folder")):
        with pytest.raises(UserFacingError, match=why) as caught:
            load_vocabulary(tmp_path / name)
        assert name in caught.value.what
        assert str(tmp_path) not in str(caught.value)


@given(lines=st.permutations(GOOD.splitlines()), cut=st.integers(0, 40))
def test_a_shuffled_vocabulary_loads_or_gets_a_sentence(
    tmp_path_factory: pytest.TempPathFactory, lines: list[str], cut: int
) -> None:
    path = written(tmp_path_factory.mktemp("shuffled"), "\n".join(lines[cut:]))
    try:
        assert load_vocabulary(path).phases
    except UserFacingError as error:
        assert "line " in error.what  # noqa: PT017
