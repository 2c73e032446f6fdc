"""The picture that stands for a case in the list: made once, kept with the clip's fingerprint."""

from __future__ import annotations

import cv2
import numpy as np

from annotate.case import Case
from annotate.errors import UserFacingError
from app.intake.clips import opened_case
from app.jobs.work import Work
from store import Store

POSTER_KIND = "poster"
_VERSION = "1"
_WIDTH_PX = 240
_PLACE = 0.35


def kept_poster(store: Store, case: Case) -> bytes | None:
    """A case's poster as JPEG, if it was made before."""
    if not case.clips:
        return None
    return store.derived(POSTER_KIND, case.clips[0].fingerprint, _VERSION)


def make_poster(store: Store, case: Case, work: Work) -> bytes | None:
    """Make a case's poster from a frame about a third into it; None if no clip can be read."""
    work.check()
    try:
        with opened_case(store, case, work) as reader:
            found = reader.frame(int(reader.n_frames * _PLACE))
    except UserFacingError:
        return None  # opening the case says what is wrong; the list goes without its picture
    width, height = found.frame.shown_size
    pixels = found.frame.fitted(_WIDTH_PX, max(round(_WIDTH_PX * height / width), 1))
    picture = np.ascontiguousarray(pixels[:, :, :3])
    _, encoded = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, 85])
    content = encoded.tobytes()
    store.keep_derived(POSTER_KIND, case.clips[0].fingerprint, _VERSION, content)
    return content
