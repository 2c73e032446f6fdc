"""The truth of a rendered case on the case clock: its parts joined where the recorder cut."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from annotate.clock import US_PER_S, CaseClock
from annotate.tags import Leaning, TagKind
from app.demo.moment import Moment
from sample_clips.truth import Frames, Truth

JOIN_US = 100_000
"""Spans of one code that end and begin within this of a join are one span that was cut."""


@dataclass(frozen=True, slots=True)
class TruthFrame:
    """What is true of one frame; `time_us` is case time."""

    time_us: int
    number: int
    frames: Frames
    width: int
    height: int


class CaseTruth:
    """Truth of all clips of a case.

    Parameters
    ----------
    truths : sequence of Truth
        One a clip, in order.
    clock : CaseClock
        Of the case as it was taken in: the clips' lengths as read from the files.
    """

    def __init__(self, truths: Sequence[Truth], clock: CaseClock) -> None:
        if len(truths) != clock.n_clips:
            raise ValueError("there is one truth for each clip")
        self._truths = tuple(truths)
        self._clock = clock

    @property
    def length_us(self) -> int:
        """Length of the case, microseconds."""
        return self._clock.duration_us

    def moments(self) -> tuple[Moment, ...]:
        """Phases, idle reasons and events in order of start."""
        found = [
            *self._joined(TagKind.PHASE, "phases"),
            *self._joined(TagKind.IDLE, "idle"),
            *self._joined(TagKind.EVENT, "events"),
        ]
        return tuple(sorted(found, key=lambda m: (m.start_us, m.kind, m.code)))

    def frames(self, start_us: int, end_us: int) -> Iterator[TruthFrame]:
        """Frames shown from `start_us` on and before `end_us`, with the eye in view."""
        for ordinal, truth in enumerate(self._truths):
            for number, clip_us in enumerate(truth.frames.time_us):
                time_us = self._clock.to_case(ordinal, clip_us)
                if start_us <= time_us < end_us and truth.frames.visible[number]:
                    yield TruthFrame(time_us, number, truth.frames, truth.width, truth.height)

    def _joined(self, kind: TagKind, key: str) -> list[Moment]:
        """Moments of one kind; a span that the recorder cut is one again."""
        whole: list[Moment] = []
        for ordinal, truth in enumerate(self._truths):
            pieces = [self._moment(kind, ordinal, entry) for entry in getattr(truth, key)]
            for piece in sorted(pieces, key=lambda m: m.start_us):
                before = self._cut_off(whole, piece, self._clock.start_of(ordinal))
                if before is not None:
                    whole.remove(before)
                    piece = _joined_pair(before, piece)
                whole.append(piece)
        return whole

    def _cut_off(self, whole: list[Moment], piece: Moment, join_us: int) -> Moment | None:
        """Find the first half of a span whose second half is `piece`."""
        if join_us == 0 or piece.end_us is None or piece.start_us > join_us + JOIN_US:
            return None
        return next(
            (
                before
                for before in whole
                if before.code == piece.code
                and before.end_us is not None
                and before.end_us >= join_us - JOIN_US
            ),
            None,
        )

    def _moment(self, kind: TagKind, ordinal: int, entry: Mapping[str, Any]) -> Moment:
        start_us = self._case_us(ordinal, entry["start_s"])
        end_s = entry["end_s"]
        leaning = entry.get("leaning")
        return Moment(
            kind=kind,
            code=entry["code"],
            start_us=start_us,
            end_us=None if end_s is None else max(self._case_us(ordinal, end_s), start_us + 1),
            leaning=Leaning(leaning) if leaning else None,
            weight=entry.get("weight"),
            note=entry.get("note", ""),
        )

    def _case_us(self, ordinal: int, clip_s: float) -> int:
        """Case time of a clip's second, within that clip."""
        start_us = self._clock.start_of(ordinal)
        last = ordinal + 1 == self._clock.n_clips
        end_us = self._clock.duration_us if last else self._clock.start_of(ordinal + 1)
        return min(max(start_us, start_us + round(clip_s * US_PER_S)), end_us)


def _joined_pair(first: Moment, second: Moment) -> Moment:
    return Moment(
        kind=first.kind,
        code=first.code,
        start_us=first.start_us,
        end_us=second.end_us,
        leaning=first.leaning,
        weight=first.weight,
        note=first.note,
    )
