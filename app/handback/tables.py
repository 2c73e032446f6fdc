"""The figures of a note as rows: phases, idle time and events."""

from __future__ import annotations

from dataclasses import dataclass

from annotate.markup import Markup
from annotate.tags import Leaning, TagKind
from annotate.vocabulary import Vocabulary
from app.handback.comments import LEANING_WORDS
from app.handback.wording import clean_text
from app.look.palette import Palette, phase_styles
from app.strip.hatching import hatch_shapes
from app.strip.shapes import Box, Shape
from metrics.figures import SessionFigures

SWATCH_SIZE = (28.0, 14.0)
"""Width and height of a phase's swatch, in the unit of its shapes."""


@dataclass(frozen=True, slots=True)
class PhaseRow:
    """One phase; `swatch` is its hue and hatch, the key to the strip."""

    code: str
    label: str
    visits: int
    total_us: int
    active_us: int
    share: float
    first_start_us: int
    last_end_us: int
    swatch: tuple[Shape, ...] = ()


@dataclass(frozen=True, slots=True)
class IdleRow:
    """Idle time of one reason, or with none tagged; `share` is of observed time, 0 to 1."""

    label: str
    total_us: int
    share: float


@dataclass(frozen=True, slots=True)
class EventRow:
    """How often an event was tagged with one leaning."""

    label: str
    leaning: Leaning | None
    count: int

    @property
    def leaning_words(self) -> str:
        """What it asks for, in words."""
        return LEANING_WORDS[self.leaning] if self.leaning else ""


@dataclass(frozen=True, slots=True)
class FigureTables:
    """Phases and idle time, of the whole case or of its operator alone."""

    observed_us: int
    phases: tuple[PhaseRow, ...]
    idle: tuple[IdleRow, ...]
    idle_total_us: int
    idle_share: float
    longest_idle_us: int
    longest_idle_at_us: int | None


def figure_tables(
    figures: SessionFigures, vocabulary: Vocabulary, palette: Palette
) -> FigureTables:
    """Lay figures out as rows; only reasons that were tagged and time that was idle get one."""
    idle, observed_us = figures.idle, figures.observed_us
    spans = [(clean_text(vocabulary.label(code)), us) for code, us in idle.by_reason.items()]
    spans.append(("No reason tagged", idle.untagged_us))
    rows = [IdleRow(label, us, us / observed_us) for label, us in spans if us and observed_us]
    return FigureTables(
        observed_us=observed_us,
        phases=_phase_rows(figures, vocabulary, palette),
        idle=tuple(rows),
        idle_total_us=idle.total_us,
        idle_share=idle.share,
        longest_idle_us=idle.longest_us,
        longest_idle_at_us=idle.longest_at_us,
    )


def _phase_rows(
    figures: SessionFigures, vocabulary: Vocabulary, palette: Palette
) -> tuple[PhaseRow, ...]:
    swatches = phase_swatches(vocabulary, palette)
    return tuple(
        PhaseRow(
            code=phase.code,
            label=clean_text(phase.label),
            visits=len(phase.visit_us),
            total_us=phase.total_us,
            active_us=phase.active_us,
            share=phase.share,
            first_start_us=phase.first_start_us,
            last_end_us=phase.last_end_us,
            swatch=swatches.get(phase.code, ()),
        )
        for phase in figures.phases
    )


def phase_swatches(vocabulary: Vocabulary, palette: Palette) -> dict[str, tuple[Shape, ...]]:
    """Draw a small piece of ribbon for each phase of a vocabulary."""
    swatches: dict[str, tuple[Shape, ...]] = {}
    for code, style in phase_styles(vocabulary.phase_codes).items():
        box = Box(0.0, 0.0, *SWATCH_SIZE, palette.hues[style.hue])
        swatches[code] = (box, *hatch_shapes(box, style.hatch, palette.ink))
    return swatches


def event_rows(markup: Markup, vocabulary: Vocabulary) -> tuple[EventRow, ...]:
    """Count a session's events by code and leaning, in order of first appearance."""
    counts: dict[tuple[str, Leaning | None], int] = {}
    for tag in markup.tags:
        if tag.kind is TagKind.EVENT:
            key = (tag.code, tag.leaning)
            counts[key] = counts.get(key, 0) + 1
    return tuple(
        EventRow(clean_text(vocabulary.label(code)), leaning, n)
        for (code, leaning), n in counts.items()
    )
