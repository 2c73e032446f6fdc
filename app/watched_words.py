"""What was watched of a case, for the desk, the note and the command line."""

from __future__ import annotations

from annotate.case import Case, ReviewSession
from annotate.clock import US_PER_S, short_time
from annotate.watching import Watched
from metrics.intervals import Span
from metrics.watched import WatchedFigures, watched_figures
from store import Store

_MOST_NAMED = 3
_SHORTEST_NAMED_US = US_PER_S
"""A shorter stretch that was left out is no step of an operation."""


def watched_in(store: Store, session: ReviewSession) -> tuple[Watched, ...]:
    """What was watched for a review, in it and in the editions that it goes on from."""
    found: tuple[Watched, ...] = ()
    here: ReviewSession | None = session
    while here is not None:
        found = (*store.watched(here.id), *found)
        here = store.session(here.follows_id) if here.follows_id else None
    return found


def watched_for(store: Store, case: Case, session: ReviewSession) -> WatchedFigures | None:
    """Figures of what was watched for a review; None for a case that has no recording."""
    if not case.clips:
        return None
    return watched_figures(watched_in(store, session), case.length_us, case.clock.gaps)


def short_hash(content_hash: str) -> str:
    """The first 8 of a signature's 64 digits: enough to tell two apart by eye."""
    return content_hash[:8]


def watched_words(figures: WatchedFigures | None) -> str:
    """'92 % of the case, 85 % at 2x or slower; not watched: 0:12:10 to 0:14:02'."""
    if figures is None:
        return ""
    if not figures.seen_us:
        return "none of the case"
    words = f"{_whole_percent(figures.share)} of the case"
    if figures.slow_us != figures.seen_us:
        words += f", {_whole_percent(figures.slow_share)} at 2x or slower"
    else:
        words += ", all of that at 2x or slower"
    left_out = _left_out(figures)
    return words + (f"; not watched: {left_out}" if left_out else "")


def _left_out(figures: WatchedFigures) -> str:
    """The longest stretches that never ran, in order of time."""
    worth = [span for span in figures.unseen if span[1] - span[0] >= _SHORTEST_NAMED_US]
    longest = sorted(worth, key=_length, reverse=True)[:_MOST_NAMED]
    named = [f"{short_time(start)} to {short_time(end)}" for start, end in sorted(longest)]
    if len(worth) > len(named):
        more = len(worth) - len(named)
        named.append(f"{more} shorter stretch" + ("es" if more > 1 else ""))
    return " and ".join(filter(None, [", ".join(named[:-1]), *named[-1:]]))


def _length(span: Span) -> int:
    return span[1] - span[0]


def _whole_percent(share: float) -> str:
    """Rounded down, so that only all of it is 100 %."""
    percent = int(share * 100 + 1e-9)
    return "less than 1 %" if share > 0 and percent == 0 else f"{percent} %"
