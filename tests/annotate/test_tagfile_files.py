from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tag_rows import LENGTH_US, WORDS, tag_rows

from annotate.errors import UserFacingError
from annotate.tagfile import HEADER, RowKind, TagRow, read_rows, write_rows
from annotate.tagfile.rows import as_written, span_ms
from annotate.tags import LONGEST_TEXT

ENDINGS = (".csv", ".json", ".vtt")
HEAD = ",".join(HEADER) + "\n"
CASE_US = 200_000_000
ONE = TagRow(RowKind.PHASE, "sculpt", 1_000_000, 2_000_000)


def as_read(row: TagRow) -> TagRow:
    """What a row is after it was written: times at whole milliseconds, within the case."""
    start_ms, end_ms = span_ms(row)
    end_us = None if end_ms is None else min(end_ms * 1000, LENGTH_US)
    return replace(row, start_us=start_ms * 1000, end_us=end_us)


def refusal(path: Path, content: str | bytes, length_us: int | None = CASE_US) -> str:
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(UserFacingError) as caught:
        read_rows(path, WORDS, length_us)
    assert path.name in caught.value.what
    assert str(path.parent) not in str(caught.value)
    assert caught.value.do
    return caught.value.what


@pytest.mark.parametrize("ending", ENDINGS)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(tag_rows(), max_size=5))
def test_every_row_comes_back_to_the_millisecond(
    tmp_path: Path, ending: str, rows: list[TagRow]
) -> None:
    path = tmp_path / f"tags{ending}"
    write_rows(rows, path, WORDS)
    back = read_rows(path, WORDS, LENGTH_US)
    assert sorted(map(repr, back)) == sorted(repr(as_read(row)) for row in as_written(rows))


@pytest.mark.parametrize("ending", ENDINGS)
def test_no_rows_come_back_as_no_rows(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"tags{ending}"
    write_rows([], path, WORDS)
    assert read_rows(path, WORDS) == ()


@pytest.mark.parametrize("ending", ENDINGS)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=st.binary(max_size=60) | st.text(max_size=60).map(str.encode))
def test_anything_else_gets_a_sentence(tmp_path: Path, ending: str, content: bytes) -> None:
    path = tmp_path / f"tags{ending}"
    starts = {".csv": HEAD.encode(), ".json": b'{"tags":', ".vtt": b"WEBVTT\n\n"}
    for whole in (content, starts[ending] + content):
        path.write_bytes(whole)
        try:
            rows = read_rows(path, WORDS, CASE_US)
        except UserFacingError as error:
            assert error.what.endswith(".")  # noqa: PT017
        else:
            assert all(row.start_us <= CASE_US for row in rows)


@pytest.mark.parametrize("ending", ENDINGS)
def test_an_empty_file_and_another_encoding_get_their_sentences(
    tmp_path: Path, ending: str
) -> None:
    path = tmp_path / f"tags{ending}"
    assert "empty" in refusal(path, b"\n \n")
    assert "UTF-16" in refusal(path, HEAD.encode("utf-16"))
    assert "line 2" in refusal(path, HEAD.encode() + b"comment,,1,,,,caf\xe9\n")


def test_a_mark_at_the_front_of_utf_8_is_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "tags.csv"
    path.write_bytes(b"\xef\xbb\xbf" + HEAD.encode())
    assert read_rows(path, WORDS) == ()


def test_a_fifty_megabyte_comment_is_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "tags.csv"
    with path.open("wb") as file:
        file.write(HEAD.encode() + b"comment,,1,,,,")
        for _ in range(50):
            file.write(b"x" * 1_000_000)
    before = time.perf_counter()
    with pytest.raises(UserFacingError, match=r"tags\.csv is over 20 MB"):
        read_rows(path, WORDS)
    assert time.perf_counter() - before < 10


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_missing_file_and_a_folder_get_a_sentence(tmp_path: Path, ending: str) -> None:
    folder = tmp_path / f"folder{ending}"
    folder.mkdir()
    with pytest.raises(UserFacingError, match="it is a folder"):
        read_rows(folder, WORDS)
    with pytest.raises(UserFacingError, match="no such file"):
        read_rows(tmp_path / f"none{ending}", WORDS)


def test_another_ending_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "tags.txt"
    with pytest.raises(UserFacingError, match="no tag file"):
        write_rows([ONE], path, WORDS)
    with pytest.raises(UserFacingError, match="no tag file"):
        read_rows(path, WORDS)
    assert not path.exists()


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_failed_write_leaves_what_was_there(tmp_path: Path, ending: str) -> None:
    taken = tmp_path / f"tags{ending}"
    taken.mkdir()
    with pytest.raises(UserFacingError, match="cannot be written"):
        write_rows([ONE], taken, WORDS)
    assert list(tmp_path.iterdir()) == [taken]
    with pytest.raises(UserFacingError, match="cannot be written"):
        write_rows([ONE], tmp_path / "nowhere" / f"tags{ending}", WORDS)


@pytest.mark.parametrize(
    ("row", "wrong"),
    [
        ("phase,sculpt,0:03:00,0:02:00,,,", "ends at 0:02:00.000, which is not after its start"),
        ("phase,sculpt,5,5,,,", "is not after its start"),
        ("phase,sculpting,1,2,,,", "'sculpting' is no phase in phaco-stop-chop"),
        ("phase,,1,2,,,", "the phase has no code"),
        ("event,sculpt,1,,,,", "'sculpt' is no event"),
        ("idle,coffee,1,2,,,", "'coffee' is no idle"),
        ("comment,coffee,1,2,,,x", "'coffee' is no phase"),
        ("hand-over,Dr. X!,1,2,,,", "cannot be the operator"),
        ("fase,sculpt,1,2,,,", "kind is phase, event, idle, comment, hand-over, not 'fase'"),
        ("phase,sculpt,nan,2,,,", "start: 'nan' is not a time"),
        ("phase,sculpt,1,inf,,,", "end: 'inf' is not a time"),
        ("phase,sculpt,-1,2,,,", "before the case begins"),
        ("phase,sculpt,,2,,,", "the start is missing"),
        ("phase,sculpt,1,,,,", "the end is missing"),
        ("idle,wait,1,,,,", "the end is missing"),
        ("hand-over,,1,,,,", "the end is missing"),
        ("phase,sculpt,1,200.002,,,", "beyond the end of the case at 0:03:20.000"),
        ("event,good-move,300,,,,", "beyond the end of the case"),
        ("event,good-move,1,,great,,", "not 'great'"),
        ("event,good-move,1,,,4,", "weight is 1, 2, 3 or nothing, not '4'"),
        ("event,good-move,1,,,1.0,", "not '1.0'"),
        ("phase,sculpt,1,2,,", "7 cells are wanted, here are 6"),
        ("phase,sculpt,1,2,,,,", "7 cells are wanted, here are 8"),
        ('comment,,1,,,,"never closed', "none closes it"),
        ('comment,,1,,,,"closed"early', "not valid CSV"),
        (f"comment,,1,,,,{'x' * (LONGEST_TEXT + 1)}", "20,001 characters; at most 20,000"),
        (f"comment,,1,,,,{'x' * 200_000}", "far longer than the 20,000"),
    ],
)
def test_a_bad_csv_row_is_told_with_its_line(tmp_path: Path, row: str, wrong: str) -> None:
    good = 'comment,,1,,,,"two\nlines"\n'
    what = refusal(tmp_path / "tags.csv", HEAD + good + row + "\n")
    assert wrong in what
    assert "line 4:" in what
    assert "1 bad row:" in what
    assert len(what) < 600


def test_all_bad_rows_are_listed_and_nothing_is_kept(tmp_path: Path) -> None:
    rows = [f"phase,sculpt,{n},{n - 1 if n % 3 == 0 else n + 1},,,\n" for n in range(1, 13)]
    what = refusal(tmp_path / "tags.csv", HEAD + "".join(rows))
    assert what.count("line ") == 4
    for line in (4, 7, 10, 13):
        assert f"line {line}: it ends" in what


def test_a_thousand_bad_rows_are_all_listed_briefly(tmp_path: Path) -> None:
    what = refusal(tmp_path / "tags.csv", HEAD + "phase,sculpt,2,1,,,\n" * 1000)
    assert "1000 bad rows" in what
    assert what.endswith(", 1000, 1001.")
    assert len(what) < 20_000


@pytest.mark.parametrize(
    ("header", "wrong"),
    [
        ("kind;code;start;end;leaning;weight;comment", "semicolons"),
        ("kind\tcode\tstart\tend\tleaning\tweight\tcomment", "tabs"),
        ("code,kind,start,end,leaning,weight,comment", "the header must be"),
        ("phase,sculpt,1,2,,,", "the header must be"),
    ],
)
def test_a_wrong_header_is_told(tmp_path: Path, header: str, wrong: str) -> None:
    assert wrong in refusal(tmp_path / "tags.csv", header + "\nphase,sculpt,1,2,,,\n")


def test_times_read_as_seconds_or_as_clock(tmp_path: Path) -> None:
    path = tmp_path / "tags.csv"
    path.write_text(HEAD + "phase,sculpt,74.815,0:02:00.5,,,\nhand-over,,1,2,,,\n")
    rows = read_rows(path, WORDS)
    assert rows[0] == TagRow(RowKind.PHASE, "sculpt", 74_815_000, 120_500_000)
    assert rows[1].code == "attending"


def test_a_time_within_rounding_of_the_end_is_set_to_it(tmp_path: Path) -> None:
    path = tmp_path / "tags.csv"
    path.write_text(HEAD + "phase,sculpt,1,200.001,,,\n")
    assert read_rows(path, WORDS, CASE_US)[0].end_us == CASE_US


def test_empty_lines_and_rows_of_empty_cells_are_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "tags.csv"
    path.write_text(HEAD + "\n,,,,,,\nphase,sculpt,1,2,,,\n\n")
    assert read_rows(path, WORDS) == (ONE,)


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@x", "\t=1", "'=1", "''=1", "\n=1", "\uff1d1", "'plain", "'"]
)
def test_no_text_runs_in_a_spreadsheet_and_all_comes_back(tmp_path: Path, text: str) -> None:
    path = tmp_path / "tags.csv"
    row = TagRow(RowKind.COMMENT, "", 0, comment=text)
    write_rows([row], path, WORDS)
    cell = path.read_text(encoding="utf-8").split(",,,,", 1)[1].lstrip('"')
    assert cell[0] not in "=+-@\t\r\n\uff1d"
    assert read_rows(path, WORDS) == (row,)


def document(*tags: object) -> dict[str, object]:
    return {"format": "scrubline-tags", "version": 1, "tags": list(tags)}


SPAN = {"kind": "phase", "code": "sculpt", "start": 1, "end": "0:00:02"}


@pytest.mark.parametrize(
    ("entry", "wrong"),
    [
        ({**SPAN, "start": -1}, "seconds from 0 up"),
        ({**SPAN, "start": True}, "seconds from 0 up"),
        ({**SPAN, "start": "soon"}, "'soon' is not a time"),
        ({**SPAN, "start": 1e300}, "start: "),
        ({**SPAN, "end": 1}, "not after its start"),
        ({**SPAN, "end": 201}, "beyond the end"),
        ({**SPAN, "code": "sculpting"}, "'sculpting' is no phase"),
        ({**SPAN, "colour": "red"}, "there is no entry 'colour'"),
        ({**SPAN, "weight": 4}, "weight is 1, 2, 3, null, not 4"),
        ({**SPAN, "weight": "1"}, "weight is"),
        ({**SPAN, "leaning": "great"}, 'not "great"'),
        ({**SPAN, "kind": "fase"}, 'not "fase"'),
        ({**SPAN, "comment": "x" * 20_001}, "over 20,000 characters"),
        ({**SPAN, "comment": [[]]}, "comment must be of type string, not a list"),
        ({"kind": "phase", "code": "sculpt", "start": 1}, "'end' is missing"),
        ({"kind": "event", "start": 1}, "'code' is missing"),
        ({"start": 1}, "'kind' is missing"),
        (7, "must be of type object, not 7"),
    ],
)
def test_a_bad_json_row_is_told_with_its_line(tmp_path: Path, entry: object, wrong: str) -> None:
    text = json.dumps(document(SPAN, 0), indent=None).replace(" 0]", "\n\n%s\n]")
    what = refusal(tmp_path / "tags.json", text % json.dumps(entry))
    assert wrong in what
    assert "1 bad row: line 3:" in what
    assert len(what) < 600


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ('{"format": "scrubline-tags",\n"version" 1}', "line 2: not valid JSON"),
        ('{"version": 1,\n"tags": [NaN]}', "line 2: NaN is no number"),
        ('{"version": -Infinity}', "-Infinity is no number"),
        ("[" * 100_000, "too deeply"),
        ('{"a":' * 100_000, "too deeply"),
        ("9" * 5000, "too many digits"),
        ("[]", "must be of type object"),
        ("{}", "'format' is missing, 'version' is missing, 'tags' is missing"),
        (json.dumps({**document(), "version": 2}), "version is 1, not 2"),
    ],
)
def test_a_json_file_of_another_kind_is_told(tmp_path: Path, text: str, wrong: str) -> None:
    assert wrong in refusal(tmp_path / "tags.json", text)


@pytest.mark.parametrize("depth", [200, 500, 900, 950, 980, 990])
def test_deep_json_within_the_parser_gets_a_sentence(tmp_path: Path, depth: int) -> None:
    entry = {**SPAN, "comment": 0}
    text = json.dumps(document(entry)).replace(
        '"comment": 0', '"comment": ' + "[" * depth + "]" * depth
    )
    refusal(tmp_path / "tags.json", text)


@pytest.mark.parametrize("ending", ENDINGS)
def test_five_thousand_rows_are_read_in_seconds(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"tags{ending}"
    rows = [
        TagRow(RowKind.EVENT, "good-move", n * 1_000_000, comment="x" * 50) for n in range(5000)
    ]
    write_rows(rows, path, WORDS)
    before = time.perf_counter()
    assert len(read_rows(path, WORDS)) == 5000
    assert time.perf_counter() - before < 20
