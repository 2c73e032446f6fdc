"""The rendered cases: their clips, their truth, and what is to be taken in of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import sample_clips
from annotate.case import Case, Eye
from annotate.errors import UserFacingError
from annotate.people import TrainingLevel
from app.demo.case_truth import CaseTruth
from app.intake.take_in import Intake
from sample_clips.truth import Truth, read_truth

CLIPS = Path(str(sample_clips.__file__)).parent
_DO = "Fetch them again: they belong to the program."
_SHORTENED = {"rendered": "shortened in time"}
"""Lets a reader, and a figure over many cases, tell these from cases of full length."""
_CASE_MIX: Mapping[tuple[str, int], Mapping[str, str]] = {
    ("R-07", 41): {"density": "3", "small-pupil": "no", "dye": "no"},
    ("R-07", 12): {"density": "2", "small-pupil": "no", "dye": "no"},
    ("A-01", 2400): {"density": "3", "small-pupil": "no", "dye": "no"},
    ("R-03", 20): {"density": "4", "small-pupil": "no", "dye": "yes"},
}


@dataclass(frozen=True, slots=True)
class RenderedCase:
    """A rendered case; truths and clips in order of the recorder's parts."""

    truths: tuple[Truth, ...]
    clips: tuple[Path, ...]

    @property
    def intake(self) -> Intake:
        """What is taken in."""
        first = self.truths[0]
        is_model = first.operator.startswith("A-")
        mix = _CASE_MIX.get((first.operator, first.case_number), {})
        return Intake(
            paths=self.clips,
            operator=first.operator,
            case_number=first.case_number,
            vocabulary=first.vocabulary,
            level=TrainingLevel.ATTENDING if is_model else TrainingLevel.RESIDENT,
            eye=Eye(first.eye),
            attributes={**mix, **_SHORTENED},
            is_model=is_model,
        )

    @property
    def code(self) -> str:
        """Code of the case."""
        return self.intake.case_code

    def truth(self, case: Case) -> CaseTruth:
        """The truth on the clock of the case as it was taken in."""
        return CaseTruth(self.truths, case.clock)


def rendered_cases(folder: Path | None = None) -> tuple[RenderedCase, ...]:
    """Find the rendered cases by their truth files, in order of code.

    Parameters
    ----------
    folder : Path, optional
        Where clips and truth files lie; the program's own sample clips if not given.

    Raises
    ------
    UserFacingError
        If there are none, or a part is missing.
    """
    folder = folder or CLIPS
    parts: dict[tuple[str, int], list[Truth]] = {}
    for path in sorted(folder.glob("*.truth.json")):
        truth = read_truth(path)
        parts.setdefault((truth.operator, truth.case_number), []).append(truth)
    if not parts:
        raise UserFacingError("The sample clips are not there.", _DO)
    return tuple(_case(parts[key], folder) for key in sorted(parts))


def _case(truths: list[Truth], folder: Path) -> RenderedCase:
    ordered = sorted(truths, key=lambda truth: truth.part["index"])
    clips = tuple(folder / truth.clip for truth in ordered)
    missing = [clip.name for clip in clips if not clip.is_file()]
    if missing:
        raise UserFacingError(f"The sample clip {missing[0]} is not there.", _DO)
    if len(ordered) != ordered[0].part["of"]:
        raise UserFacingError(f"A part of {clips[0].name} is not there.", _DO)
    return RenderedCase(tuple(ordered), clips)
