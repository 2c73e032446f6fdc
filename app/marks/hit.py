"""Which mark lies under a place of the picture."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from app.marks.layout import Laid, Pixel
from app.marks.paint import written


def distance(laid: Laid, at: Pixel) -> float:
    """How far a place is from anything that a mark paints, pixels; 0 on its words.

    A spotlight is taken by its edge or near its middle: what it lights stays free for the hand.
    """
    found = [_to_line(line, at) for line in (*laid.strokes, *laid.heads)]
    if laid.lit is not None:
        centre, radius = laid.lit
        away = math.dist(centre, at)
        found += [abs(away - radius), away]
    if laid.words is not None:
        found.append(_to_words(laid, at))
    return min(found, default=math.inf)


def _to_line(line: Sequence[Pixel], at: Pixel) -> float:
    if len(line) == 1:
        return math.dist(line[0], at)
    return min((_to_piece(a, b, at) for a, b in itertools.pairwise(line)), default=math.inf)


def _to_piece(one: Pixel, other: Pixel, at: Pixel) -> float:
    across, down = other[0] - one[0], other[1] - one[1]
    length = across * across + down * down
    if not length:
        return math.dist(one, at)
    share = ((at[0] - one[0]) * across + (at[1] - one[1]) * down) / length
    share = max(0.0, min(share, 1.0))
    return math.dist((one[0] + across * share, one[1] + down * share), at)


def _to_words(laid: Laid, at: Pixel) -> float:
    assert laid.words is not None
    words = laid.words
    edge, _, below = written(words.text, words.size_px, 2)
    height, width = edge.shape
    left = words.at[0] - (width / 2 if words.is_centred else 0)
    top = words.at[1] + below - height
    across = max(left - at[0], 0.0, at[0] - left - width)
    down = max(top - at[1], 0.0, at[1] - top - height)
    return math.hypot(across, down)
