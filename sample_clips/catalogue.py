"""Which sample clips there are, as cases, for the demo caseload and the tests."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from annotate.errors import UserFacingError
from annotate.people import TrainingLevel
from sample_clips.cases import CASES
from sample_clips.scenario import Scenario


@dataclass(frozen=True, slots=True)
class SampleCase:
    """One invented case whose clips are at hand.

    Attributes
    ----------
    code, operator, vocabulary, eye : str
    level : TrainingLevel
    case_number : int
    clips, truths : tuple of Path
        In the order in which the recorder made them; a truth file for each clip.
    is_model : bool
        Whether it is shown as the way to do it.
    """

    code: str
    operator: str
    level: TrainingLevel
    case_number: int
    eye: str
    vocabulary: str
    clips: tuple[Path, ...]
    truths: tuple[Path, ...]
    is_model: bool


def sample_cases(folder: Path | None = None) -> tuple[SampleCase, ...]:
    """List the cases whose clips lie in a folder, by default those that come with the program.

    Raises
    ------
    UserFacingError
        If a clip or its truth file is missing.
    """
    place = folder or Path(__file__).parent
    return tuple(_sample_case(scenario, place) for scenario in CASES)


def _sample_case(scenario: Scenario, folder: Path) -> SampleCase:
    stems = [scenario.stem(part + 1) for part in range(len(scenario.windows()))]
    clips = tuple(folder / f"{stem}.mp4" for stem in stems)
    truths = tuple(folder / f"{stem}.truth.json" for stem in stems)
    missing = [path.name for path in (*clips, *truths) if not path.is_file()]
    if missing:
        raise UserFacingError(
            f"Of the sample clips, {', '.join(missing)} cannot be found.",
            "Make them again with 'python -m sample_clips.render'.",
        )
    return SampleCase(
        code=f"{scenario.operator.replace('-', '')}-{scenario.case_number:03d}",
        operator=scenario.operator,
        level=TrainingLevel(scenario.level),
        case_number=scenario.case_number,
        eye=scenario.eye,
        vocabulary=scenario.vocabulary,
        clips=clips,
        truths=truths,
        is_model=scenario.is_model,
    )
