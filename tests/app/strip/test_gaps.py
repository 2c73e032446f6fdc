"""A gap between parts is a hole through the ribbon, and no phase's name is written over it."""

from __future__ import annotations

import pytest

from annotate.ids import RowId, SessionId
from annotate.markup import Markup
from annotate.tags import Tag, TagKind
from annotate.vocabulary_file import shipped_vocabulary
from app.look.palette import PALETTES
from app.strip.layout import StripFrame, strip_content, strip_shapes
from app.strip.shapes import Box, Words

S = 1_000_000
GAP = (33 * S, 60 * S)


def shapes(*gaps: tuple[int, int]) -> tuple[object, ...]:
    vocabulary = shipped_vocabulary("phaco-chop")
    tag = Tag(RowId("t"), SessionId("s"), TagKind.PHASE, vocabulary.phase_codes[0], 30 * S, 100 * S)
    content = strip_content(Markup(tags=(tag,)), vocabulary, 100 * S, gaps)
    frame = StripFrame(1000, 60, has_words=True, margin=0)
    return strip_shapes(content, frame, PALETTES["dark"])


def test_the_ribbon_is_cut_through_where_nothing_was_recorded() -> None:
    ground = PALETTES["dark"].ground
    holes = [s for s in shapes(GAP) if isinstance(s, Box) and s.fill == ground]
    assert [(h.x, h.width) for h in holes] == [(pytest.approx(330), pytest.approx(270))]
    assert not [s for s in shapes() if isinstance(s, Box) and s.fill == ground]
    ribbon = next(s for s in shapes() if isinstance(s, Box))
    assert holes[0].y < ribbon.y
    assert holes[0].y + holes[0].height > ribbon.y + ribbon.height


def test_a_name_stands_beside_the_hole() -> None:
    (name,) = (s for s in shapes(GAP) if isinstance(s, Words))
    assert name.x > 600
