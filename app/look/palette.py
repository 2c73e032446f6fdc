"""Colours as data, free of Qt, so that screen, note and pictures share them.

Grounds are neutral with a trace of the green of theatre linen, which rests the eye from red.
There is one accent; hues are for data, and each hue has a hatch beside it so that colour
never stands alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType


class Hatch(StrEnum):
    """What a length of ribbon is filled with, over its hue."""

    PLAIN = "plain"
    RISING = "rising"
    FALLING = "falling"
    UPRIGHT = "upright"
    LEVEL = "level"
    CROSSED = "crossed"
    DOTTED = "dotted"


@dataclass(frozen=True, slots=True)
class PhaseStyle:
    """A phase's hue (index into a palette's hues) and hatch."""

    hue: int
    hatch: Hatch


@dataclass(frozen=True, slots=True)
class Palette:
    """One theme. Colours are ``#rrggbb``.

    Attributes
    ----------
    ground, raised, sunken, line : str
        Window, panels on it, fields in it, and the lines between them.
    text, quiet, accent, on_accent : str
        Words, lesser words, the one accent, words upon it.
    commend, correct, neutral : str
        Pins and comments by leaning; their shapes differ too.
    warning, caution : str
        What is wrong; what is worth a look and may be right. A sign or words go with each.
    hues : tuple of str
        For phases.
    ink : str
        Hatch lines and words on a hue.
    """

    name: str
    ground: str
    raised: str
    sunken: str
    line: str
    text: str
    quiet: str
    accent: str
    on_accent: str
    commend: str
    correct: str
    neutral: str
    idle: str
    warning: str
    caution: str
    hues: tuple[str, ...]
    ink: str


DARK = Palette(
    name="dark",
    ground="#1b1f1f",
    raised="#252a2a",
    sunken="#141717",
    line="#3c4444",
    text="#e8ecea",
    quiet="#a9b3b0",
    accent="#7fc8ae",
    on_accent="#10201a",
    commend="#6fb7ff",
    correct="#ffb454",
    neutral="#c5c9c7",
    idle="#8d9794",
    warning="#ff8a78",
    caution="#ffc83d",
    hues=("#5b8fd6", "#d9a441", "#52a8a0", "#c77fae", "#93a84b", "#cf7d55", "#8f86d8"),
    ink="#0e1212",
)

LIGHT = Palette(
    name="light",
    ground="#f3f5f4",
    raised="#ffffff",
    sunken="#e7ebe9",
    line="#bcc5c2",
    text="#1a2220",
    quiet="#4c5956",
    accent="#1f6f57",
    on_accent="#ffffff",
    commend="#1c5fa8",
    correct="#9a4d00",
    neutral="#545d5a",
    idle="#66716d",
    warning="#a8321f",
    caution="#8a5f00",
    hues=("#7aa6e3", "#e3b65c", "#6dbdb5", "#d79ac2", "#abbd69", "#e0987a", "#aaa2e6"),
    ink="#141a18",
)

PALETTES: Mapping[str, Palette] = MappingProxyType({p.name: p for p in (DARK, LIGHT)})

_HATCHES = tuple(Hatch)
_KNOWN_ORDER = (
    "incision",
    "viscoelastic",
    "capsulorhexis",
    "hydrodissection",
    "sculpt",
    "crack",
    "chop",
    "fragments",
    "cortex",
    "polish",
    "lens",
    "viscoelastic-removal",
    "closure",
)


def phase_styles(codes: Sequence[str]) -> dict[str, PhaseStyle]:
    """Give each phase a pair of hue and hatch that no other of the vocabulary has.

    A code that several vocabularies share looks the same in all of them; neighbours never
    share a hue.

    Parameters
    ----------
    codes : sequence of str
        Phase codes in the vocabulary's order.
    """
    n_hues, n_hatches = len(DARK.hues), len(_HATCHES)
    styles: dict[str, PhaseStyle] = {}
    taken: set[tuple[int, int]] = set()
    known = {code: _pair(i, n_hues, n_hatches) for i, code in enumerate(_KNOWN_ORDER)}
    taken.update(known[code] for code in codes if code in known)
    place = 0
    for code in codes:
        pair = known.get(code)
        while pair is None or (code not in known and pair in taken):
            pair = _pair(place, n_hues, n_hatches)
            place += 1
        taken.add(pair)
        styles[code] = PhaseStyle(pair[0], _HATCHES[pair[1]])
    return styles


def _pair(place: int, n_hues: int, n_hatches: int) -> tuple[int, int]:
    return place % n_hues, (place + place // n_hues * 2) % n_hatches
