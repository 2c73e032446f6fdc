"""What the desk and a decoder's process say to each other.

Times that end in `_s` are seconds of `time.perf_counter`, which all processes of a machine share.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from annotate.clip.showing import AS_FILMED, NEUTRAL, Framing, Tone
from app.playing.sound_messages import FromPump


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
class Shift:
    """Everything of this run is due so much later than said before."""

    epoch: int
    by_s: float


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


class Way(Enum):
    """Which pictures of a clip are decoded while it runs."""

    EVERY = "every frame"
    REFERENCED = "every frame that others build on"
    KEYS = "key pictures, and what lies near them"


@dataclass(frozen=True, slots=True)
class Opened:
    """The case is open."""

    n_frames: int
    length_us: int
    first_size: tuple[int, int]
    is_interlaced: bool


@dataclass(frozen=True, slots=True)
class Left:
    """The case is left; nothing more will be said of it."""


@dataclass(frozen=True, slots=True)
class IndexMade:
    """A part's index, made because the desk had none."""

    part: int
    content: bytes


@dataclass(frozen=True, slots=True)
class Scanning:
    """How far the index of a part is, 0 to 1."""

    part: int
    share: float


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture in a slot.

    Attributes
    ----------
    due_s, shift_s : float
        When to show it, with all shifts known then; 0 for at once.
    is_near : bool
        True if it stands in, for a moment, for the frame that was asked for.
    asked : int
        The frame asked for.
    """

    epoch: int
    memory: str
    slot: int
    size: tuple[int, int]
    number: int
    time_us: int
    until_us: int
    framing: Framing
    picture_size: tuple[int, int]
    asked: int
    due_s: float = 0.0
    shift_s: float = 0.0
    is_near: bool = False
    is_stand_in: bool = False
    field: int | None = None


@dataclass(frozen=True, slots=True)
class Began:
    """A run has begun, gone round or over a gap: this case time is due at that moment."""

    epoch: int
    at_s: float
    case_us: int
    shift_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Pace:
    """How a run goes on.

    Attributes
    ----------
    speed : float
        What is reached; below what was asked for where the clip cannot be decoded so fast.
    n_dropped : int
        Pictures that came too late to be shown, since the run began.
    """

    epoch: int
    way: Way
    speed: float
    n_dropped: int


@dataclass(frozen=True, slots=True)
class Ended:
    """The run has reached the last frame (or the first, backward), due at that moment."""

    epoch: int
    at_s: float


@dataclass(frozen=True, slots=True)
class Trouble:
    """A sentence for the user; the decoder goes on."""

    epoch: int
    words: str


@dataclass(frozen=True, slots=True)
class StillTaken:
    """RGB bytes of a whole frame, or a sentence why there are none."""

    ticket: int
    number: int
    time_us: int
    size: tuple[int, int]
    rgb: bytes
    words: str = ""


@dataclass(frozen=True, slots=True)
class Pong:
    """How much has moved since the process began."""

    ticks: int


@dataclass(frozen=True, slots=True)
class Fault:
    """The decoder's own fault, with what a report needs."""

    kind: str
    report: str


ToDecoder = (
    Open
    | UseMemory
    | ShowAs
    | Show
    | Play
    | Shift
    | Free
    | TakeStill
    | SoundWish
    | SoundStop
    | SoundUsed
    | Ping
    | Leave
)
FromDecoder = (
    Opened
    | Left
    | IndexMade
    | Scanning
    | Picture
    | Began
    | Pace
    | Ended
    | Trouble
    | StillTaken
    | Pong
    | Fault
    | FromPump
)
