"""`parts`: how the parts of a recording lie, what was found at their joins, and moving them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from annotate.case import Case
from annotate.clip.joins import Join
from annotate.clock import format_time, seconds, shown
from annotate.errors import UserFacingError
from annotate.ids import ClipId
from app.cli.shared import Line, command, shown_work
from app.intake.adding_parts import add_parts
from app.intake.clips import find_clip
from app.intake.found_joins import find_joins
from app.intake.parts_plan import PartsPlan, facts
from app.jobs.work import Work

if TYPE_CHECKING:
    from store import Store


@command("parts")
@click.argument("case_code", metavar="CASE")
@click.option("--order", metavar="N,N,...", help="New order, by the numbers the parts have now.")
@click.option(
    "--offset",
    "offsets",
    multiple=True,
    metavar="N=TIME",
    help="What lies before a part: a gap, or with a minus what it repeats; seconds or '12 f'.",
)
@click.option("--take-found", is_flag=True, help="Take the gaps and repetitions that were found.")
@click.option(
    "--add", multiple=True, type=click.Path(path_type=Path), metavar="CLIP", help="Add a part."
)
def parts(
    line: Line,
    case_code: str,
    order: str | None,
    offsets: tuple[str, ...],
    take_found: bool,
    add: tuple[Path, ...],
) -> None:
    with line.opened() as store, shown_work("Looking at the parts") as work:
        case = store.case(case_code)
        if add:
            case = add_parts(store, case, add, by=line.settings.reviewer, work=work)
        joins = find_joins(store, case, work)
        if order is not None or offsets or take_found:
            case = _arranged(store, case, joins, order, offsets, take_found, line.settings.reviewer)
            joins = find_joins(store, case, Work())
        there = [_trouble(store, case, n) == "" for n in range(len(case.clips))]
    document = parts_document(case, joins, there)
    line.answer(document, "\n".join(_lines(case, joins, there)))


def _arranged(
    store: Store,
    case: Case,
    joins: Sequence[Join | None],
    order: str | None,
    offsets: Sequence[str],
    take_found: bool,
    by: str,
) -> Case:
    ids = [clip.id for clip in case.clips]
    pairs = zip(ids, ids[1:], joins, strict=False)
    plan = PartsPlan(case, {(a, b): join for a, b, join in pairs if join is not None}, {})
    if order is not None:
        for target, clip_id in enumerate(_order(order, ids)):
            place = [line.clip.id for line in plan.lines].index(clip_id)
            plan.move(place, target - place)
    if take_found:
        for line in plan.lines:
            plan.take_found(line.place)
    for text in offsets:
        number, equals, offset = text.partition("=")
        if not equals or not number.strip().isdecimal() or not 1 <= int(number) <= len(ids):
            raise UserFacingError(
                f"'{shown(text)}' is no offset.", "Write N=TIME, such as 2=4.2 or 3=-12f."
            )
        place = [line.clip.id for line in plan.lines].index(ids[int(number) - 1])
        plan.set_offset(place, offset)
    return store.arrange(case.id, plan.order, by)


def _order(text: str, ids: Sequence[ClipId]) -> list[ClipId]:
    numbers = [n.strip() for n in text.split(",")]
    if sorted(numbers) != sorted(str(n + 1) for n in range(len(ids))):
        raise UserFacingError(
            f"'{shown(text)}' is no order of {len(ids)} parts.",
            "Name each part once by its number, such as 2,1,3.",
        )
    return [ids[int(n) - 1] for n in numbers]


def _trouble(store: Store, case: Case, place: int) -> str:
    try:
        find_clip(store, case, case.clips[place])
    except UserFacingError as trouble:
        return str(trouble)
    return ""


def parts_document(
    case: Case, joins: Sequence[Join | None], there: Sequence[bool]
) -> dict[str, Any]:
    """The answer of `parts --json`."""
    return {
        "case": case.code,
        "duration_s": seconds(case.length_us),
        "parts": [
            {
                "part": n + 1,
                "file": Path(clip.path).name,
                "is_there": there[n],
                "frames": clip.n_frames,
                "duration_s": seconds(clip.duration_us),
                "start_s": seconds(case.clock.start_of(n)),
                "offset_s": seconds(clip.lead_us),
                "width": clip.width,
                "height": clip.height,
                "fps_mean": round(float(clip.fps_mean), 6),
                "codec": clip.codec,
                "found": _found_document(joins[n - 1] if n else None),
            }
            for n, clip in enumerate(case.clips)
        ],
    }


def _found_document(join: Join | None) -> dict[str, Any] | None:
    if join is None:
        return None
    return {
        "kind": join.kind.value,
        "offset_s": None if join.lead_us is None else seconds(join.lead_us),
        "words": join.words,
        "evidence": list(join.evidence),
    }


def _lines(case: Case, joins: Sequence[Join | None], there: Sequence[bool]) -> list[str]:
    if not case.clips:
        return [f"Case {case.code} is known by its tags alone."]
    plan = PartsPlan(case, {}, {})
    lines = []
    for part, clip in zip(plan.lines, case.clips, strict=True):
        n = part.place
        away = "" if there[n] else "  (not there)"
        start = format_time(case.clock.start_of(n))
        lines.append(f"{n + 1}  {start}  {shown(Path(clip.path).name, 60)}{away}  {facts(clip)}")
        if n:
            join = joins[n - 1]
            lines.append(f"   {part.lies}. " + (join.words if join else "Nobody looked yet."))
    return lines
