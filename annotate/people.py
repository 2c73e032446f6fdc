"""Who operates and who reviews: codes, never names."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from enum import StrEnum

from annotate.clock import shown
from annotate.errors import UserFacingError
from annotate.ids import OperatorId, ReviewerId, operator_id, reviewer_id

_CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}", re.ASCII)


def check_code(code: str, what: str) -> str:
    """Return `code` if it can serve as a code, else say how one looks.

    Raises
    ------
    UserFacingError
        If it is empty, too long, or holds more than letters, digits, dot, dash, underscore.
    """
    if not _CODE.fullmatch(code):
        raise UserFacingError(
            f"'{shown(code)}' cannot be the {what}.",
            "Use a code such as R-07: letters, digits, dot, dash, at most 32, and no name.",
        )
    return code


class TrainingLevel(StrEnum):
    """How far an operator's training has come."""

    RESIDENT = "resident"
    FELLOW = "fellow"
    ATTENDING = "attending"


class ReviewerKind(StrEnum):
    """In what part somebody reviews."""

    ATTENDING = "attending"
    SELF = "self"
    PEER = "peer"


@dataclass(frozen=True, slots=True)
class Operator:
    """Who performed a case."""

    code: str
    level: TrainingLevel = TrainingLevel.RESIDENT
    id: OperatorId = field(default=OperatorId(""))

    def __post_init__(self) -> None:
        check_code(self.code, "operator")
        object.__setattr__(self, "id", operator_id(self.code))


@dataclass(frozen=True, slots=True)
class Reviewer:
    """Who marks a case up."""

    code: str
    kind: ReviewerKind = ReviewerKind.ATTENDING
    id: ReviewerId = field(default=ReviewerId(""))

    def __post_init__(self) -> None:
        check_code(self.code, "reviewer")
        object.__setattr__(self, "id", reviewer_id(self.code))
