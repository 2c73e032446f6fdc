"""The lane in which another review lies under one's own."""

from __future__ import annotations

from annotate.markup import Markup
from app.look.palette import Palette
from app.review.lanes import Lane
from app.review.other_review import OtherReview
from app.strip.layout import StripFrame
from app.strip.shapes import Shape

OTHER = "other"


def other_lane(other: OtherReview) -> Lane:
    """A slim ribbon; it takes no room while nothing is laid over, and nothing in it is edited."""

    def shapes(markup: Markup, frame: StripFrame, palette: Palette) -> tuple[Shape, ...]:
        return other.shapes(markup, frame, palette)

    return Lane(
        OTHER,
        other.short_name,
        "Another review of this case, to look at; Ctrl+Shift+O takes it away.",
        28.0,
        18.0,
        lambda _markup: (),
        shapes,
        has_content=lambda _markup: other.session is not None,
    )
