"""Limits that machine values pass, in words: for the desk's offers, and in the note."""

from __future__ import annotations

from collections.abc import Iterable

from annotate.clock import short_time
from annotate.markup import Markup
from annotate.setting_values import BY_CODE
from annotate.tags import TagKind
from annotate.vocabulary import Vocabulary
from app.handback.wording import within
from metrics.setting_limits import Breach

COMMON_PRACTICE = "common practice"
"""How the source of a limit begins for which nobody stands."""


def value_said(breach: Breach) -> str:
    """Value and limit, as they stand in every sentence on a breach."""
    kind = BY_CODE[breach.setting]
    bound = "at most" if breach.is_above else "at least"
    return (
        f"{kind.label} {breach.value:g} {breach.unit}, where {bound} {breach.bound:g} {breach.unit}"
    )


def breach_words(breach: Breach, vocabulary: Vocabulary) -> str:
    """Say a breach: what was noted, in which phase, the limit, and on whose word."""
    phase = vocabulary.label(breach.phase)
    return f"{value_said(breach)} is usual in {within(phase)} ({breach.source})."


def breach_line(breach: Breach, vocabulary: Vocabulary) -> str:
    """The same with its time, for a list; that a limit is common practice stands under it."""
    span = f"{short_time(breach.start_us)} to {short_time(breach.end_us)}"
    if not is_common_practice(breach):
        return f"{span}  {breach_words(breach, vocabulary)}"
    phase = vocabulary.label(breach.phase)
    return f"{span}  {value_said(breach)} is usual in {within(phase)}."


def is_common_practice(breach: Breach) -> bool:
    """Whether nobody stands for the limit but custom."""
    return breach.source.casefold().startswith(COMMON_PRACTICE)


def whose_limits(found: Iterable[Breach]) -> str:
    """On whose word limits stand, in a sentence; empty where each names its source."""
    common = [breach for breach in found if is_common_practice(breach)]
    if not common:
        return ""
    is_of_pump = any("peristaltic" in breach.source.casefold() for breach in common)
    pump = " for peristaltic pumps" if is_of_pump else ""
    return f"Common practice{pump}, no source; yours may differ."


def is_taken(breach: Breach, markup: Markup) -> bool:
    """Whether an event or a comment in the breach's span says it already."""
    said = value_said(breach)
    told = [(tag.start_us, tag.comment) for tag in markup.tags if tag.kind is TagKind.EVENT]
    told += [(comment.start_us, comment.text) for comment in markup.comments]
    return any(breach.start_us <= at_us < breach.end_us and said in text for at_us, text in told)
