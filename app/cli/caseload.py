"""`caseload`: the cases of the store."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from annotate.clock import format_time, seconds
from app.cli.shared import Line, command

if TYPE_CHECKING:
    from store import CaseRow


@command("caseload")
def caseload(line: Line) -> None:
    with line.opened() as store:
        rows = store.cases(line.settings.reviewer)
    lines = [
        f"{row.case.code:<16} {row.case.operator.code:<8} {row.case.case_number:>5} "
        f"{format_time(row.case.length_us):>14}  {row.status:<7} {row.n_tags:>4} tags"
        for row in rows
    ]
    line.answer(
        {"cases": [_row_document(row) for row in rows]},
        "\n".join(lines) or "No case yet. Take one in with: scrubline intake",
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
