"""The sound of a case: its parts on the case clock."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path

from annotate.clip.case_parts import MOST_OPEN, CasePart
from annotate.clip.index import ClipIndex
from annotate.clip.sound import ClipSound, SoundTrack, silence
from annotate.clip.sound_reading import Piece
from annotate.clip.sound_tempo import SoundBlock, blocks_at
from annotate.clip.sound_times import RATE_HZ, to_position
from annotate.clip.stopping import Cancel
from annotate.clock import US_PER_S, CaseClock
from annotate.closing import Closing
from annotate.errors import UserFacingError


class CaseSound(Closing):
    """Sound of a case from any case time on, 48 kHz stereo. Lives in one thread.

    Gaps, parts without sound and parts that cannot be opened are silent; what a part repeats from
    the part before is left out, as its pictures are.

    Parameters
    ----------
    parts : sequence of CasePart, or of (path, ClipIndex) for parts that lie end to end

    Raises
    ------
    ValueError
        If there is no part, or parts overlap by more than they last.
    """

    def __init__(self, parts: Sequence[CasePart | tuple[Path | str, ClipIndex]]) -> None:
        if not parts:
            raise ValueError("a case to hear has at least one clip")
        self._parts = [p if isinstance(p, CasePart) else CasePart.whole(*p) for p in parts]
        self._clock = CaseClock(
            [part.duration_us for part in self._parts], [part.lead_us for part in self._parts]
        )
        self._sounds: OrderedDict[int, ClipSound | None] = OrderedDict()

    def close(self) -> None:
        """Let go of every file."""
        while self._sounds:
            sound = self._sounds.popitem()[1]
            if sound is not None:
                sound.close()

    def tracks_at(self, case_us: int) -> tuple[SoundTrack, ...]:
        """Sound tracks of the part that is shown at a case time."""
        sound = self._sound(self._clock.to_clip(max(0, case_us))[0])
        return sound.tracks if sound is not None else ()

    def blocks(
        self, start_us: int, speed: float = 1.0, track: int = 0, cancel: Cancel = None
    ) -> Iterator[SoundBlock]:
        """Give the sound from a case time to the end of the case, unbroken.

        Parameters
        ----------
        start_us : int
            Case time.
        speed : float
            0.5 to 2; the pitch is kept.
        track : int
            Which track of each part, from 0; a part with fewer gives its last.
        cancel
            Checked at each packet.

        Raises
        ------
        ValueError
            If there is no sound at that speed.
        ReadingStopped
            If `cancel` asks for it.
        """
        start = max(0, to_position(Fraction(start_us, US_PER_S)))
        return blocks_at(self._stream(start, track, cancel), start, speed)

    def _stream(self, start: int, track: int, cancel: Cancel) -> Iterator[Piece]:
        at = start
        first = self._clock.to_clip(start * US_PER_S // RATE_HZ)[0]
        for ordinal in range(first, self._clock.n_clips):
            end = self._sample(self._clock.end_of(ordinal))
            yield from silence(at, self._sample(self._clock.start_of(ordinal)), cancel)
            at = max(at, self._sample(self._clock.start_of(ordinal)))
            for begin, samples in self._of_part(ordinal, at, track, cancel):
                fresh = samples[: max(0, end - begin)]
                if len(fresh):
                    yield begin, fresh
                    at = begin + len(fresh)
            yield from silence(at, end, cancel)
            at = max(at, end)

    def _of_part(self, ordinal: int, start: int, track: int, cancel: Cancel) -> Iterator[Piece]:
        origin = self._sample(self._clock.to_case(ordinal, 0))
        sound = self._sound(ordinal)
        if sound is None or not sound.tracks:
            return
        track = max(0, min(track, len(sound.tracks) - 1))
        for begin, samples in sound.stream(start - origin, track, cancel):
            yield origin + begin, samples

    def _sound(self, ordinal: int) -> ClipSound | None:
        if ordinal not in self._sounds:
            self._sounds[ordinal] = self._opened(self._parts[ordinal])
        self._sounds.move_to_end(ordinal)
        while len(self._sounds) > MOST_OPEN:
            far = self._sounds.popitem(last=False)[1]
            if far is not None:
                far.close()
        return self._sounds[ordinal]

    def _opened(self, part: CasePart) -> ClipSound | None:
        try:
            path = part.path if isinstance(part.path, Path) else part.path()
            index = part.index if isinstance(part.index, ClipIndex) else part.index()
        except UserFacingError:
            return None
        return ClipSound(path, index)

    @staticmethod
    def _sample(case_us: int) -> int:
        return to_position(Fraction(case_us, US_PER_S))
