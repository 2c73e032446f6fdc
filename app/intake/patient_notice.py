"""One sentence at intake on files that name the patient inside."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from annotate.case import Case
from annotate.clip import names_patient


def patient_notice(case: Case) -> str:
    """What to say of a case's DICOM files, which hold the patient's data; empty without any."""
    n_files = 0
    for clip in case.clips:
        with suppress(OSError):
            n_files += names_patient(Path(clip.path))
    if not n_files:
        return ""
    which = "The file is" if len(case.clips) == 1 else f"{n_files} of the files are"
    if n_files == len(case.clips) > 1:
        which = "The files are"
    return (
        f"{which} DICOM: the patient is named inside, so keep such files as patients' records "
        "are kept. None of that is taken in, and no export holds it."
    )
