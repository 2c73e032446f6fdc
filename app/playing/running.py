"""Running through a case, forward and backward, at any speed."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from annotate.clip import CaseFrame, CaseReader, ReadingStopped
from annotate.errors import UserFacingError
from app.playing.answers import Began, Ended, Trouble, Way
from app.playing.answers import Pace as PaceWords
from app.playing.filler import Filler
from app.playing.inbox import Inbox
from app.playing.messages import Play
from app.playing.pace import SHOWN_A_SECOND, US_PER_S, Pace, RunClock
from app.playing.places import Places
from app.playing.posting import Poster, Send

_LEAD_S = 0.03
"""Between the first picture of a run and its moment: what the way to the screen takes."""

_HOP_S = 1 / 16
"""What a picture may take while hopping: never fewer than twelve a second come of it."""

_LEFT_BEHIND_S = 1.0
"""A hop that lies so far behind what is due is no stumble: the clip cannot go so fast."""

_SAID_EVERY_S = 0.5
_BACK_WAIT_S = 4.0


@dataclass
class Runner:
    """Serves `Play` on one case; what it learnt of each speed stays for the next run."""

    reader: CaseReader
    inbox: Inbox
    poster: Poster
    filler: Filler
    send: Send
    sure_last: Callable[[int], int]
    ways: dict[float, Way] = field(default_factory=dict)

    def run(self, wish: Play) -> int | None:
        """Run until the end is reached or something newer is wished for.

        Returns
        -------
        int or None
            Where to go on, if the index did not reach further.
        """
        length_us = self.reader.clock.duration_us - sum(b - a for a, b in self.reader.clock.gaps)
        fps = self.reader.n_frames * US_PER_S / max(length_us, 1)
        known = self.ways.get(wish.speed, Way.EVERY) if wish.speed > 2 else Way.EVERY
        pace = Pace(wish.speed, fps, known)
        try:
            return _Run(self, wish, pace).go()
        except ReadingStopped:
            return None


class _Run:
    """One run."""

    def __init__(self, runner: Runner, wish: Play, pace: Pace) -> None:
        self._reader, self._inbox = runner.reader, runner.inbox
        self._poster, self._filler = runner.poster, runner.filler
        self._send, self._ways = runner.send, runner.ways
        self._sure_last, self._places = runner.sure_last, Places(runner.reader)
        self._wish, self._pace = wish, pace
        self._clock: RunClock | None = None
        self._last_shown = -1
        self._joined_s, self._joined_us = 0.0, 0
        self._reached_speed: float | None = None
        self._said_at_s = time.perf_counter()
        self._said: tuple[Way, float, int] = (Way.EVERY, round(wish.speed, 1), 0)
        end = self._reader.n_frames - 1
        self._first, self._last = wish.loop if wish.loop is not None else (0, end)
        self._first, self._last = max(self._first, 0), min(self._last, end)

    def go(self) -> int | None:
        """Run; gives where to go on if the index did not reach further."""
        number = self._wish.number
        if self._wish.speed > 0 and self._wish.loop is None:
            self._filler.rest()
        self._reader.focus(self._wish.number, 1 if self._wish.speed > 0 else -1)
        while not self._is_stale():
            try:
                following = self._one(number)
            except UserFacingError as trouble:
                following = self._past_trouble(number, trouble)
            if following is None:
                return None
            if following > self._sure_last(self._reader.locate(following)[0]):
                return following
            number = following
        return None

    def _one(self, number: int) -> int | None:
        if self._wish.speed < 0:
            return self._one_back(number)
        return self._one_hop(number) if self._pace.way is Way.KEYS else self._one_on(number)

    # Forward, decoding through

    def _one_on(self, number: int) -> int | None:
        began_s = time.perf_counter()
        fetch = self._reader.shown if self._pace.way is Way.EVERY else self._reader.referenced
        found = fetch(number, self._is_stale)
        now_s = time.perf_counter()
        clock = self._clock or self._begin(found, now_s)
        due_s = clock.due_s(found.time_us)
        late_s = now_s - due_s
        ahead = found.number - self._last_shown if self._last_shown >= 0 else 1
        is_late = late_s > self._room_s(found)
        is_last = found.number >= self._last and self._wish.loop is None
        self._pace.n_dropped += is_late and not is_last
        due_s = 0.0 if is_late and is_last else due_s  # at once: a run leaves its last one there
        is_shown = is_last or not is_late
        if is_shown and not self._poster.post(found, self._wish.epoch, number, due_s=due_s):
            return None
        self._last_shown = found.number
        if self._pace.note(max(ahead, 1), now_s - began_s, late_s):
            self._ways[self._wish.speed] = self._pace.way
        self._say_pace(now_s)
        if found.number >= self._last:
            return self._round_or_end(found)
        return self._next_on(found, now_s)

    def _room_s(self, found: CaseFrame) -> float:
        """How late a picture may be and is still worth showing: as long as it is shown."""
        until_us = self._reader.until_of(found.number)
        return max((until_us - found.time_us) / US_PER_S / self._wish.speed, 1 / SHOWN_A_SECOND)

    def _next_on(self, found: CaseFrame, now_s: float) -> int:
        """The next frame worth showing: no more than the screen can, none that is over already."""
        assert self._clock is not None
        number = max(found.number, self._places.number_at(found.time_us + self._pace.step_us)) + 1
        now_us = self._clock.us_at(now_s)
        if now_us > self._places.time_of(number + 1):
            number = max(number, self._places.number_at(now_us))
        number = min(number, self._last)
        self._skip_gap(found.number, number)
        return number

    def _skip_gap(self, before: int, number: int) -> None:
        """Nothing was recorded in a gap: the run goes on behind it at once."""
        assert self._clock is not None
        gap_us = self._places.gap_us(before, number)
        if gap_us > 0:
            self._clock.case_us += gap_us
            part = self._reader.locate(number)[0]
            self._say_began(self._places.time_of(self._places.first_of_part(part)))

    # Forward, hopping

    def _one_hop(self, number: int) -> int | None:
        began_s = time.perf_counter()
        clock = self._clock
        wanted = number
        if clock is not None:
            now_us = clock.us_at(began_s + _HOP_S / 2)
            wanted = self._places.number_at(now_us)
        wanted = min(max(wanted, self._last_shown + 1), self._last)
        if clock is not None and self._last_shown >= 0:
            self._skip_gap(self._last_shown, wanted)
        found = self._reader.key_frame(wanted, self._is_stale)
        if found.number <= self._last_shown:
            found = self._nearer(wanted, began_s)
            wanted = self._not_left_behind(found, wanted)
        is_over = wanted >= self._last
        if is_over:
            found = self._reader.shown(self._last, self._is_stale)
        if self._clock is None:
            self._begin(found, time.perf_counter())
        if not self._poster.post(found, self._wish.epoch, wanted):
            return None
        self._last_shown = found.number
        now_s = time.perf_counter()
        self._say_pace(now_s)
        if is_over:
            return self._round_or_end(found)
        left_s = _HOP_S - (now_s - began_s)
        if left_s > 0 and not self._inbox.rests(self._wish.epoch, left_s):
            return None
        return wanted

    def _not_left_behind(self, found: CaseFrame, wanted: int) -> int:
        """What is wanted; where key pictures lie so far apart that the run cannot follow, less.

        The clock then goes on from the picture that was reached, and the speed is said to be lower.
        """
        now_s = time.perf_counter()
        behind_us = self._places.time_of(wanted) - found.time_us
        if self._clock is None or behind_us < _LEFT_BEHIND_S * self._wish.speed * US_PER_S:
            return wanted
        clock, ran_s = self._clock, max(now_s - self._joined_s, 1e-3)
        self._reached_speed = max(found.time_us - self._joined_us, 0) / US_PER_S / ran_s
        clock.at_s, clock.case_us = now_s, found.time_us
        self._joined_s, self._joined_us = now_s, found.time_us
        return found.number

    def _nearer(self, wanted: int, began_s: float) -> CaseFrame:
        """Decode on from the last picture as far as the time for one allows."""
        found = self._reader.referenced(self._last_shown + 1, self._is_stale)
        while found.number < wanted and time.perf_counter() - began_s < _HOP_S:
            further = self._reader.referenced(found.number + 1, self._is_stale)
            if further.number <= found.number:
                break
            found = further
        return found

    # Backward

    def _one_back(self, number: int) -> int | None:
        span = self._window(number)
        self._filler.want(number - span, number, -1)
        self._reader.focus(number, -1)
        waited_s = 0.0
        while not self._filler.wait_for(number, 0.05) and waited_s < _BACK_WAIT_S:
            waited_s += 0.05
            if self._is_stale():
                return None
        found = self._reader.shown(number, self._is_stale)
        now_s = time.perf_counter()
        clock = self._clock or self._begin(found, now_s)
        due_s = clock.due_s(found.time_us)
        if now_s - due_s > 0.25:  # the pictures were not there in time: go on from here, unhurried
            clock.at_s, clock.case_us = now_s, found.time_us
            due_s = now_s
            self._pace.n_dropped += 1
        if not self._poster.post(found, self._wish.epoch, number, due_s=due_s):
            return None
        if found.number <= self._first:
            return self._round_or_end(found)
        passed_us = found.time_us - self._pace.step_us
        return max(min(self._places.number_at(passed_us), number - 1), self._first)

    def _window(self, number: int) -> int:
        """How many frames back to make ready: what half of the cache holds."""
        return max(16, self._reader.n_cached_at_most(number) // 2)

    # Beginning, going round, ending

    def _begin(self, found: CaseFrame, now_s: float) -> RunClock:
        self._clock = RunClock(now_s + _LEAD_S, found.time_us, self._wish.speed)
        self._joined_s, self._joined_us = now_s, found.time_us
        self._say_began(found.time_us)
        return self._clock

    def _say_began(self, case_us: int) -> None:
        assert self._clock is not None
        self._send(Began(self._wish.epoch, self._clock.due_s(case_us), case_us))

    def _round_or_end(self, found: CaseFrame) -> int | None:
        assert self._clock is not None
        is_on = self._wish.speed > 0
        over_us = self._reader.until_of(found.number) if is_on else found.time_us
        over_s = self._clock.due_s(over_us)
        if self._pace.way is Way.KEYS:
            over_s = time.perf_counter()
        if self._wish.loop is None:
            self._say_pace(self._said_at_s + _SAID_EVERY_S)
            self._send(Ended(self._wish.epoch, over_s))
            return None
        number = self._first if is_on else self._last
        self._clock = RunClock(over_s, self._places.time_of(number), self._wish.speed)
        self._say_began(self._clock.case_us)
        self._last_shown = -1
        return number

    def _past_trouble(self, number: int, trouble: UserFacingError) -> int | None:
        """Say what is wrong with this part, and go on with the next one."""
        self._send(Trouble(self._wish.epoch, str(trouble)))
        beyond = self._places.beyond_part(number, 1 if self._wish.speed > 0 else -1)
        self._clock, self._last_shown = None, -1
        if beyond is not None and self._first <= beyond <= self._last:
            return beyond
        self._send(Ended(self._wish.epoch, time.perf_counter()))
        return None

    # Small things

    def _is_stale(self) -> bool:
        return self._inbox.is_stale(self._wish.epoch)

    def _say_pace(self, now_s: float) -> None:
        """Tell the desk how it goes, when that has changed."""
        if now_s - self._said_at_s < _SAID_EVERY_S:
            return
        self._said_at_s = now_s
        reach = self._pace.reach if self._pace.way is not Way.KEYS else self._reached_speed
        speed = self._wish.speed if reach is None else min(self._wish.speed, reach)
        news = (self._pace.way, round(speed, 1), self._pace.n_dropped)
        if news != self._said:
            self._said = news
            self._send(PaceWords(self._wish.epoch, *news))
