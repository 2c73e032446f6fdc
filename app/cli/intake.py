"""`intake`: the clips of a case are filed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from annotate.case import Case, Eye
from annotate.clock import format_time, seconds, shown
from annotate.errors import UserFacingError
from app.cli.shared import Line, command, shown_work
from app.intake.clips import damages
from app.intake.patient_notice import patient_notice
from app.intake.take_in import Intake, take_in

_LONGEST_PAIR = 200


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
    if any(not pair.isprintable() or len(pair) > _LONGEST_PAIR for pair in pairs):
        raise UserFacingError(
            "An attribute is too long, or holds a character that cannot be shown.",
            f"Write KEY=VALUE in at most {_LONGEST_PAIR} characters, such as density=3.",
        )
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
        damaged = damages(store, case)
    line.remark(*filter(None, (*damaged, patient_notice(case))))
    n = len(case.clips)
    line.answer(
        case_document(case),
        f"Case {case.code} is taken in: {n} clip{'s' if n > 1 else ''}, "
        f"{format_time(case.length_us)}.",
    )
