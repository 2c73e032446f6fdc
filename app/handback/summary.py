"""A session in a few plain sentences, each computed from its figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from annotate.case import Case, ReviewSession
from annotate.clock import short_time
from annotate.markup import Markup
from annotate.people import ReviewerKind
from annotate.tags import Tag, TagKind
from annotate.vocabulary import Vocabulary
from app.handback.comments import phase_at
from app.handback.wording import (
    clean_text,
    count,
    listed,
    number,
    opening,
    percent,
    spoken,
    within,
)
from metrics.figures import EventFigures, OrderFigures, SessionFigures


def summary_sentences(
    case: Case,
    session: ReviewSession,
    markup: Markup,
    vocabulary: Vocabulary,
    figures: SessionFigures,
) -> tuple[str, ...]:
    """Say what the session found, in the order in which a trainer would say it."""
    phases = [tag for tag in markup.tags if tag.kind is TagKind.PHASE]
    return (
        _whose(case, session, figures),
        *_longest_phase(figures),
        *_idle(figures, phases, vocabulary),
        *_said(markup, figures.events),
        *_order(figures.order, vocabulary),
        *_doubts(case, markup, figures),
    )


def _whose(case: Case, session: ReviewSession, figures: SessionFigures) -> str:
    whose = f"This is operator {case.operator.code}'s case number {case.case_number}"
    if session.reviewer.kind is ReviewerKind.SELF:
        whose += ", reviewed by the operator"
    if figures.observed_us == 0:
        return f"{whose}; no phase has been tagged yet, so there are no times."
    return f"{whose}; from the first phase to the last it took {spoken(figures.observed_us)}."


def _longest_phase(figures: SessionFigures) -> Iterator[str]:
    if figures.phases and figures.observed_us:
        longest = max(figures.phases, key=lambda phase: phase.total_us)
        visits = len(longest.visit_us)
        over = f" over {count(visits, 'visit')}" if visits > 1 else ""
        yield (
            f"Most time went into {within(clean_text(longest.label))}: {spoken(longest.total_us)}"
            f"{over}, {percent(longest.share)} of the whole."
        )


def _idle(figures: SessionFigures, phases: Sequence[Tag], vocabulary: Vocabulary) -> Iterator[str]:
    idle = figures.idle
    if figures.observed_us == 0:
        return
    if idle.total_us == 0:
        yield "There was no idle time between the first phase and the last."
        return
    total = f"Idle time came to {spoken(idle.total_us)} ({percent(idle.share)})"
    if idle.longest_at_us is None:
        yield f"{total}."
        return
    where = _where(idle.longest_at_us, phases, vocabulary)
    yield (
        f"{total}; the longest pause, {spoken(idle.longest_us)}, "
        f"came at {short_time(idle.longest_at_us)}{where}."
    )


def _where(time_us: int, phases: Sequence[Tag], vocabulary: Vocabulary) -> str:
    code = phase_at(time_us, phases)
    if code:
        return f", during {within(clean_text(vocabulary.label(code)))}"
    before = [tag for tag in phases if (tag.end_us or 0) <= time_us]
    if not before:
        return ""
    last = max(before, key=lambda tag: tag.end_us or 0)
    return f", after {within(clean_text(vocabulary.label(last.code)))}"


def _said(markup: Markup, events: EventFigures) -> Iterator[str]:
    if not events.total and not markup.comments:
        yield "There are no comments and no events yet."
        return
    noted = listed([count(len(markup.comments), "comment"), count(events.total, "event")])
    leanings = (("commend", "to commend"), ("correct", "to correct"), ("neutral", "neutral"))
    parts = [f"{number(n)} {words}" for code, words in leanings if (n := _of(events, code))]
    among = f"; among the events, {listed(parts)}" if parts else ""
    yield opening(f"{noted} stand in this review{among}.")


def _of(events: EventFigures, leaning: str) -> int:
    return events.by_leaning.get(leaning, 0)


def _order(order: OrderFigures, vocabulary: Vocabulary) -> Iterator[str]:
    if not order.observed:
        return
    for codes, one, many in (
        (
            order.missing,
            "is expected in this operation and was not tagged",
            "are expected in this operation and were not tagged",
        ),
        (
            order.out_of_order,
            "began after a step that should follow it",
            "began after steps that should follow them",
        ),
    ):
        if codes:
            labels = listed([within(clean_text(vocabulary.label(code))) for code in codes])
            yield opening(f"{labels} {one if len(codes) == 1 else many}.")


def _doubts(case: Case, markup: Markup, figures: SessionFigures) -> Iterator[str]:
    yield from _hand_overs(case, markup, figures)
    if figures.conflicts:
        places = count(len(figures.conflicts), "place")
        yield (
            f"In {places} two phases are tagged at once; that time is counted once in the whole "
            "and once in each phase."
        )


def _hand_overs(case: Case, markup: Markup, figures: SessionFigures) -> Iterator[str]:
    """Who else operated, and for how much of the observed time."""
    own = figures.operator_only
    if own is None:
        return
    spans = [tag for tag in markup.tags if tag.kind is TagKind.HAND_OVER]
    codes = listed([clean_text(code) for code in dict.fromkeys(tag.code for tag in spans)])
    whose = f"the {codes}" if codes == "attending" else codes
    parts = "" if len(spans) == 1 else f" in {count(len(spans), 'stretch', 'stretches')}"
    spent = spoken(figures.observed_us - own.observed_us)
    yield (
        f"{opening(whose)} operated for {spent} of the time from first to last phase"
        f"{parts}; the figures for {case.operator.code} alone stand under those of the whole case."
    )
