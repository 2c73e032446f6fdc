"""Reading clips: an index by demuxing, and exact frames by number or by time."""

from annotate.clip.cache_bounds import REVIEW_CACHE_BYTES
from annotate.clip.case_parts import CasePart
from annotate.clip.case_reader import CaseFrame, CaseReader
from annotate.clip.dicom import names_patient
from annotate.clip.fingerprint import fingerprint, full_hash, may_be
from annotate.clip.frame import Frame
from annotate.clip.index import ALGORITHM_VERSION, ClipIndex, build_index
from annotate.clip.opening import check_clip
from annotate.clip.reader import ClipReader
from annotate.clip.showing import Framing, Tone
from annotate.clip.stopping import ReadingStopped

__all__ = [
    "ALGORITHM_VERSION",
    "REVIEW_CACHE_BYTES",
    "CaseFrame",
    "CasePart",
    "CaseReader",
    "ClipIndex",
    "ClipReader",
    "Frame",
    "Framing",
    "ReadingStopped",
    "Tone",
    "build_index",
    "check_clip",
    "fingerprint",
    "full_hash",
    "may_be",
    "names_patient",
]
