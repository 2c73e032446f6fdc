"""Pictures written as PNG, whole or not at all."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.clock import shown
from annotate.errors import UserFacingError


def check_png(path: Path) -> None:
    """Refuse a target that is no PNG file.

    Raises
    ------
    UserFacingError
        If its name does not end in .png, or it is a folder.
    """
    if path.suffix.lower() != ".png":
        raise UserFacingError(
            f"'{shown(path.name, 80)}' does not end in .png.", "Pictures are written as PNG only."
        )
    if path.is_dir():
        raise UserFacingError(
            f"'{shown(path.name, 80)}' is a folder.", "Name a file that ends in .png."
        )


def write_png(rgb: NDArray[np.uint8], path: Path) -> None:
    """Write a picture.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (height, width, 3)

    Raises
    ------
    UserFacingError
        If the folder cannot be written or the disk is full.
    """
    _, encoded = cv2.imencode(".png", cv2.cvtColor(rgb, cv2.COLOR_RGB2BGR))
    part = path.with_name(path.name + ".part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(encoded.tobytes())
        part.replace(path)
    except OSError as fault:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        reason = (fault.strerror or "the disk refused").lower()
        raise UserFacingError(
            f"'{shown(path.name, 80)}' could not be written: {reason}.", "Choose another folder."
        ) from fault
