"""The microscope's camera: light reflexes, glare, focus, shading at the rim, sensor noise."""

from __future__ import annotations

import cv2
import numpy as np

from sample_clips.geometry import Array
from sample_clips.texture import Image, Picture, blurred, smooth_noise, to_picture


def _spot(radius_px: float) -> Image:
    """A bright round spot with a soft halo, values 0 to 1."""
    half = int(radius_px * 5)
    axis = np.arange(-half, half + 1, dtype=np.float32)
    distance = np.hypot(axis[None, :], axis[:, None])
    core = np.clip((radius_px - distance) / (0.22 * radius_px) + 0.5, 0, 1)
    halo = 0.34 * np.exp(-((distance / (1.7 * radius_px)) ** 2))
    return np.asarray(np.clip(core + halo * (1 - core), 0, 1), np.float32)


class Camera:
    """What happens to the picture between the eye and the file.

    Parameters
    ----------
    rng : numpy.random.Generator
        Makes the noise fields.
    size : (int, int)
        Width and height, pixels.
    """

    def __init__(self, rng: np.random.Generator, size: tuple[int, int]) -> None:
        self._size = size
        width, height = size
        self._fields = [self._noise(rng, (height + 64, width + 64)) for _ in range(4)]
        x = (np.arange(width, dtype=np.float32) - width / 2) / height
        y = (np.arange(height, dtype=np.float32) - height / 2) / height
        fall = 1.0 - 0.42 * np.clip(np.hypot(x[None, :], y[:, None]) - 0.42, 0, 1) ** 1.4
        self._shading = to_picture(np.repeat(fall[..., None] * 255, 3, axis=2))
        bloom = np.exp(-((np.hypot(x[None, :] + 0.06, y[:, None] + 0.08) / 0.52) ** 2))
        tint = np.array([240, 248, 255], np.float32)
        self._glare = to_picture(np.asarray((0.35 + 0.65 * bloom)[..., None] * tint, np.float32))

    @staticmethod
    def _noise(rng: np.random.Generator, shape: tuple[int, int]) -> Picture:
        grain = rng.standard_normal((*shape, 3)).astype(np.float32)
        mean = grain.mean(axis=2, keepdims=True, dtype=np.float32)
        grain = np.asarray(1.36 * mean + 0.5 * grain, np.float32)
        return to_picture(128 + 48 * blurred(grain, 0.6))

    def add_reflexes(self, frame: Picture, centre: Array, radius_px: float) -> None:
        """Add the two light reflexes that the cornea shows, in place."""
        for dx, dy, size in ((-0.9, -0.55, 1.0), (1.5, -0.75, 0.86)):
            spot = _spot(radius_px * size)
            place = centre + np.array([dx, dy]) * radius_px * 2.1
            self._add(frame, spot, place)

    @staticmethod
    def _add(frame: Picture, spot: Image, place: Array) -> None:
        """Lay white over the frame where the spot is, at a place between pixels."""
        half = spot.shape[0] // 2
        left, top = int(np.floor(place[0])) - half, int(np.floor(place[1])) - half
        shift = np.array([[1, 0, place[0] % 1], [0, 1, place[1] % 1]])
        moved = cv2.warpAffine(spot, shift, (spot.shape[1] + 1, spot.shape[0] + 1))
        y0, x0 = max(top, 0), max(left, 0)
        y1 = min(top + moved.shape[0], frame.shape[0])
        x1 = min(left + moved.shape[1], frame.shape[1])
        if y1 <= y0 or x1 <= x0:
            return
        alpha = moved[y0 - top : y1 - top, x0 - left : x1 - left, None]
        part = frame[y0:y1, x0:x1].astype(np.float32)
        frame[y0:y1, x0:x1] = to_picture(part + (253.0 - part) * alpha)

    def take(
        self, frame: Picture, *, focus: float, glare: float, noise: float, number: int
    ) -> Picture:
        """Return the frame as the camera records it.

        Parameters
        ----------
        focus : float
            1 sharp, 0 unrecognisable.
        glare : float
            0 none, 1 washed out.
        noise : float
            Spread of the sensor noise, grey levels.
        number : int
            Frame number; picks the noise.
        """
        scale = self._size[1] / 540
        if glare > 0.004:
            washed = cv2.addWeighted(frame, 1 - 0.75 * glare, self._glare, 0.95 * glare, 0)
            frame = np.asarray(washed, np.uint8)
        blur = (0.55 + 11.0 * (1 - focus) ** 1.2) * scale
        soft = cv2.GaussianBlur(frame, (0, 0), blur)
        frame = np.asarray(cv2.multiply(soft, self._shading, scale=1 / 255), np.uint8)
        if noise > 0:
            pick = np.random.default_rng(number)
            field = self._fields[int(pick.integers(4))]
            y, x = pick.integers(0, 64, 2)
            part = field[y : y + frame.shape[0], x : x + frame.shape[1]]
            k = noise / 24.0
            frame = np.asarray(cv2.addWeighted(frame, 1.0, part, k, -128.0 * k), np.uint8)
        return frame


def glove(rng: np.random.Generator, size: tuple[int, int]) -> tuple[Picture, Picture]:
    """A gloved hand out of focus that hides the whole view: colour and cover, wider than it."""
    width, height = size
    shape = (height, width * 2)
    x = np.linspace(0, 2, width * 2, dtype=np.float32)[None, :]
    y = np.linspace(0, 1, height, dtype=np.float32)[:, None]
    wave = 0.05 * smooth_noise(rng, shape, (height / 2, width))
    across = (y - 0.24 * x + wave) * 2.3  # fingers lie askew, one a whole number apart
    tips = 0.22 + 0.16 * np.abs(np.mod(across, 1.0) - 0.5) + 0.05 * np.sin(across * 2.6)
    edge = np.clip((x - tips) / 0.06, 0, 1) * np.clip((1.82 - x + wave) / 0.12, 0, 1)
    crease = np.exp(-(((np.abs(np.mod(across, 1.0) - 0.5) - 0.5) / 0.07) ** 2))
    shade = 0.92 - 0.55 * crease * np.clip(1.6 - x, 0.3, 1)
    shade = shade * (1 + 0.05 * smooth_noise(rng, shape, (height / 5, width / 6)))
    colour = shade[..., None] * np.array([164, 192, 208], np.float32)
    cover = np.repeat(edge[..., None], 3, axis=2).astype(np.float32)
    return to_picture(colour * cover), to_picture(255 * (1 - cover))
