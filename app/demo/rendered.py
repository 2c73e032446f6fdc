"""The rendered cases: their clips, their truth, and what is to be taken in of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from annotate.case import Case, Eye
from app.demo.case_truth import CaseTruth
from app.intake.take_in import Intake
from sample_clips.catalogue import SampleCase, sample_cases
from sample_clips.truth import Truth, read_truth

CLIPS: Path | None = None
"""Folder of the sample clips; those that come with the program where it is None."""
_SHORTENED = {"rendered": "shortened in time"}
"""Lets a reader, and a figure over many cases, tell these from cases of full length."""
_CASE_MIX: Mapping[str, Mapping[str, str]] = {
    "R-07-041": {"density": "3", "small-pupil": "no", "dye": "no"},
    "R-07-012": {"density": "2", "small-pupil": "no", "dye": "no"},
    "A-01-2400": {"density": "3", "small-pupil": "no", "dye": "no"},
    "R-03-020": {"density": "4", "small-pupil": "no", "dye": "yes"},
}


@dataclass(frozen=True, slots=True)
class RenderedCase:
    """A sample case as the demo takes it in."""

    sample: SampleCase

    @property
    def code(self) -> str:
        """Code of the case, formed as intake forms one that is not given."""
        return f"{self.sample.operator}-{self.sample.case_number:03d}"

    @property
    def clips(self) -> tuple[Path, ...]:
        """The clips in order."""
        return self.sample.clips

    @property
    def intake(self) -> Intake:
        """What is taken in."""
        sample = self.sample
        return Intake(
            paths=sample.clips,
            operator=sample.operator,
            case_number=sample.case_number,
            vocabulary=sample.vocabulary,
            code=self.code,
            level=sample.level,
            eye=Eye(sample.eye),
            attributes={**_CASE_MIX.get(self.code, {}), **_SHORTENED},
            is_model=sample.is_model,
        )

    def truths(self) -> tuple[Truth, ...]:
        """Read the truth of each clip."""
        return tuple(map(read_truth, self.sample.truths))

    def truth(self, case: Case) -> CaseTruth:
        """The truth on the clock of the case as it was taken in."""
        return CaseTruth(self.truths(), case.clock)


def rendered_cases() -> tuple[RenderedCase, ...]:
    """List the rendered cases.

    Raises
    ------
    UserFacingError
        If a clip or its truth file is missing.
    """
    return tuple(map(RenderedCase, sample_cases(CLIPS)))
