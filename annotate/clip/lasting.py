"""Pictures that stay: copied out of the pool of the decoder that made them.

A decoder takes memory for its pictures from a pool, which grows with each picture that is kept and
never shrinks. A copy gives its memory back to the system when it goes.
"""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Callable

import av

_M_MMAP_THRESHOLD = -3
"""As malloc.h of the GNU C library has it."""

_LARGE_BYTES = 4 << 20
"""More than a picture at 1080p, where taking each from the system would cost 0.1 ms or more."""

_bytes_of: dict[tuple[int, int, str], int] = {}


def picture_bytes(picture: av.VideoFrame) -> int:
    """Bytes that the planes of a picture take up; its edges in the pool are a little more."""
    kind = picture.width, picture.height, picture.format.name
    if kind not in _bytes_of:
        _bytes_of[kind] = sum(plane.buffer_size for plane in picture.planes)
    return _bytes_of[kind]


def lasting(picture: av.VideoFrame) -> av.VideoFrame:
    """Move a picture out of its decoder's pool; all that is known of it stays. Returns itself.

    Nobody may hold a view of its planes yet.
    """
    shared = picture.planes[0].__dlpack__()  # while shared it may not be written to
    picture.make_writable()  # so this copies
    del shared
    return picture


def give_back() -> None:
    """Have the system take back the memory of pictures that went, where the allocator keeps it."""
    if _trim is not None:
        _trim(0)


def give_back_at_once() -> None:
    """From now on take large blocks, such as planes at 2160p, from the system itself.

    The GNU allocator begins so, but once one is freed it keeps blocks of that size for itself: up
    to 150 MiB of them at 2160p.
    """
    if sys.platform.startswith("linux"):
        mallopt = getattr(ctypes.CDLL(None), "mallopt", None)
        if mallopt is not None:
            mallopt(_M_MMAP_THRESHOLD, _LARGE_BYTES)


def _trimmer() -> Callable[[int], int] | None:
    """The GNU allocator's own way of giving back; other systems do so by themselves."""
    if not sys.platform.startswith("linux"):
        return None
    return getattr(ctypes.CDLL(None), "malloc_trim", None)


_trim = _trimmer()
