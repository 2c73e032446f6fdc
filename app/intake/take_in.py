"""Take the clips of one case in: all of them, or nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from annotate.case import Case, Eye
from annotate.clock import shown
from annotate.errors import UserFacingError
from annotate.ids import CaseId, new_id
from annotate.people import Operator, TrainingLevel, check_code
from app.intake.reading import read_clips
from app.jobs.work import Work
from app.vocabulary.own import is_name, vocabulary_today
from store import Store

MOST_CASES = 100_000


@dataclass(frozen=True, slots=True)
class Intake:
    """What is to be taken in.

    Attributes
    ----------
    code : str
        Code of the case; made from operator and case number where empty.
    """

    paths: Sequence[Path]
    operator: str
    case_number: int
    vocabulary: str
    code: str = ""
    level: TrainingLevel = TrainingLevel.RESIDENT
    eye: Eye | None = None
    attributes: Mapping[str, str] = field(default_factory=dict)
    is_model: bool = False

    @property
    def case_code(self) -> str:
        """The case's code, given or made."""
        return self.code or f"{self.operator}-{self.case_number:03d}"


def take_in(store: Store, wanted: Intake, by: str, work: Work | None = None) -> Case:
    """Check, index and file a case.

    Parameters
    ----------
    by : str
        Code of whoever takes it in.

    Raises
    ------
    UserFacingError
        Whatever is wrong with clips or codes; nothing is kept then.
    Cancelled
        If the user stopped it; nothing is kept then either.
    """
    check_wanted(wanted)
    work = work or Work("Reading the clips")
    clips = read_clips(store, wanted.paths, work)
    case = Case(
        id=CaseId(new_id()),
        code=wanted.case_code,
        operator=Operator(wanted.operator, wanted.level),
        case_number=wanted.case_number,
        vocabulary=lasting_name(wanted.vocabulary),
        clips=tuple(clips),
        length_us=sum(clip.duration_us for clip in clips),
        taken_in_at=datetime.now(UTC),
        eye=wanted.eye,
        attributes=dict(wanted.attributes),
        is_model=wanted.is_model,
    )
    return store.take_in(case, by)


def lasting_name(vocabulary: str) -> str:
    """Name of a vocabulary, or where a file is, whatever folder one works in later."""
    return vocabulary if is_name(vocabulary) else str(Path(vocabulary).resolve())


def check_wanted(wanted: Intake) -> None:
    """Refuse codes and numbers that can't be.

    Raises
    ------
    UserFacingError
        Naming the first that is wrong.
    """
    check_code(wanted.operator, "operator")
    if not 1 <= wanted.case_number <= MOST_CASES:
        raise UserFacingError(
            f"{wanted.case_number} cannot be a case number.",
            "It counts the operator's cases, this one included, so it starts at 1.",
        )
    _check_case_code(wanted)
    vocabulary_today(wanted.vocabulary)
    if not wanted.paths:
        raise UserFacingError("No clip is named.", "Name the files of the case in order.")
    seen: set[Path] = set()
    for path in wanted.paths:
        place = _place(path)
        if place in seen:
            raise UserFacingError(f"The clip {shown(path.name)} is named twice.", "Name each once.")
        seen.add(place)


def _check_case_code(wanted: Intake) -> None:
    try:
        check_code(wanted.case_code, "code of a case")
    except UserFacingError as error:
        if wanted.code:
            raise
        raise UserFacingError(
            f"The code {shown(wanted.case_code)}, made of operator and case number, is too long.",
            "Give the case a code of its own, with --code.",
        ) from error


def _place(path: Path) -> Path:
    try:
        return path.resolve()
    except (OSError, RuntimeError):  # a link that leads to itself; opening it says so
        return path.absolute()
