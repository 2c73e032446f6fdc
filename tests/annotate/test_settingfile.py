"""Machine values as CSV: both ways, and every bad row told with its line."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import to_ms
from annotate.errors import UserFacingError
from annotate.ids import RowId, SessionId
from annotate.marks import Setting
from annotate.setting_values import VALUES, number_in
from annotate.settingfile import HEADER, read_settings, settings_csv, write_settings
from annotate.tagfile.rows import clean_text

SESSION = SessionId("session-1")
S = 1_000_000
_WORDS = st.text("abc =+-@'\t,;\"\uff1dé", max_size=20)


@st.composite
def many_settings(draw: st.DrawFn) -> list[Setting]:
    """Spans one after another, none shorter than a file can tell."""
    found, at_us = [], 0
    for number in range(draw(st.integers(0, 6))):
        start_us = at_us + draw(st.integers(0, 10 * S))
        at_us = start_us + draw(st.integers(3000, 300 * S))
        values = {
            kind.name: draw(st.none() | st.floats(kind.least, kind.most).map(lambda v: round(v, 9)))
            for kind in VALUES
            if kind.name != "energy_s"
        }
        values["vacuum_mmhg"] = draw(st.integers(0, 1000).map(float))
        length_s = (at_us - start_us) / S
        values["energy_s"] = draw(st.none() | st.floats(0, length_s).map(lambda v: round(v, 6)))
        found.append(
            Setting(
                RowId(f"v{number}"), SESSION, start_us, at_us,
                mode=draw(_WORDS), machine=draw(_WORDS), **values,
            )
        )  # fmt: skip
    return found


@given(many_settings())
def test_what_is_written_is_read_to_the_millisecond(
    tmp_path_factory: pytest.TempPathFactory, settings: list[Setting]
) -> None:
    path = tmp_path_factory.mktemp("values") / "out.csv"
    write_settings(settings, path)
    back = read_settings(path, SESSION)
    assert len(back) == len(settings)
    for one, other in zip(settings, back, strict=True):
        assert abs(one.start_us - other.start_us) < 1000
        assert abs(one.end_us - other.end_us) < 1000
        assert to_ms(other.start_us) * 1000 == other.start_us
        for kind in VALUES:
            assert kind.of(other) == kind.of(one)
        for words, again in ((one.mode, other.mode), (one.machine, other.machine)):
            assert again == " ".join(clean_text(words).split())
    assert settings_csv(back) == settings_csv(
        [Setting(o.id, SESSION, b.start_us, b.end_us, b.mode, **{k.name: k.of(o) for k in VALUES},
                 machine=b.machine) for o, b in zip(settings, back, strict=True)]
    )  # fmt: skip


def test_columns_in_any_order_with_only_what_was_noted(tmp_path: Path) -> None:
    path = tmp_path / "v.csv"
    path.write_text('end,start,power_percent,mode\n0:01:00,5.5,"12,5",sculpt\n', encoding="utf-8")
    (row,) = read_settings(path, SESSION)
    assert (row.start_us, row.end_us) == (5_500_000, 60 * S)
    assert (row.power_percent, row.mode, row.vacuum_mmhg) == (12.5, "sculpt", None)


BAD = f"""{",".join(HEADER)}
0,10,sculpt,1200,,,,,,,,
10,9,sculpt,,,,,,,,,
20,30,sculpt,x,201,,,,,,,
25,40,chop,300,,,,,,,,
50,60,,,,,,,,,,
60,70,,,,,,,,,90,
70,2000,chop,,,,,,,,,
80,90,chop
nan,inf,chop,nan,,,,,,,,
"""


def test_every_bad_row_is_told_with_its_line_and_nothing_is_taken(tmp_path: Path) -> None:
    path = tmp_path / "v.csv"
    path.write_text(BAD, encoding="utf-8")
    with pytest.raises(UserFacingError) as caught:
        read_settings(path, SESSION, 1000 * S)
    told = caught.value.what
    assert "8 bad rows" in told
    for piece in (
        "line 2: vacuum is 0 to 1000 mmHg, not 1200",
        "line 3: it ends at 0:00:09.000, which is not after its start at 0:00:10.000",
        "line 4: flow is 0 to 200 cc/min, not 201, and vacuum_mmhg is a number or nothing, not 'x'",
        "line 6: no value is given",
        "line 7: ultrasound cannot have been on for 90 s in 10.0 s",
        "line 8: the end 0:33:20.000 lies beyond the end of the case",
        "line 9: 12 cells are wanted, here are 3",
        "line 10: end: 'inf' is not a time, and start: 'nan' is not a time",
    ):
        assert piece in told
    assert "Nothing was taken" in caught.value.do


def test_two_spans_of_one_moment_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "v.csv"
    path.write_text("start,end,vacuum_mmhg\n0,10,80\n9.5,12,300\n", encoding="utf-8")
    with pytest.raises(UserFacingError, match="line 3: it begins before the values of line 2 end"):
        read_settings(path, SESSION)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("a,b\n1,2\n", "no column start"),
        ("start,end,colour\n1,2,red\n", "'colour' is no column"),
        ("start;end;mode\n1;2;x\n", "parted by commas"),
        ("start,end,mode,mode\n1,2,x,y\n", "twice"),
        ("start,end,mode\n1,2,\"x\n", "quotation mark"),
    ],
)  # fmt: skip
def test_files_that_are_none(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "v.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(UserFacingError, match=said):
        read_settings(path, SESSION)


def test_no_cell_can_act_as_a_formula(tmp_path: Path) -> None:
    row = Setting(RowId("v"), SESSION, 0, S, mode="=1+1", machine="@SUM(A1)", vacuum_mmhg=80)
    text = settings_csv([row])
    assert "'=1+1" in text
    assert "'@SUM(A1)" in text
    path = tmp_path / "v.csv"
    write_settings([row], path)
    (back,) = read_settings(path, SESSION)
    assert (back.mode, back.machine) == ("=1+1", "@SUM(A1)")


@pytest.mark.parametrize("text", ["nan", "inf", "1e3", "1-2", "--1", "", "0x10", "1 000", "1,2,3"])
def test_what_is_no_plain_number(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011
        number_in(text)


def test_numbers_with_dot_or_comma() -> None:
    assert number_in(" 12.5 ") == number_in("12,5") == 12.5
    assert number_in("\N{MINUS SIGN}3") == -3
