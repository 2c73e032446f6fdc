"""Sessions of an invented scenario, from which notes are made: empty, typical, full."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO

from PIL import Image, ImageDraw

from annotate.case import Case, Eye, ReviewSession, SessionStatus
from annotate.ids import CaseId, RowId, SessionId
from annotate.marks import Mark, MarkKind
from annotate.markup import Markup
from annotate.people import Operator, Reviewer
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_file import shipped_vocabulary
from annotate.watching import Watched
from app.handback.comments import Still, told_rows, with_leanings
from app.handback.note import Note, build_note
from metrics.from_tags import figures
from metrics.watched import watched_figures

SESSION = SessionId("session-1")
LENGTH_US = 840_000_000
S = 1_000_000


def scene_case(length_us: int = LENGTH_US) -> Case:
    return Case(
        id=CaseId("case-1"),
        code="DEMO-014",
        operator=Operator("R-07"),
        case_number=23,
        vocabulary="phaco-divide-conquer",
        clips=(),
        length_us=length_us,
        taken_in_at=datetime(2031, 5, 6, 7, 8, tzinfo=UTC),
        eye=Eye.OD,
    )


SIGNATURE = "1a2b3c4d" * 8
WATCHED = watched_figures([Watched(0, 600 * S, 1.0), Watched(600 * S, 660 * S, 4.0)], 700 * S)
"""Of an invented review: all but the last 40 seconds, a minute of it fast."""


def scene_session(*, signed: bool = True) -> ReviewSession:
    return ReviewSession(
        id=SESSION,
        case_id=CaseId("case-1"),
        reviewer=Reviewer("A-01"),
        status=SessionStatus.SIGNED if signed else SessionStatus.DRAFT,
        started_at=datetime(2031, 6, 1, 8, 0, tzinfo=UTC),
        signed_at=datetime(2031, 6, 2, 9, 30, tzinfo=UTC) if signed else None,
        edition=2,
        content_hash=SIGNATURE if signed else "",
    )


def scene_vocabulary() -> Vocabulary:
    return shipped_vocabulary("phaco-divide-conquer")


def phase(code: str, start_us: int, end_us: int) -> Tag:
    return Tag(RowId(f"p{start_us}"), SESSION, TagKind.PHASE, code, start_us, end_us)


def event(code: str, at_us: int, comment: str = "", leaning: Leaning | None = None) -> Tag:
    row_id = RowId(f"e{at_us}-{code}")
    return Tag(row_id, SESSION, TagKind.EVENT, code, at_us, None, leaning, None, comment)


def comment(
    text: str,
    start_us: int,
    end_us: int | None = None,
    leaning: Leaning | None = None,
    weight: int | None = None,
) -> Comment:
    return Comment(RowId(f"c{start_us}"), SESSION, text, start_us, end_us, leaning, weight)


def idle(code: str, start_us: int, end_us: int) -> Tag:
    return Tag(RowId(f"i{start_us}"), SESSION, TagKind.IDLE, code, start_us, end_us)


def hand_over(start_us: int, end_us: int) -> Tag:
    return Tag(RowId(f"h{start_us}"), SESSION, TagKind.HAND_OVER, "attending", start_us, end_us)


TYPICAL = Markup(
    tags=(
        phase("incision", 4 * S, 31 * S),
        phase("viscoelastic", 33 * S, 45 * S),
        phase("capsulorhexis", 52 * S, 131 * S + 437_500),
        event("eye-off-centre", 74_815_000),
        phase("hydrodissection", 146 * S, 178 * S),
        phase("sculpt", 190 * S, 301 * S),
        event("needle-on-wound", 214 * S),
        event("needle-on-wound", 263_004_500, "Lift the hand, so that the sleeve clears the roof."),
        idle("exchange", 230 * S, 241 * S),
        phase("crack", 306 * S, 340 * S),
        event("good-move", 331 * S, "Both instruments deep in the groove before parting them."),
        phase("fragments", 349 * S, 520 * S),
        hand_over(400 * S, 452 * S),
        event("chamber-shallow", 487_250_500),
        phase("cortex", 544 * S, 655 * S),
        phase("lens", 672 * S, 730 * S),
        phase("viscoelastic-removal", 735 * S, 790 * S),
        phase("closure", 795 * S, 832 * S),
    ),
    comments=(
        comment(
            "The flap was grasped again in good time, and each pull stayed tangential.",
            81 * S,
            96 * S,
            Leaning.COMMEND,
            2,
        ),
        comment(
            "Before each stroke look at where the eye sits. Here it has moved down by a third of "
            "the picture and the near half of the groove is out of focus.\n\nCentre with the "
            "second hand first, then go on.",
            207_333_500,
            None,
            Leaning.CORRECT,
            3,
        ),
        comment(
            "Ask for the chopper while the second half is still turning.",
            345 * S,
            None,
            Leaning.CORRECT,
            1,
        ),
        comment(
            "Lens in the bag with the leading haptic watched all the way.",
            690 * S,
            705 * S,
            Leaning.COMMEND,
            3,
        ),
        comment("Compare with A-01 at the same step.", 560 * S),
    ),
    marks=(
        Mark(RowId("m1"), SESSION, MarkKind.RING, 207 * S, 212 * S, ((0.5, 0.52), (0.62, 0.52))),
        Mark(RowId("m2"), SESSION, MarkKind.ARROW, 207 * S, 212 * S, ((0.2, 0.2), (0.42, 0.44))),
    ),
)


def picture(width: int = 960, height: int = 540, shade: int = 0) -> Image.Image:
    """A plain red disc on a pale ground: enough of an eye to look at."""
    image = Image.new("RGB", (width, height), (196, 184, 176))
    draw = ImageDraw.Draw(image)
    for radius, fill in ((0.36, (92, 72, 60)), (0.26, (170, 60 + shade % 60, 40))):
        r = radius * height
        box = (width / 2 - r, height / 2 - r, width / 2 + r, height / 2 + r)
        draw.ellipse(box, fill=fill)
    return image


def jpeg(width: int = 960, height: int = 540, shade: int = 0) -> bytes:
    sink = BytesIO()
    picture(width, height, shade).save(sink, "JPEG", quality=80)
    return sink.getvalue()


def scene_stills(markup: Markup) -> dict[RowId, Still]:
    rows = told_rows(with_leanings(markup, scene_vocabulary()))
    return {
        row.id: Still(
            jpeg(shade=place),
            960,
            540,
            f"The picture of {row.id}",
            row.start_us // 33_333,
            row.start_us,
        )
        for place, row in enumerate(rows)
    }


def scene_note(
    markup: Markup = TYPICAL,
    *,
    signed: bool = True,
    with_stills: bool = False,
    length_us: int = LENGTH_US,
) -> Note:
    vocabulary = scene_vocabulary()
    return build_note(
        scene_case(length_us),
        scene_session(signed=signed),
        markup,
        vocabulary,
        figures(markup.tags, vocabulary),
        scene_stills(markup) if with_stills else {},
        watched=WATCHED,
    )


def full_markup(n_comments: int = 300, text: str = "") -> Markup:
    words = (
        text or "Keep the tip in the middle of the chamber, and wait for the piece to come. " * 3
    )
    leanings = (Leaning.CORRECT, Leaning.COMMEND, Leaning.NEUTRAL, None)
    made = tuple(
        comment(f"{i}. {words}", 2 * S * i + 1_500 * i, None, leanings[i % 4], i % 3 + 1)
        for i in range(n_comments)
    )
    return Markup(tags=TYPICAL.tags, comments=made, marks=TYPICAL.marks)
