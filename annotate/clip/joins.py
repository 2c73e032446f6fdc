"""What lies between two parts of a recording: nothing, a gap, or pictures that come twice."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from enum import StrEnum
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from annotate.clip.index import ClipIndex
from annotate.clip.join_pictures import NEAR, Flow, PictureVerdict, compare, signatures
from annotate.clip.reader import ClipReader
from annotate.clip.recorder_clock import ClockVerdict, between, clock_facts
from annotate.clip.stopping import Cancel, stop_if
from annotate.clock import US_PER_S

ALGORITHM_VERSION = 1
"""Goes up when the same files would give another finding."""

_TAIL_US, _MOST_TAIL = 10 * US_PER_S, 600
"""How far back before the join a repetition is looked for: time, and frames."""

_CACHE_BYTES = 32 << 20
_HEAD = 2 * NEAR + 6


class JoinKind(StrEnum):
    """What was found at a join."""

    CONTINUES = "continues"
    GAP = "gap"
    OVERLAP = "overlap"
    JUMP = "jump"
    CLOCK_STARTS_AGAIN = "clock starts again"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Join:
    """What was found at the join before a part.

    Attributes
    ----------
    lead_us : int or None
        What would lie before the part on the case clock: a gap above 0, an overlap below; 0 where
        it follows at once; None where that cannot be told.
    words : str
        The finding as a sentence.
    evidence : tuple of str
        What it rests on, a sentence each.
    """

    kind: JoinKind
    lead_us: int | None
    words: str
    evidence: tuple[str, ...] = ()

    @property
    def is_to_see(self) -> bool:
        """Whether it is marked on the timeline: whatever is not a plain continuation."""
        return self.kind not in (JoinKind.CONTINUES, JoinKind.UNKNOWN)

    def to_bytes(self) -> bytes:
        """Pack for keeping; `from_bytes` reads it."""
        return json.dumps(asdict(self), ensure_ascii=False).encode()

    @classmethod
    def from_bytes(cls, content: bytes) -> Join:
        """Read what `to_bytes` packed.

        Raises
        ------
        ValueError
            If it is anything else.
        """
        try:
            found = json.loads(content)
            return cls(
                JoinKind(found["kind"]), found["lead_us"], found["words"], tuple(found["evidence"])
            )
        except (KeyError, TypeError, UnicodeDecodeError) as error:
            raise ValueError("this is no finding at a join") from error


def examine(
    one: tuple[Path | str, ClipIndex], other: tuple[Path | str, ClipIndex], cancel: Cancel = None
) -> Join:
    """Look at the join between two parts: their last and first pictures, and their clocks.

    Raises
    ------
    UserFacingError
        If one of them cannot be opened.
    ReadingStopped
        If `cancel` asks for it.
    """
    pictures = _compared(one, other, cancel)
    clock = between(clock_facts(*one), clock_facts(*other))
    return judged(pictures, clock, other[1], is_damaged=bool(one[1].damage))


def judged(
    pictures: PictureVerdict, clock: ClockVerdict, index: ClipIndex, *, is_damaged: bool = False
) -> Join:
    """Put together what pictures and clocks say; `index` is the second part's."""
    frame_us = max(1, index.duration_us // index.n_frames)
    evidence = (_of_pictures(pictures), *_of_clock(clock, frame_us))
    if is_damaged:
        evidence = (*evidence, "The part before breaks off.")
    if pictures.flow is Flow.REPEATS:
        lead_us = -index.time_of(min(pictures.n_repeated, index.n_frames - 1))
        n = pictures.n_repeated
        words = "One frame comes twice." if n == 1 else f"{n} frames come twice."
        return Join(JoinKind.OVERLAP, lead_us, words, evidence)
    least_us = max(3 * frame_us // 2, clock.resolution_us)
    if clock.gap_us is not None and clock.gap_us >= least_us:
        about = "about " if clock.resolution_us >= US_PER_S else ""
        words = f"A gap of {about}{_length(clock.gap_us)} by the recorder's {clock.name}."
        return Join(JoinKind.GAP, clock.gap_us, words, evidence)
    if clock.gap_us is not None and clock.gap_us <= -least_us:
        words = (
            f"By the recorder's {clock.name} {_length(-clock.gap_us)} come twice; the pictures "
            "do not show it."
        )
        return Join(JoinKind.JUMP, None, words, evidence)
    if clock.gap_us is not None and clock.resolution_us < US_PER_S:
        words = f"The recording goes on, by the recorder's {clock.name}."
        return Join(JoinKind.CONTINUES, 0, words, evidence)
    if clock.starts_again:
        rest = (
            "the pictures go on."
            if pictures.flow is Flow.GOES_ON
            else "whether something is missing cannot be told."
        )
        words = f"The recorder's {clock.name} starts again; {rest}"
        return Join(JoinKind.CLOCK_STARTS_AGAIN, None, words, evidence)
    if pictures.flow is Flow.JUMPS:
        words = "The picture jumps: something is missing, and how much cannot be told."
        return Join(JoinKind.JUMP, None, words, evidence)
    if pictures.flow is Flow.GOES_ON:
        return Join(JoinKind.CONTINUES, 0, "The pictures go on.", evidence)
    words = "Whether something is missing cannot be told."
    return Join(JoinKind.UNKNOWN, None, words, evidence)


def _compared(
    one: tuple[Path | str, ClipIndex], other: tuple[Path | str, ClipIndex], cancel: Cancel
) -> PictureVerdict:
    index = one[1]
    first = max(index.number_at(index.duration_us - _TAIL_US), index.n_frames - _MOST_TAIL, 0)
    turns = index.shape.rotation_deg, other[1].shape.rotation_deg
    if min(index.n_frames - first, other[1].n_frames) < 2 or turns[0] != turns[1]:
        return PictureVerdict(Flow.CANNOT_TELL)
    with ClipReader(*one, cache_bytes=_CACHE_BYTES) as reader:
        tail = signatures(_luma(reader, range(first, index.n_frames), cancel))
    with ClipReader(*other, cache_bytes=_CACHE_BYTES) as reader:
        head = signatures(_luma(reader, range(min(_HEAD, other[1].n_frames)), cancel))
    return compare(tail, head)


def _luma(reader: ClipReader, numbers: range, cancel: Cancel) -> Iterator[NDArray[np.uint8]]:
    for number in numbers:
        stop_if(cancel)
        yield reader.frame(number, cancel).luma()


def _of_pictures(verdict: PictureVerdict) -> str:
    if verdict.flow is Flow.REPEATS:
        return f"The first {verdict.n_repeated} pictures are the last ones of the part before."
    return {
        Flow.GOES_ON: "The pictures go on; a few may still be missing or come twice.",
        Flow.JUMPS: "The picture changes more over the join than anywhere near it.",
        Flow.CANNOT_TELL: "The pictures tell nothing: too little moves, or too much differs.",
    }[verdict.flow]


def _of_clock(verdict: ClockVerdict, frame_us: int) -> tuple[str, ...]:
    name = verdict.name.capitalize()
    if verdict.starts_again:
        return (f"{name}: begins anew.",)
    if verdict.gap_us is None:
        return ("No clock of the recorder's tells.",)
    if abs(verdict.gap_us) < max(3 * frame_us // 2, verdict.resolution_us):
        return (f"{name}: follows at once.",)
    side = "later" if verdict.gap_us > 0 else "earlier"
    return (f"{name}: begins {_length(abs(verdict.gap_us))} {side}.",)


def _length(time_us: int) -> str:
    """A length in words: 4.2 s, 12 min 5 s."""
    if time_us < 60 * US_PER_S:
        return f"{time_us / US_PER_S:.2f}".rstrip("0").rstrip(".") + " s"
    minutes, seconds = divmod(round(time_us / US_PER_S), 60)
    return f"{minutes} min {seconds} s"
