"""What the desk says to a decoder's process.

Times that end in `_s` are seconds of `time.perf_counter`, which all processes of a machine share.
"""

from __future__ import annotations

from dataclasses import dataclass

from annotate.clip.showing import AS_FILMED, NEUTRAL, Framing, Tone


@dataclass(frozen=True, slots=True)
class PartToOpen:
    """One part of the recording; `index` is None where it is to be made, `path` where it is lost.

    Attributes
    ----------
    missing : str
        The sentence that stands in place of the pictures of a lost part.
    """

    path: str
    index: bytes | None
    n_frames: int
    duration_us: int
    lead_us: int = 0
    missing: str = ""


@dataclass(frozen=True, slots=True)
class Open:
    """Open a case; `cache_bytes` bounds the decoded pictures kept for each part."""

    parts: tuple[PartToOpen, ...]
    cache_bytes: int


@dataclass(frozen=True, slots=True)
class UseMemory:
    """Put pictures into this shared memory from now on."""

    name: str
    n_slots: int
    slot_bytes: int


@dataclass(frozen=True, slots=True)
class ShowAs:
    """How pictures are to come.

    Attributes
    ----------
    framing : Framing
        Made for pictures of `made_for`'s size; one of another shape is fitted into `room`.
    room, made_for : tuple of int
        Width and height in pixels; (0, 0) where not known.
    """

    framing: Framing = AS_FILMED
    tone: Tone = NEUTRAL
    room: tuple[int, int] = (0, 0)
    made_for: tuple[int, int] = (0, 0)


@dataclass(frozen=True, slots=True)
class Show:
    """Show one frame and stand still.

    Attributes
    ----------
    is_passing : bool
        True while the pointer is dragged along: a near picture will do until it rests.
    field : int or None
        Which of an interlaced frame's two moments; None for the frame.
    """

    epoch: int
    number: int
    is_passing: bool = False
    field: int | None = None


@dataclass(frozen=True, slots=True)
class Play:
    """Run from a frame on; a negative speed runs backward.

    Attributes
    ----------
    loop : tuple of int or None
        First and last frame of a span to run round in.
    """

    epoch: int
    number: int
    speed: float
    loop: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Free:
    """A picture is no longer on the screen; its slot may be filled again."""

    memory: str
    slot: int


@dataclass(frozen=True, slots=True)
class TakeStill:
    """Give one frame exactly, whole and as filmed."""

    ticket: int
    number: int
    field: int | None = None


@dataclass(frozen=True, slots=True)
class SoundWish:
    """Send the sound from a case time on, in the place of any other."""

    generation: int
    case_us: int
    speed: float
    track: int


@dataclass(frozen=True, slots=True)
class SoundStop:
    """Send no more sound."""


@dataclass(frozen=True, slots=True)
class SoundUsed:
    """So much of what was sent has been played."""

    generation: int
    n_bytes: int


@dataclass(frozen=True, slots=True)
class Ping:
    """Say whether anything moves."""


@dataclass(frozen=True, slots=True)
class Leave:
    """Close the case and wait for the next one."""


ToDecoder = (
    Open
    | UseMemory
    | ShowAs
    | Show
    | Play
    | Free
    | TakeStill
    | SoundWish
    | SoundStop
    | SoundUsed
    | Ping
    | Leave
)
