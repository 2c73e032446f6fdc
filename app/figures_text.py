"""Figures as lines of plain text, for a terminal."""

from __future__ import annotations

from annotate.clock import format_time
from annotate.vocabulary import Vocabulary
from metrics.figures import SessionFigures


def figures_text(figures: SessionFigures, vocabulary: Vocabulary) -> str:
    """Lay figures out for a terminal."""
    if not figures.phases:
        return "No phase is tagged yet, so there is nothing to add up."
    lines = [f"Observed   {format_time(figures.observed_us)}", ""]
    lines.append(f"{'phase':<28}{'visits':>7}{'total':>14}{'active':>14}{'share':>8}")
    lines += [
        f"{phase.label:<28}{len(phase.visit_us):>7}{format_time(phase.total_us):>14}"
        f"{format_time(phase.active_us):>14}{phase.share:>8.1%}"
        for phase in figures.phases
    ]
    idle = figures.idle
    lines += ["", f"Idle       {format_time(idle.total_us)} ({idle.share * 100:.1f} %)"]
    lines += [
        f"  {vocabulary.label(reason):<24}{format_time(spent):>14}"
        for reason, spent in idle.by_reason.items()
    ]
    if idle.longest_at_us is not None:
        where = format_time(idle.longest_at_us)
        lines.append(f"  longest pause {format_time(idle.longest_us)} at {where}")
    lines += [f"Events     {figures.events.total}"]
    lines += [
        f"  {vocabulary.label(code):<24}{count:>4}"
        for code, count in figures.events.by_code.items()
    ]
    if figures.order.missing:
        missing = ", ".join(vocabulary.label(code) for code in figures.order.missing)
        lines.append(f"Not seen   {missing}")
    lines += [
        f"Conflict   {vocabulary.label(c.first)} and {vocabulary.label(c.second)} overlap "
        f"from {format_time(c.start_us)} to {format_time(c.end_us)}"
        for c in figures.conflicts
    ]
    if figures.operator_only:
        own = format_time(figures.operator_only.observed_us)
        lines.append(f"Operator alone {own} of {format_time(figures.observed_us)}")
    return "\n".join(lines)
