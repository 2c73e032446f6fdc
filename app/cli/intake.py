"""`intake` and `caseload`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from annotate.case import Case, Eye
from annotate.clock import format_time, seconds, shown
from annotate.errors import UserFacingError
from app.cli.shared import Line, command, shown_work
from app.intake.take_in import Intake, take_in
from store import CaseRow


def case_document(case: Case) -> dict[str, Any]:
    """The answer of `intake --json`."""
    return {
        "case": case.code,
        "clips": [
            {
                "file": Path(clip.path).name,
                "frames": clip.n_frames,
                "duration_s": seconds(clip.duration_us),
                "fps_mean": round(float(clip.fps_mean), 6),
                "variable_rate": clip.is_variable_rate,
                "width": clip.width,
                "height": clip.height,
                "codec": clip.codec,
            }
            for clip in case.clips
        ],
        "duration_s": seconds(case.length_us),
    }


def parse_attributes(pairs: tuple[str, ...]) -> dict[str, str]:
    """Read KEY=VALUE pairs.

    Raises
    ------
    UserFacingError
        If one has no `=`, no key, or a key comes twice.
    """
    attributes: dict[str, str] = {}
    for pair in pairs:
        key, equals, value = pair.partition("=")
        if not equals or not key.strip() or key.strip() in attributes:
            raise UserFacingError(
                f"'{shown(pair)}' is no attribute, or its key comes twice.",
                "Write KEY=VALUE, such as density=3.",
            )
        attributes[key.strip()] = value.strip()
    return attributes


@command("intake")
@click.argument(
    "clips", nargs=-1, required=True, metavar="CLIP...", type=click.Path(path_type=Path)
)
@click.option("--operator", required=True, metavar="CODE", help="Who operated, as a code.")
@click.option(
    "--case-number", required=True, type=int, metavar="N", help="The operator's Nth case."
)
@click.option("--vocabulary", required=True, metavar="NAME", help="Name or file of the vocabulary.")
@click.option("--code", metavar="CASE", help="Code of the case; made from the others if missing.")
@click.option("--eye", type=click.Choice([eye.value for eye in Eye]), help="Which eye.")
@click.option("--attribute", multiple=True, metavar="KEY=VALUE", help="Case mix; may repeat.")
def intake(
    line: Line,
    clips: tuple[Path, ...],
    operator: str,
    case_number: int,
    vocabulary: str,
    code: str | None,
    eye: str | None,
    attribute: tuple[str, ...],
) -> None:
    wanted = Intake(
        paths=clips,
        operator=operator,
        case_number=case_number,
        vocabulary=vocabulary,
        code=code or "",
        eye=Eye(eye) if eye else None,
        attributes=parse_attributes(attribute),
    )
    with line.opened() as store, shown_work("Reading the clips") as work:
        case = take_in(store, wanted, by=line.settings.reviewer, work=work)
    n = len(case.clips)
    line.answer(
        case_document(case),
        f"Case {case.code} is taken in: {n} clip{'s' if n > 1 else ''}, "
        f"{format_time(case.length_us)}.",
    )


def _row_document(row: CaseRow) -> dict[str, Any]:
    case = row.case
    return {
        "case": case.code,
        "operator": case.operator.code,
        "level": case.operator.level.value,
        "case_number": case.case_number,
        "vocabulary": case.vocabulary,
        "eye": case.eye.value if case.eye else None,
        "duration_s": seconds(case.length_us),
        "clips": len(case.clips),
        "status": row.status,
        "sessions": row.n_sessions,
        "tags": row.n_tags,
        "comments": row.n_comments,
        "attributes": dict(case.attributes),
    }


@command("caseload")
def caseload(line: Line) -> None:
    with line.opened() as store:
        rows = store.cases()
    lines = [
        f"{row.case.code:<16} {row.case.operator.code:<8} {row.case.case_number:>5} "
        f"{format_time(row.case.length_us):>14}  {row.status:<7} {row.n_tags:>4} tags"
        for row in rows
    ]
    line.answer(
        {"cases": [_row_document(row) for row in rows]},
        "\n".join(lines) or "No case yet. Take one in with: scrubline intake",
    )
