"""On the command line too a review is kept from the other reviewer until both are signed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from command_line import CommandLine

from annotate.case import SessionStatus
from annotate.ids import RowId, new_id
from annotate.people import Reviewer, ReviewerKind
from annotate.tags import Comment, Tag, TagKind
from annotate.watching import Watched
from app.settings import Settings, save_settings
from store import Put, open_store

S = 1_000_000
SIDES = (("A-01", "sculpt"), ("R-07", "crack"))


@pytest.fixture
def both(line: CommandLine, case: str) -> str:
    """A case that two have reviewed, each keeping theirs to themselves."""
    with open_store(line.store) as store:
        for code, phase in SIDES:
            kind = ReviewerKind.SELF if code == "R-07" else ReviewerKind.ATTENDING
            session = store.start_session(store.case(case).id, Reviewer(code, kind))
            tag = Tag(RowId(new_id()), session.id, TagKind.PHASE, phase, S, 2 * S)
            said = Comment(RowId(new_id()), session.id, f"said by {code}", S)
            store.edit(session.id, "fill", code, Put(tag), Put(said))
            store.keep_watched(session.id, [Watched(0, S, 1.0), Watched(S, 2 * S, 4.0)])
            store.veil(session.id, True, code)
    return case


def sign(line: CommandLine, case: str, code: str) -> None:
    with open_store(line.store) as store:
        session = store.find_session(store.case(case).id, code)
        assert store.sign(session.id, code).status is SessionStatus.SIGNED


def sees(line: CommandLine, case: str, me: str, out: Path) -> set[str]:
    """Whose review any command shows to `me`; all commands must agree."""
    save_settings(Settings(reviewer=me))
    (row,) = line.ask("caseload")["cases"]
    assert row["sessions"] == row["tags"] == row["comments"]
    seen = set()
    for code, phase in SIDES:
        commands: tuple[tuple[Any, ...], ...] = (
            ("figures", case),
            ("tags", case, "--to", out / f"{me}-{code}.csv"),
            ("settings", case, "--to", out / f"{me}-{code}-machine.csv"),
            ("note", case, "--to", out / f"{me}-{code}.json"),
        )
        if line.run("figures", case, "--reviewer", code).code == 0:
            seen.add(code)
            for words in commands:
                assert line.ask(*words, "--reviewer", code)["reviewer"] == code
            assert [p["code"] for p in line.ask("figures", case, "--reviewer", code)["phases"]] == [
                phase
            ]
        else:
            tags = out / "tags.csv"
            tags.write_text("kind,code,start,end\nphase,sculpt,1,2\n", encoding="utf-8")
            adding = ("tags", case, "--from", tags)
            with line.unchanged():
                for words in (*commands, adding):
                    sentence = line.refusal(*words, "--reviewer", code)
                    assert f"{code}'s review is kept until both are signed" in sentence
                    assert phase not in sentence
            assert line.ask("figures", case)["reviewer"] != code
    assert {f["reviewer"] for f in line.ask("search", "said")["found"]} == seen
    assert row["sessions"] == len(seen)
    return seen


@pytest.mark.parametrize("earlier", ["A-01", "R-07"])
def test_neither_sees_the_other_until_both_are_signed(
    line: CommandLine, both: str, out: Path, earlier: str
) -> None:
    later = "R-07" if earlier == "A-01" else "A-01"
    for me in (earlier, later):
        assert sees(line, both, me, out) == {me}
    sign(line, both, earlier)
    for me in (earlier, later):
        assert sees(line, both, me, out) == {me}
    sign(line, both, later)
    for me in (earlier, later):
        assert sees(line, both, me, out) == {earlier, later}


def test_figures_say_what_was_watched(line: CommandLine, both: str) -> None:
    save_settings(Settings(reviewer="A-01"))
    with open_store(line.store) as store:
        length_us = store.case(both).length_us
    watched = line.ask("figures", both)["watched"]
    assert watched["share"] == pytest.approx(2 * S / length_us)
    assert watched["share_at_2x_or_slower"] == pytest.approx(S / length_us)
    assert watched["spent_s"] == 1.25
    assert watched["not_watched"] == [{"start_s": 2.0, "end_s": length_us / S}]
    assert "Watched" in line.run("figures", both).out


def test_an_edition_can_be_asked_for(line: CommandLine, both: str, out: Path) -> None:
    save_settings(Settings(reviewer="A-01"))
    sign(line, both, "A-01")
    with open_store(line.store) as store:
        session = store.find_session(store.case(both).id, "A-01")
        store.next_edition(session.id, "A-01")
    for edition in (1, 2):
        line.ask("note", both, "--to", out / "note.json", "--edition", edition)
        said = (out / "note.json").read_text(encoding="utf-8")
        assert f'"edition": {edition},' in said
        assert (session.content_hash in said) == (edition == 1)
    assert "There is no edition 3" in line.refusal("figures", both, "--edition", 3)
