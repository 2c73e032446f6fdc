"""What a decoder's process says of sound."""

from __future__ import annotations

from dataclasses import dataclass

from annotate.clip.sound import SoundTrack


@dataclass(frozen=True, slots=True)
class SoundChunk:
    """Some sound, ready to be played.

    Attributes
    ----------
    generation : int
        Of the start that it belongs to.
    case_us : int
        Case time of its first sample.
    speed : float
        Case time that passes while a second of it is played.
    pcm : bytes
        16-bit stereo at 48 kHz, interleaved, little end first on the machines we run on.
    """

    generation: int
    case_us: int
    speed: float
    pcm: bytes


@dataclass(frozen=True, slots=True)
class SoundEnded:
    """No more sound comes of this start.

    Attributes
    ----------
    report : str
        What went wrong, for a report; empty at the end of a case.
    """

    generation: int
    report: str = ""


@dataclass(frozen=True, slots=True)
class SoundTracks:
    """The sound tracks that there are where a start begins."""

    generation: int
    tracks: tuple[SoundTrack, ...]


FromPump = SoundChunk | SoundEnded | SoundTracks
