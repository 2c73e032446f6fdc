"""Whether a path is a folder, without a fault for paths that no file system takes."""

from __future__ import annotations

from pathlib import Path


def is_folder(path: Path) -> bool:
    """Tell whether a path is a folder; False for a name too long or not allowed."""
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False
