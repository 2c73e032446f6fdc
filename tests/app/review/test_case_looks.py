"""How a case is looked at is remembered, and a bad file does no harm."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clip.showing import Tone
from app.places import looks_folder
from app.review.case_looks import AS_FILMED, BRIGHTNESS, CONTRAST, GAMMA, CaseLook, CaseLooks

looks = st.builds(
    CaseLook,
    st.sampled_from((0, 90, 180, 270)),
    st.booleans(),
    st.builds(Tone, st.floats(*BRIGHTNESS), st.floats(*CONTRAST), st.floats(*GAMMA)),
)
TURNED = CaseLook(90, True, Tone(0.1, 1.2, 0.9))


@given(looks)
def test_what_is_kept_comes_back_exactly(
    tmp_path_factory: pytest.TempPathFactory, look: CaseLook
) -> None:
    folder = tmp_path_factory.mktemp("looks")
    CaseLooks(folder).keep("case-1", look)
    assert CaseLooks(folder).look("case-1") == look
    assert CaseLooks(folder).look("case-2") == AS_FILMED
    assert not list(folder.glob("*.part"))


def test_what_is_as_filmed_leaves_no_file(tmp_path: Path) -> None:
    kept = CaseLooks(tmp_path)
    kept.keep("a", TURNED)
    kept.keep("a", AS_FILMED)
    assert not list(tmp_path.iterdir())
    assert kept.look("a") == AS_FILMED


def test_the_ones_longest_untouched_are_forgotten(tmp_path: Path) -> None:
    kept = CaseLooks(tmp_path, most=3)
    for place in range(6):
        kept.keep(f"case-{place}", TURNED)
        os.utime(tmp_path / f"case-{place}.json", ns=(place * 10**9, place * 10**9))
    kept.keep("case-3", TURNED)
    assert sorted(p.stem for p in tmp_path.iterdir()) == ["case-3", "case-4", "case-5"]


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{", "null", '{"tone": 3}', '{"turn_deg": 45, "tone": {"gamma": "x"}}', "[" * 5000,
     '{"tone": {"brightness": NaN, "contrast": true, "gamma": null}}', "\x00\xff"],
)  # fmt: skip
def test_a_file_that_makes_no_sense_is_as_filmed(tmp_path: Path, text: str) -> None:
    (tmp_path / "a.json").write_text(text, encoding="utf-8")
    assert CaseLooks(tmp_path).look("a") == AS_FILMED


def test_bytes_that_are_no_text_are_as_filmed(tmp_path: Path) -> None:
    (tmp_path / "a.json").write_bytes(b"\xff\xfe{\x80")
    assert CaseLooks(tmp_path).look("a") == AS_FILMED


def test_values_out_of_range_are_held(tmp_path: Path) -> None:
    (tmp_path / "a.json").write_text('{"tone": {"brightness": 9, "gamma": 0}}')
    assert CaseLooks(tmp_path).look("a").tone == Tone(BRIGHTNESS[1], 1.0, GAMMA[0])


@pytest.mark.parametrize("bad", ["../a", "", "a/b", "a" * 65, ".."])
def test_an_id_never_leads_out_of_the_folder(tmp_path: Path, bad: str) -> None:
    with pytest.raises(ValueError, match="no id"):
        CaseLooks(tmp_path).keep(bad, TURNED)


def test_a_folder_that_cannot_be_written_keeps_what_was_there(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    with pytest.raises((FileExistsError, NotADirectoryError)):
        CaseLooks(blocked).keep("a", TURNED)
    assert blocked.read_text() == "no folder"


def test_the_users_own_folder_is_among_their_data() -> None:
    kept = CaseLooks()
    kept.keep("a", TURNED)
    assert (looks_folder() / "a.json").is_file()
