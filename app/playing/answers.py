"""What a decoder's process says to the desk.

Times that end in `_s` are seconds of `time.perf_counter`, which all processes of a machine share.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from annotate.clip.showing import Framing
from app.playing.sound_messages import FromPump


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
    due_s : float
        When to show it; 0 for at once.
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
    is_near: bool = False
    is_stand_in: bool = False
    field: int | None = None


@dataclass(frozen=True, slots=True)
class Began:
    """A run has begun, gone round or over a gap: this case time is due at that moment."""

    epoch: int
    at_s: float
    case_us: int


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
