"""What can be done with a review as a whole: go on with a signed one, keep one to oneself."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from annotate.errors import UserFacingError
from app.review.presenter import ReviewPresenter
from app.review.read_only_line import may_go_on

if TYPE_CHECKING:
    from app.review.view import ReviewView

_VEILED = (
    "You keep this review to yourself until both are signed: the other reviewer sees that it is "
    "there, and nothing in it."
)


def session_deeds(view: ReviewView) -> dict[str, Callable[[], object]]:
    """Deeds of a review as a whole, by the id of their action."""
    return {
        "go-on": lambda: go_on(view),
        "veil": lambda: turn_veil(view),
        "lay-over": lambda: view.told.emit(view.other_review.turn()),
    }


def join_sessions(view: ReviewView) -> None:
    """Connect what shows other reviews of the case, and the way on from a signed one."""
    other = view.other_review
    view.side.why_not.wished.connect(view.act)
    other.changed.listen(lambda: view.comments.lay_over(other.name, other.comments))


def go_on(view: ReviewView) -> None:
    """Open the next edition of a signed review; it is made where there is none yet."""
    presenter = view.presenter
    if not may_go_on(presenter):
        why = "is not signed yet: go on with it as it is" if presenter.is_mine else "is not yours"
        view.said.emit(f"This review {why}.")
        return
    try:
        fresh = presenter.store.next_edition(presenter.session.id, presenter.by)
    except UserFacingError as trouble:
        view.said.emit(str(trouble))
        return
    view.sessions.wished.emit(fresh.id)
    view.told.emit(
        f"This is edition {fresh.edition}. Edition {fresh.edition - 1} stays as it was signed; "
        "choose it above the tags."
    )


def may_turn_veil(presenter: ReviewPresenter) -> bool:
    """Whether this review can be kept to oneself; one that is signed can only be shown again."""
    return presenter.is_mine and (presenter.session.is_veiled or not presenter.is_signed)


def turn_veil(view: ReviewView) -> None:
    """Keep this review to oneself until both are signed, or let others see it."""
    presenter = view.presenter
    if not may_turn_veil(presenter):
        view.said.emit(presenter.why_not or "This review is shown to others already.")
        return
    is_veiled = not presenter.session.is_veiled
    try:
        presenter.store.veil(presenter.session.id, is_veiled, presenter.by)
        presenter.session = presenter.store.session(presenter.session.id)
    except UserFacingError as trouble:
        view.said.emit(str(trouble))
        return
    view.sessions.look_again()
    presenter.markup_changed.tell()
    view.told.emit(_VEILED if is_veiled else "Other reviewers see this review again.")
