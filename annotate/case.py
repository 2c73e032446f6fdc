"""A case and its clips, and one reviewer's session on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from fractions import Fraction

from annotate.clock import CaseClock
from annotate.ids import CaseId, ClipId, SessionId
from annotate.people import Operator, Reviewer


class Eye(StrEnum):
    """Right eye (oculus dexter) or left eye (oculus sinister)."""

    OD = "OD"
    OS = "OS"


class SessionStatus(StrEnum):
    """A session is worked on until it is signed."""

    DRAFT = "draft"
    SIGNED = "signed"


@dataclass(frozen=True, slots=True)
class ClipRecord:
    """What the store keeps of one video file.

    Attributes
    ----------
    path : str
        Where the file was last seen; may have moved since.
    fingerprint : str
        Size and a hash of sampled blocks, see `annotate.clip.fingerprint`.
    full_hash : str
        SHA-256 of the whole file, empty until the background pass has made it.
    n_frames, duration_us, fps_mean, is_variable_rate, width, height, codec
        From the clip's index; width and height as shown, after rotation and pixel aspect.
    lead_us : int
        What lies before it on the case clock: a gap above 0, an overlap with the clip before
        below 0, whose pictures are left out of this one.
    """

    id: ClipId
    path: str
    fingerprint: str
    n_frames: int
    duration_us: int
    fps_mean: Fraction
    is_variable_rate: bool
    width: int
    height: int
    codec: str
    full_hash: str = ""
    lead_us: int = 0


@dataclass(frozen=True, slots=True)
class Case:
    """One operation by one operator.

    Attributes
    ----------
    case_number : int
        How many such cases the operator had performed, this one included.
    vocabulary : str
        Name of the vocabulary the case is tagged with.
    clips : tuple of ClipRecord
        In order on the case clock; empty for a case known by its tags alone.
    length_us : int
        Length of the case, microseconds: that of its clock where there are clips.
    attributes : mapping
        Case mix: density grade, small pupil and the like.
    is_model : bool
        Shown as an example to set others beside.
    """

    id: CaseId
    code: str
    operator: Operator
    case_number: int
    vocabulary: str
    clips: tuple[ClipRecord, ...]
    length_us: int
    taken_in_at: datetime
    eye: Eye | None = None
    attributes: Mapping[str, str] = field(default_factory=dict)
    is_model: bool = False

    @property
    def clock(self) -> CaseClock:
        """The clock on which the clips lie in order."""
        return CaseClock(
            [clip.duration_us for clip in self.clips], [clip.lead_us for clip in self.clips]
        )


@dataclass(frozen=True, slots=True)
class ReviewSession:
    """One reviewer's review of one case.

    Attributes
    ----------
    edition : int
        1 for the first; a signed review that is gone on with becomes the next one's `follows_id`.
    content_hash : str
        SHA-256 of all that it says, empty until it is signed.
    is_veiled : bool
        Whether it is kept from other reviewers of the case until theirs and it are signed.
    vocabulary_hash : str
        Of the vocabulary it was begun with, see `annotate.vocabulary_file.content_hash`.
    """

    id: SessionId
    case_id: CaseId
    reviewer: Reviewer
    status: SessionStatus
    started_at: datetime
    signed_at: datetime | None = None
    edition: int = 1
    follows_id: SessionId | None = None
    content_hash: str = ""
    is_veiled: bool = False
    vocabulary_hash: str = ""
