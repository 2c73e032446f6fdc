"""The JSON answers of the command line, against the contract written down when it was ordered."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from command_line import CommandLine
from jsonschema import Draft202012Validator
from known_clips import TICKS_PER_S, Known

from app.cli.shared import bar, printable
from app.jobs.work import Work

NUMBER = {"type": "number", "minimum": 0}
SHARE = {"type": "number", "minimum": 0, "maximum": 1}
COUNT = {"type": "integer", "minimum": 0}
TEXT = {"type": "string", "minLength": 1}
CODES = {"type": "array", "items": TEXT}


def exactly(also: Mapping[str, Any] | None = None, **keys: Any) -> dict[str, Any]:
    """An object with exactly these keys, and perhaps those of `also`."""
    return {
        "type": "object",
        "properties": {**keys, **(also or {})},
        "required": list(keys),
        "additionalProperties": False,
    }


def each(item: Mapping[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": item}


def counted(value: Mapping[str, Any]) -> dict[str, Any]:
    return {"type": "object", "additionalProperties": value}


CLIP = exactly(
    file=TEXT, frames=COUNT, duration_s=NUMBER, fps_mean=NUMBER, variable_rate={"type": "boolean"},
    width=COUNT, height=COUNT, codec=TEXT,
)  # fmt: skip
INTAKE = exactly(case=TEXT, clips=each(CLIP), duration_s=NUMBER)
FRAME = exactly(number=COUNT, time_s=NUMBER, clip=TEXT)
PHASE = exactly(
    code=TEXT, label=TEXT, visits=COUNT, visit_s=each(NUMBER), total_s=NUMBER, active_s=NUMBER,
    share={"type": "number", "minimum": 0, "maximum": 1}, first_start_s=NUMBER, last_end_s=NUMBER,
)  # fmt: skip
IDLE = exactly(
    {"tagged_s": NUMBER},
    total_s=NUMBER, share=NUMBER, untagged_s=NUMBER, by_reason=counted(NUMBER), longest_s=NUMBER,
    longest_at_s={"type": ["number", "null"]},
)  # fmt: skip
ORDER = exactly(
    observed=CODES, distance=COUNT, missing=CODES, repeated=CODES, out_of_order=CODES
)  # fmt: skip
EVENTS = exactly(
    {"by_weight": counted(COUNT), "per_minute": {"type": ["number", "null"]}},
    total=COUNT, by_code=counted(COUNT), by_leaning=counted(COUNT),
)  # fmt: skip
TRANSITION = {"from": TEXT, "to": TEXT, "count": {"type": "integer", "minimum": 1}}
PART = {
    "observed_s": NUMBER, "phases": each(PHASE), "idle": IDLE,
    "transitions": each(exactly(**TRANSITION)), "order": ORDER, "events": EVENTS,
    "conflicts": {"type": "array"},
}  # fmt: skip
ALONE = {"anyOf": [{"type": "null"}, exactly(**PART, operator_only={"type": "null"})]}
OR_NOT = {"type": ["number", "null"], "minimum": 0}
SPENT = {
    "machine": {"type": ["string", "null"]}, "spans": COUNT, "phaco_s": NUMBER,
    "average_power_percent": {**OR_NOT, "maximum": 100}, "effective_phaco_s": OR_NOT,
    "dissipated_energy": OR_NOT, "power_not_noted_s": NUMBER,
    "is_shared_out_by_length": {"type": "boolean"},
}  # fmt: skip
SPENT_ALONE = {"anyOf": [{"type": "null"}, exactly(**SPENT, operator_only={"type": "null"})]}
MACHINE = exactly(**SPENT, operator_only=SPENT_ALONE)
ENERGY = exactly(formula=TEXT, source=TEXT, machines=each(MACHINE))
STRETCH = exactly(start_s=NUMBER, end_s=NUMBER)
WATCHED = exactly(
    share=SHARE, share_at_2x_or_slower=SHARE, spent_s=NUMBER, not_watched=each(STRETCH)
)
FIGURES = exactly(
    case=TEXT, reviewer={"type": ["string", "null"]}, **PART, operator_only=ALONE, energy=ENERGY,
    watched={"oneOf": [{"type": "null"}, WATCHED]},
)  # fmt: skip

TAGS = """kind,code,start,end,leaning,weight,comment
phase,incision,1,3,,,
phase,viscoelastic,3,4.5,,,
phase,capsulorhexis,5,9,,,
phase,hydrodissection,8,10,,,
phase,capsulorhexis,10,12,,,
phase,sculpt,0:00:13.000,0:16,,,
idle,wait,6,7,,,
idle,exchange,12.5,13.5,,,
event,needle-on-wound,6.25,,,3,
event,good-move,11,,,,the rim is closed
event,eye-off-centre,14,14.5,,,
hand-over,attending,8.5,11.5,,,
comment,sculpt,14.25,,correct,2,shallower strokes
"""


def agrees(document: object, schema: Mapping[str, Any]) -> bool:
    faults = [
        f"{e.json_path}: {e.message}" for e in Draft202012Validator(schema).iter_errors(document)
    ]
    assert not faults, faults
    return True


@pytest.fixture
def tagged(line: CommandLine, case: str, out: Path) -> str:
    (out / "tags.csv").write_text(TAGS, encoding="utf-8")
    answer = line.ask("tags", case, "--from", out / "tags.csv", "--reviewer", "A-01")
    assert answer["added"] == 13
    return case


def test_intake_answers_what_the_contract_says(
    line: CommandLine, first: Known, even: Known
) -> None:
    words = ("--operator", "R-07", "--case-number", 3, "--vocabulary", "sics")
    more = ("--code", "CASE-3", "--eye", "OS", "--attribute", "density=3", "--attribute", "pupil=")
    answer = line.ask("intake", even.path, first.path, *words, *more)
    assert agrees(answer, INTAKE)
    assert answer["case"] == "CASE-3"
    steady, jittered = answer["clips"]
    assert steady == {
        "file": "even.mp4", "frames": 60, "duration_s": 2.0, "fps_mean": 30.0,
        "variable_rate": False, "width": 160, "height": 120, "codec": "h264",
    }  # fmt: skip
    assert (jittered["file"], jittered["frames"]) == ("first.mp4", 400)
    assert jittered["variable_rate"] is True
    assert jittered["duration_s"] > first.ticks[-1] / TICKS_PER_S
    assert jittered["fps_mean"] == pytest.approx(400 / jittered["duration_s"], rel=1e-3)
    assert answer["duration_s"] == pytest.approx(2.0 + jittered["duration_s"], abs=1e-9)


def test_a_case_code_is_made_of_operator_and_number(line: CommandLine, even: Known) -> None:
    words = ("--operator", "R-07", "--case-number", 3, "--vocabulary", "sics")
    assert line.ask("intake", even.path, *words)["case"] == "R-07-003"


def test_a_frame_answers_what_the_contract_says(line: CommandLine, even: Known, out: Path) -> None:
    one = line.ask("frame", even.path, "--number", 30, "--to", out / "one.png")
    assert agrees(one, FRAME)
    assert one == {"number": 30, "time_s": 1.0, "clip": "even.mp4"}
    several = ("--at", 1, "--number", 59, "--number", 59, "--at", "0:00:00.000")
    answer = line.ask("frame", even.path, *several, "--to", out / "many")
    assert agrees(answer, each(FRAME))
    assert [a["number"] for a in answer] == [59, 59, 30, 0]
    names = sorted(p.name for p in (out / "many").iterdir())
    assert names == ["frame_0000000.png", "frame_0000030.png", "frame_0000059.png"]


def test_figures_agree_with_those_worked_out_by_hand(line: CommandLine, tagged: str) -> None:
    """Observed 1 to 16. Tagged as phases: 3.5 + 7 + 3; idle: 0.5 + 1 + 1.5, of it 2 with a reason.

    Order: the second capsulorhexis goes and seven phases are missing, so the distance is 8.
    """
    found = line.ask("figures", tagged)
    assert agrees(found, FIGURES)
    assert (found["case"], found["reviewer"], found["observed_s"]) == (tagged, "A-01", 15.0)
    rows = {p["code"]: p for p in found["phases"]}
    assert list(rows) == ["incision", "viscoelastic", "capsulorhexis", "hydrodissection", "sculpt"]
    assert rows["capsulorhexis"] == {
        "code": "capsulorhexis", "label": "Capsulorhexis", "visits": 2, "visit_s": [4.0, 2.0],
        "total_s": 6.0, "active_s": 5.0, "share": 0.4, "first_start_s": 5.0, "last_end_s": 12.0,
    }  # fmt: skip
    assert [p["total_s"] for p in rows.values()] == [2.0, 1.5, 6.0, 2.0, 3.0]
    assert [p["active_s"] for p in rows.values()] == [2.0, 1.5, 5.0, 2.0, 2.5]
    idle = found["idle"]
    assert (idle["total_s"], idle["share"], idle["untagged_s"]) == (3.0, 0.2, 1.0)
    assert idle["by_reason"] == {"wait": 1.0, "exchange": 1.0}
    assert (idle["longest_s"], idle["longest_at_s"]) == (1.5, 12.0)
    assert [(t["from"], t["to"], t["count"]) for t in found["transitions"]] == [
        ("incision", "viscoelastic", 1), ("viscoelastic", "capsulorhexis", 1),
        ("capsulorhexis", "hydrodissection", 1), ("hydrodissection", "capsulorhexis", 1),
        ("capsulorhexis", "sculpt", 1),
    ]  # fmt: skip
    assert found["order"]["distance"] == 8
    assert found["order"]["missing"] == [
        "crack", "fragments", "cortex", "polish", "lens", "viscoelastic-removal", "closure"
    ]  # fmt: skip
    assert (found["order"]["repeated"], found["order"]["out_of_order"]) == (["capsulorhexis"], [])
    assert found["events"]["total"] == 3
    assert found["events"]["by_code"] == {"eye-off-centre": 1, "needle-on-wound": 1, "good-move": 1}
    assert found["events"]["by_leaning"] == {"correct": 2, "commend": 1}
    assert found["events"]["by_weight"] == {"1": 2, "3": 1}
    assert found["events"]["per_minute"] == 12.0
    overlap = {"first": "capsulorhexis", "second": "hydrodissection", "start_s": 8.0, "end_s": 9.0}
    assert found["conflicts"] == [overlap]


def test_a_hand_over_is_left_out_of_the_operators_own_figures(
    line: CommandLine, tagged: str
) -> None:
    """The attending has 8.5 to 11.5: 12 s are left, 10.5 s in phases, 1.5 s of them idle."""
    own = line.ask("figures", tagged, "--reviewer", "A-01")["operator_only"]
    assert own["observed_s"] == 12.0
    totals = {p["code"]: (p["visit_s"], p["active_s"]) for p in own["phases"]}
    assert totals["capsulorhexis"] == ([3.5, 0.5], 3.0)
    assert totals["hydrodissection"] == ([0.5], 0.5)
    assert (own["idle"]["total_s"], own["idle"]["share"]) == (3.0, 0.25)
    assert own["events"]["by_code"] == {"eye-off-centre": 1, "needle-on-wound": 1}
    assert [(c["start_s"], c["end_s"]) for c in own["conflicts"]] == [(8.0, 8.5)]


def test_figures_of_a_case_that_nobody_reviewed_are_nothing(line: CommandLine, case: str) -> None:
    found = line.ask("figures", case)
    assert agrees(found, FIGURES)
    assert found["reviewer"] is None
    assert (found["observed_s"], found["phases"], found["operator_only"]) == (0, [], None)
    assert found["idle"]["longest_at_s"] is None


def test_the_caseload_lists_the_case(line: CommandLine, tagged: str) -> None:
    (row,) = line.ask("caseload")["cases"]
    assert (row["case"], row["operator"], row["case_number"]) == (tagged, "R-07", 14)
    assert (row["clips"], row["status"], row["tags"], row["comments"]) == (2, "draft", 12, 1)


def test_json_may_stand_before_or_after_the_command(line: CommandLine, tagged: str) -> None:
    for words in (["caseload"], ["figures", tagged]):
        before, after = line.run("--json", *words), line.run(*words, "--json")
        assert before == after
        assert json.loads(before.out)
    plain = line.run("figures", tagged)
    assert "Capsulorhexis" in plain.out
    assert not plain.out.startswith("{")


def test_without_json_people_are_told_the_same(line: CommandLine, tagged: str, out: Path) -> None:
    assert tagged in line.run("caseload").out
    assert "13 tags written" in line.run("tags", tagged, "--to", out / "t.csv").out
    assert "t.md" in line.run("note", tagged, "--to", out / "t.md").out
    assert "frame 3 at" in line.run("frame", tagged, "--number", 3, "--to", out / "t.png").out


def test_help_names_every_command_and_needs_no_store(line: CommandLine) -> None:
    told = line.run("--help")
    assert told.code == 0
    names = ("desk", "demo", "intake", "caseload", "parts", "frame", "tags", "figures", "note")
    assert all(f"\n  {name} " in told.out for name in names)
    for name in names:
        assert line.run(name, "--help").code == 0
    assert not line.store.exists()


def test_a_bar_tells_how_far_the_work_is_and_how_long_it_lasts() -> None:
    now = iter([0.0, 10.0, 10.0])
    work = Work("Reading a clip", clock=lambda: next(now))
    assert bar(work) == "Reading a clip ..."
    work.advance(0.25)
    assert bar(work, width=8) == "Reading a clip [==      ]  25%  30 s left   "


def test_nothing_that_is_printed_steers_a_terminal() -> None:
    assert printable("a\x1b[31m\nb\u202ec\udcff") == "a?[31m b?c?"
