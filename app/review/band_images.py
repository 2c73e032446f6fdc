"""Small pictures at the size of their places, decoded once and brought to the look once."""

from __future__ import annotations

from collections import OrderedDict

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter

from app.review.case_looks import AS_FILMED, CaseLook
from app.review.case_pictures import SmallPicture
from app.review.small_look import as_looked_at

_MOST_HELD = 512


class BandImages:
    """Paints small pictures; the newest few hundred are held."""

    def __init__(self) -> None:
        self._upright: OrderedDict[tuple[tuple[str, int], int], QImage] = OrderedDict()
        self._seen: OrderedDict[tuple[tuple[str, int], int], QImage] = OrderedDict()
        self._look = AS_FILMED

    def paint(
        self, painter: QPainter, picture: SmallPicture, place: QRectF, look: CaseLook
    ) -> None:
        """Paint a picture as it is looked at, in the middle of its place."""
        if look != self._look:
            self._look = look
            self._seen.clear()
        ratio = painter.device().devicePixelRatioF()
        size = place.size().toSize() * ratio
        key = (picture.key, size.height())
        image = self._seen.get(key)
        if image is None:
            image = as_looked_at(self._scaled(picture, size), look).copy()
            image.setDevicePixelRatio(ratio)
            _hold(self._seen, key, image)
        self._seen.move_to_end(key)
        painter.drawImage(_centred(image, place), image)

    def _scaled(self, picture: SmallPicture, size: QSize) -> QImage:
        """Upright, so large that it fills its place once it is turned."""
        upright = size.transposed() if self._look.turn_deg % 180 else size
        key = (picture.key, upright.height())
        image = self._upright.get(key)
        if image is None:
            image = QImage.fromData(picture.content).scaled(
                upright,
                Qt.AspectRatioMode.KeepAspectRatio,
                Qt.TransformationMode.SmoothTransformation,
            )
            _hold(self._upright, key, image)
        self._upright.move_to_end(key)
        return image


def _hold(
    held: OrderedDict[tuple[tuple[str, int], int], QImage],
    key: tuple[tuple[str, int], int],
    image: QImage,
) -> None:
    held[key] = image
    while len(held) > _MOST_HELD:
        held.popitem(last=False)


def _centred(image: QImage, place: QRectF) -> QPointF:
    """Where an image begins that lies in the middle of its place."""
    size = image.deviceIndependentSize()
    return QPointF(
        place.x() + (place.width() - size.width()) / 2,
        place.y() + (place.height() - size.height()) / 2,
    )
