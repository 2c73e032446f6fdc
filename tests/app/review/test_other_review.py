"""Another review laid over: which, its ribbon by the one strip code, where it differs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_scenes import S, opened, presenter_on

from annotate.case import ReviewSession
from annotate.ids import RowId, new_id
from annotate.markup import Markup
from annotate.people import Reviewer
from annotate.tags import Comment, Tag, TagKind
from app.look.palette import DARK
from app.review.lanes import lay_out
from app.review.other_lane import other_lane
from app.review.other_review import OtherReview
from app.review.presenter import ReviewPresenter
from app.review.sessions_here import choices
from app.strip.layout import StripFrame, strip_content, strip_shapes
from store import Put, Store

FRAME = StripFrame(600.0, 24.0, margin=0.0, start_us=0, end_us=100 * S)


def tag(session: ReviewSession, code: str, start_s: int, end_s: int, **other: object) -> Put:
    kind = other.pop("kind", TagKind.PHASE)
    return Put(Tag(RowId(new_id()), session.id, kind, code, start_s * S, end_s * S))  # type: ignore[arg-type]


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with opened(tmp_path) as made:
        yield made


@pytest.fixture
def mine(store: Store) -> ReviewPresenter:
    """The attending's, on a case without a recording: 0 to 50 s sculpting."""
    made = presenter_on(store)
    store.edit(made.session.id, "fill", "A-01", tag(made.session, "sculpt", 0, 50))
    made.look_again()
    return made


def review(store: Store, mine: ReviewPresenter, code: str) -> ReviewSession:
    """Another reviewer's: 20 to 60 s cracking, 55 to 60 s waiting, handed over from 58 s."""
    session = store.start_session(mine.case.id, Reviewer(code))
    rows = (
        tag(session, "crack", 20, 60),
        tag(session, "wait", 55, 60, kind=TagKind.IDLE),
        tag(session, "attending", 58, 60, kind=TagKind.HAND_OVER),
        Put(Comment(RowId(new_id()), session.id, f"said by {code}", 30 * S)),
    )
    store.edit(session.id, "fill", code, *rows)
    return session


def test_it_is_drawn_as_any_strip_and_takes_no_room_before(
    store: Store, mine: ReviewPresenter
) -> None:
    theirs = review(store, mine, "R-07")
    other = OtherReview(mine)
    lane = other_lane(other)
    assert lay_out([lane], mine.markup, (), 120.0)[1] == ()
    other.turn()
    (placed,) = lay_out([lane], mine.markup, (), 120.0)[1]
    assert placed.lane is lane
    assert lane.shapes is not None
    assert lane.rows(mine.markup) == ()
    content = strip_content(store.markup(theirs.id), mine.vocabulary, 100 * S)
    assert lane.shapes(mine.markup, FRAME, DARK) == strip_shapes(content, FRAME, DARK)
    assert lane.shapes(Markup(), FRAME, DARK) != strip_shapes(
        strip_content(mine.markup, mine.vocabulary, 100 * S), FRAME, DARK
    )


@pytest.mark.parametrize(
    ("at_s", "words"),
    [
        (5, "A-01: Sculpting; R-07: nothing tagged"),
        (30, "A-01: Sculpting; R-07: Cracking"),
        (52, "A-01: nothing tagged; R-07: Cracking"),
        (
            59,
            "A-01: nothing tagged; R-07: Cracking, idle (Waiting), attending operates",
        ),
        (80, "A-01 and R-07: nothing tagged"),
    ],
)
def test_the_words_say_where_they_differ(
    store: Store, mine: ReviewPresenter, at_s: int, words: str
) -> None:
    review(store, mine, "R-07")
    other = OtherReview(mine)
    assert other.words_at_playhead() == ""
    other.turn()
    mine.move_playhead(at_s * S)
    label = mine.vocabulary.label
    told = words.replace("Sculpting", label("sculpt")).replace("Cracking", label("crack"))
    assert other.words_at_playhead() == told.replace("Waiting", label("wait"))


def test_several_are_gone_through_and_then_none(store: Store, mine: ReviewPresenter) -> None:
    for code in ("R-07", "A-02"):
        review(store, mine, code)
    other, told = OtherReview(mine), []
    other.changed.listen(lambda: told.append(other.name))
    said = [other.turn() for _ in range(3)]
    assert told == ["A-02", "R-07", ""]
    assert "A-02" in said[0]
    assert "1 of 2" in said[0]
    assert said[2] == "Only this review is shown again."
    assert (other.session, other.markup, other.comments) == (None, Markup(), ())


def test_a_kept_one_is_never_laid_over_and_says_why(store: Store, mine: ReviewPresenter) -> None:
    other = OtherReview(mine)
    assert other.turn() == "Nobody else has reviewed this case yet."
    theirs = review(store, mine, "R-07")
    store.veil(theirs.id, True, "R-07")
    assert "kept until both are signed" in other.turn()
    other.lay(theirs.id)
    assert (other.session, other.markup) == (None, Markup())
    assert [c.key for c in choices(mine)] == [mine.session.id, ""]
    store.sign(theirs.id, "R-07")
    mine.sign()
    assert "R-07's review lies under this one" in other.turn()
    assert other.comments[0].text == "said by R-07"


def test_ones_own_editions_can_be_laid_over_one_another(
    store: Store, mine: ReviewPresenter
) -> None:
    mine.sign()
    fresh = store.next_edition(mine.session.id, "A-01")
    store.edit(fresh.id, "add", "A-01", tag(fresh, "crack", 60, 70))
    later = ReviewPresenter(store, mine.case, fresh, mine.vocabulary, by="A-01")
    other = OtherReview(later)
    other.turn()
    later.move_playhead(65 * S)
    crack = later.vocabulary.label("crack")
    assert other.words_at_playhead() == (
        f"A-01, edition 2: {crack}; A-01, edition 1: nothing tagged"
    )
