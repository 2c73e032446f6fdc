"""The invented reviewers' remarks, read from the data file beside this module."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from annotate.marks import MarkKind, MarkLook
from annotate.people import Reviewer, ReviewerKind
from annotate.tags import Leaning, TagKind


@dataclass(frozen=True, slots=True)
class MarkPlan:
    """A mark to draw; `size` is a ring's radius in parts of the picture's width."""

    kind: MarkKind
    on: str
    size: float = 0.05
    says: str = ""
    look: MarkLook = MarkLook.CHALK
    follows: bool = False


@dataclass(frozen=True, slots=True)
class Remark:
    """What is said of the nth occurrence of a code, for a phase at a share of its length."""

    kind: TagKind
    code: str
    nth: int
    at: float
    text: str
    leaning: Leaning
    weight: int | None
    mark: MarkPlan | None


@dataclass(frozen=True, slots=True)
class HandOver:
    """Somebody else operates from the end of an event to the end of the phase it is in."""

    who: str
    after_event: str
    until_phase: str


@dataclass(frozen=True, slots=True)
class MachinePlan:
    """Machine values over the nth visit of a phase; `values` are fields of `Setting`."""

    phase: str
    nth: int
    values: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class ReviewPlan:
    """One reviewer's session on one rendered case.

    Attributes
    ----------
    kinds, without : frozenset
        Kinds of tags that the reviewer sets, and codes that this one leaves out.
    """

    case: str
    reviewer: Reviewer
    is_signed: bool
    remarks: tuple[Remark, ...]
    hand_overs: tuple[HandOver, ...]
    kinds: frozenset[TagKind]
    without: frozenset[str]
    machine: tuple[MachinePlan, ...] = ()


def review_plans() -> tuple[ReviewPlan, ...]:
    """Read every review.

    Raises
    ------
    ValueError, KeyError
        If the file is not as it should be: it is ours, so that is a fault of the program.
    """
    text = (files("app.demo") / "remarks.toml").read_text(encoding="utf-8")
    return tuple(_review(entry) for entry in tomllib.loads(text)["review"])


def _review(entry: Mapping[str, Any]) -> ReviewPlan:
    kinds = entry.get("kinds", (TagKind.PHASE, TagKind.IDLE, TagKind.EVENT))
    return ReviewPlan(
        case=entry["case"],
        reviewer=Reviewer(entry["reviewer"], ReviewerKind(entry["kind"])),
        is_signed=entry["signed"],
        remarks=tuple(_remark(remark) for remark in entry["remark"]),
        hand_overs=tuple(HandOver(**hand_over) for hand_over in entry.get("hand-over", ())),
        kinds=frozenset(map(TagKind, kinds)),
        without=frozenset(entry.get("without", ())),
        machine=tuple(_machine(values) for values in entry.get("machine", ())),
    )


def _machine(entry: Mapping[str, Any]) -> MachinePlan:
    values = {name: value for name, value in entry.items() if name not in ("phase", "nth")}
    return MachinePlan(entry["phase"], entry.get("nth", 1), values)


def _remark(entry: Mapping[str, Any]) -> Remark:
    kind = TagKind.EVENT if "event" in entry else TagKind.PHASE
    return Remark(
        kind=kind,
        code=entry[kind.value],
        nth=entry.get("nth", 1),
        at=entry.get("at", 0.0),
        text=entry["text"],
        leaning=Leaning(entry["leaning"]),
        weight=entry.get("weight"),
        mark=_mark(entry["mark"]) if "mark" in entry else None,
    )


def _mark(entry: Mapping[str, Any]) -> MarkPlan:
    return MarkPlan(
        **{
            **entry,
            "kind": MarkKind(entry["kind"]),
            "look": MarkLook(entry.get("look", MarkLook.CHALK)),
        }
    )
