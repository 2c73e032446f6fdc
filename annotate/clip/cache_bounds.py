"""How the memory that decoded pictures may take is shared out."""

from __future__ import annotations

from annotate.clip.cache import PictureCache

CACHE_BYTES = 96 << 20
"""Bound for a command that goes through a clip once."""

REVIEW_CACHE_BYTES = 512 << 20
"""Bound for a clip that is looked at, forward and backward."""

OF_FIELDS = 8
"""Pictures held in making whole ones of fields: put in, at work, given out."""

_MOST_PASSING_BYTES = 32 << 20
"""Of pictures kept on the way forward. They pin the decoder's pool, and the larger it is the less
of it stays in the processor's own cache: 96 MiB cost 8 % of MPEG-2 decoding, 32 MiB 3 %."""

_N_LEAST = 8
"""Pictures kept although the decoders alone need more than the bound: for a few steps back."""

_HELD_BYTES, _HELD_SHARE = 40 << 20, 12
"""Left for what the allocator holds on to, and of the bound, for that too and pictures' edges."""


def cache_within(most_bytes: int) -> PictureCache:
    """A cache for a bound on all decoded pictures; decoders set their own aside as they open."""
    cache = PictureCache(most_bytes, _MOST_PASSING_BYTES, _N_LEAST)
    share = most_bytes // _HELD_SHARE
    cache.set_aside("held on to", min(_HELD_BYTES, share) + share)
    return cache
