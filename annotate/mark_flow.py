"""Texture around a mark, followed from one frame to the next by pyramidal optical flow.

Each place of texture is looked for in the next frame and from there back again (forward-backward
check: Kalal, Mikolajczyk, Matas 2010, from memory); from those that come back where they began, a
shift, turn and change of size is estimated that most of them share. An instrument that passes has
texture too, but moves otherwise than the rest, and is voted down.
"""

from __future__ import annotations

import math
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.marks import MarkKind

Grey = NDArray[np.uint8]
Points = NDArray[np.float64]
Spots = NDArray[np.float32]

_MOST_SPOTS, _FEWEST_SPOTS = 160, 8
_REFILL_BELOW = 70
_BACK_PX = 0.8
"""How far from where it began a place may come back."""
_AGREE_PX = 1.5
_LEAST_SHARE = 0.35
"""Of the places that came back, so many have to agree."""
_MOST_SCALE_STEP = 0.08
_LONGEST_LOST = 25
"""Frames after which what was lost is not looked for any more."""


class Follower:
    """Follows one mark from the frame on which it was placed.

    Parameters
    ----------
    grey : ndarray of uint8, shape (height, width)
        That frame.
    drawn : ndarray of float, shape (k, 2)
        The mark's points, pixels of it.

    Attributes
    ----------
    points : ndarray of float, shape (k, 2)
        Where they are now.
    is_sure : bool
        Whether the tissue was found on the frame before; while it is not, the points stand still.
    """

    def __init__(self, grey: Grey, drawn: Points, kind: MarkKind) -> None:
        self._drawn, self._kind = drawn.astype(float), kind
        self._move = np.eye(3)[:2]
        self._grey = grey
        self.points = self._drawn.copy()
        self._spots = np.empty((0, 2), np.float32)
        self._origins = np.empty((0, 2), np.float32)
        self._n_lost = 0
        self._refill()
        self.is_sure = len(self._spots) >= _FEWEST_SPOTS

    def step(self, grey: Grey) -> None:
        """Go on to the next frame."""
        found = self._found(grey) if self._n_lost <= _LONGEST_LOST else None
        if found is None:
            self._n_lost += 1
            self.is_sure = False
            return  # what was seen last is looked for in the next frame again
        self._n_lost, self.is_sure = 0, True
        self._move, self._spots, self._origins = found
        self._grey = grey
        self.points = _moved(self._drawn, self._move)
        if len(self._spots) < _REFILL_BELOW:
            self._refill()

    def _found(self, grey: Grey) -> tuple[Points, Spots, Spots] | None:
        """How the mark has moved since it was placed, and the texture that says so."""
        if len(self._spots) < _FEWEST_SPOTS:
            return None
        there, seen = _flow(self._grey, grey, self._spots)
        back, seen_back = _flow(grey, self._grey, there)
        off = np.linalg.norm(back - self._spots, axis=1)
        came = seen & seen_back & (off < _BACK_PX)
        if came.sum() < _FEWEST_SPOTS:
            return None
        origins, spots = self._origins[came], there[came]
        found: tuple[Any, Any] = cv2.estimateAffinePartial2D(
            origins, spots, method=cv2.RANSAC, ransacReprojThreshold=_AGREE_PX,
            maxIters=500, confidence=0.995, refineIters=10,
        )  # fmt: skip
        move, agree = found
        if move is None or not self._is_likely(move):
            return None
        inside = agree.ravel() == 1
        if inside.sum() < max(_FEWEST_SPOTS, _LEAST_SHARE * came.sum()):
            return None
        return move, spots[inside], origins[inside]

    def _is_likely(self, move: Points) -> bool:
        """Whether tissue can move so within a frame or a few."""
        scale = math.hypot(move[0, 0], move[1, 0])
        before = math.hypot(self._move[0, 0], self._move[1, 0])
        step = np.linalg.norm(_moved(self._drawn, move) - self.points, axis=1).max()
        reach = max(self._grey.shape)
        most = _MOST_SCALE_STEP * (1 + self._n_lost / 4)
        return abs(math.log(max(scale, 1e-6) / before)) < most and bool(step < 0.2 * reach)

    def _refill(self) -> None:
        """Look for more texture around the mark, away from what is followed already."""
        mask = self._region()
        for x, y in self._spots:
            cv2.circle(mask, (round(float(x)), round(float(y))), 5, 0, -1)
        wanted = _MOST_SPOTS - len(self._spots)
        fresh: Any = cv2.goodFeaturesToTrack(self._grey, wanted, 0.005, 5.0, mask=mask, blockSize=5)
        if fresh is None:
            return
        spots = fresh.reshape(-1, 2)
        to_origin = np.asarray(cv2.invertAffineTransform(self._move), float)
        origins = _moved(spots.astype(float), to_origin).astype(np.float32)
        self._spots = np.concatenate([self._spots, spots])
        self._origins = np.concatenate([self._origins, origins])

    def _region(self) -> Grey:
        """Where texture may belong to the tissue that the mark is on."""
        height, width = self._grey.shape
        mask = np.zeros((height, width), np.uint8)
        near = 0.085 * math.sqrt(width * height)
        at = np.clip(self.points, -4 * width, 4 * width)
        if self._kind in (MarkKind.RING, MarkKind.SPOTLIGHT):
            radius = float(np.linalg.norm(at[-1] - at[0]))
            centre = (round(float(at[0, 0])), round(float(at[0, 1])))
            cv2.circle(mask, centre, round(max(radius * 1.2, near)), 255, -1)
            return mask
        if self._kind is MarkKind.ARROW:
            at = at[-1:]  # it is about what it points to
        ends = np.rint(at).astype(np.int32).reshape(-1, 1, 2)
        if len(ends) == 1:
            ends = np.repeat(ends, 2, axis=0)
        cv2.polylines(mask, [ends], False, 255, max(round(2 * near), 1))
        return mask


def _flow(grey: Grey, other: Grey, spots: Spots) -> tuple[Spots, NDArray[np.bool_]]:
    """Where places of one picture are in another, and whether they were found at all."""
    nothing: Any = None
    there, seen, _ = cv2.calcOpticalFlowPyrLK(
        grey,
        other,
        spots,
        nothing,
        winSize=(19, 19),
        maxLevel=3,
        criteria=(cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 30, 0.01),
    )
    return np.asarray(there, np.float32), np.asarray(seen).ravel() == 1


def _moved(points: Points, move: Points) -> Points:
    """Points after a shift, turn and change of size."""
    return np.asarray(points @ move[:, :2].T + move[:, 2])
