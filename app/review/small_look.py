"""Small pictures as the case is looked at: the same turn, mirror and tone as the large one."""

from __future__ import annotations

import numpy as np
from PySide6.QtGui import QImage, QTransform

from annotate.clip.presenting import toned
from app.review.case_looks import AS_FILMED, CaseLook
from app.review.picture import PictureView


def look_of(picture: PictureView) -> CaseLook:
    """How a picture is shown now; while the original is, that is as it was filmed."""
    seen = picture.seen_from
    return CaseLook(seen.turn_deg, seen.is_mirrored, picture.tone)


def aspect_seen(aspect: float, look: CaseLook) -> float:
    """Width over height of an upright picture once it is turned."""
    return 1 / aspect if look.turn_deg % 180 else aspect


def as_looked_at(image: QImage, look: CaseLook) -> QImage:
    """An upright picture turned, mirrored and toned as the case is; its own size."""
    if look == AS_FILMED or image.isNull():
        return image
    seen = image.transformed(QTransform().rotate(look.turn_deg)) if look.turn_deg else image
    if look.is_mirrored:
        seen = seen.transformed(QTransform.fromScale(-1, 1))
    return seen if look.tone.is_neutral else _toned(seen, look)


def _toned(image: QImage, look: CaseLook) -> QImage:
    plain = image.convertToFormat(QImage.Format.Format_RGB32)
    width, height = plain.width(), plain.height()
    rows = np.frombuffer(plain.constBits(), np.uint8).reshape(height, width, 4)
    pixels = np.ascontiguousarray(toned(rows, look.tone))
    return QImage(pixels.data, width, height, 4 * width, QImage.Format.Format_RGB32).copy()
