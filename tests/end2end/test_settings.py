"""Machine values by the command line: in, out again, and what they add up to."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import CommandLine

VALUES = """start,end,mode,vacuum_mmhg,power_percent,torsional_percent,energy_s,machine
0:00:01.000,0:00:06.000,sculpt,80,20,0,4,North
6,16.5,quadrants,350,0,40,10,North
"""
"""4 s at 20 % are 0.8; 10 s of amplitude 40 % weigh 0.4 x 0.4 x 10 = 1.6; together 2.4."""


@pytest.fixture
def noted(line: CommandLine, case: str, out: Path) -> str:
    (out / "in.csv").write_text(VALUES, encoding="utf-8")
    answer = line.ask("settings", case, "--from", out / "in.csv", "--reviewer", "A-01")
    assert answer == {
        "case": case, "reviewer": "A-01", "added": 2, "already_there": 0, "gave_way": 0,
    }  # fmt: skip
    return case


def test_figures_have_the_energy_of_each_machine(line: CommandLine, noted: str) -> None:
    energy = line.ask("figures", noted)["energy"]
    (machine,) = energy["machines"]
    assert machine == {
        "machine": "North", "spans": 2, "phaco_s": 14.0,
        "average_power_percent": pytest.approx(0.8 * 100 / 14),
        "effective_phaco_s": pytest.approx(0.8), "dissipated_energy": pytest.approx(2.4),
        "power_not_noted_s": 0.0, "is_shared_out_by_length": False, "operator_only": None,
    }  # fmt: skip
    assert "0.4" in energy["formula"]
    plain = line.run("figures", noted).out
    assert "North: phaco time 14.0 s" in plain
    assert "dissipated energy 2.4" in plain


def test_what_is_written_reads_back_as_the_same(line: CommandLine, noted: str, out: Path) -> None:
    answer = line.ask("settings", noted, "--to", out / "out.csv")
    assert answer["written"] == 2
    again = line.ask("settings", noted, "--from", out / "out.csv", "--reviewer", "A-01")
    assert (again["added"], again["already_there"]) == (0, 2)
    elsewhere = line.ask("settings", noted, "--from", out / "out.csv", "--reviewer", "A-02")
    assert elsewhere["added"] == 2


def test_the_note_says_it(line: CommandLine, noted: str, out: Path) -> None:
    line.ask("note", noted, "--to", out / "note.json", "--reviewer", "A-01")
    document = json.loads((out / "note.json").read_text(encoding="utf-8"))
    (machine,) = document["machine"]["machines"]
    assert machine["dissipated_energy"] == pytest.approx(2.4)


def test_a_bad_file_changes_nothing_and_every_bad_line_is_told(
    line: CommandLine, noted: str, out: Path
) -> None:
    (out / "bad.csv").write_text(VALUES + "20,19,x,,,,,\n21,22,x,5000,,,,\n", encoding="utf-8")
    answer = line.run("settings", noted, "--from", out / "bad.csv", "--reviewer", "A-02")
    assert answer.code == 2
    assert "line 4" in answer.err
    assert "line 5: vacuum is 0 to 1000 mmHg, not 5000" in answer.err
    for words in ((), ("--from", out / "in.csv", "--to", out / "out.csv")):
        refused = line.run("settings", noted, *words)
        assert refused.code == 2
        assert "--from FILE or --to FILE" in refused.err
