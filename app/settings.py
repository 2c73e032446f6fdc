"""The user's settings: a small TOML file, written at once and whole."""

from __future__ import annotations

import tomllib
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

import tomli_w

from app.places import settings_file


@dataclass(frozen=True, slots=True)
class Settings:
    """What the user has chosen.

    Attributes
    ----------
    reviewer : str
        Code under which this user reviews.
    theme : str
        ``dark`` or ``light``.
    reaction_s : float
        How far an event tagged while playing is set back, seconds; pausing sets nothing back.
    is_hint_read : bool
        Whether the first-run hint was shown.
    is_demo_hint_read : bool
        The same for the demo's.
    is_reviewer_asked : bool
        Whether it was asked, once, who reviews on this desk.
    volume : float
        Of a clip's sound, 0 to 1, in even steps to the ear.
    is_muted : bool
        Whether clips are played without sound.
    picture_memory_mib : int
        Bound on the decoded pictures kept of each clip that is open, MiB.
    size_percent : int
        How large everything is drawn, per cent, from the next start on.
    side_px, timeline_px : int
        Sizes of Review's side column and timeline, pixels; 0 where they size themselves.
    folded_lanes : str
        Ids of the timeline's lanes that are folded away, with commas between.
    handed_back_to : str
        The folder into which a note was written last; empty before the first.
    """

    reviewer: str = "reviewer"
    theme: str = "dark"
    reaction_s: float = 0.4
    is_hint_read: bool = False
    is_demo_hint_read: bool = False
    is_reviewer_asked: bool = False
    volume: float = 0.8
    is_muted: bool = False
    picture_memory_mib: int = 512
    size_percent: int = 100
    side_px: int = 0
    timeline_px: int = 0
    folded_lanes: str = ""
    handed_back_to: str = ""


def load_settings(path: Path | None = None) -> Settings:
    """Read the settings; what is missing or unreadable keeps its default."""
    try:
        stored = tomllib.loads((path or settings_file()).read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError, UnicodeDecodeError):
        return Settings()
    defaults = Settings()
    known = {
        field.name: stored[field.name]
        for field in fields(Settings)
        if isinstance(stored.get(field.name), type(getattr(defaults, field.name)))
    }
    return replace(defaults, **known)


def save_settings(settings: Settings, path: Path | None = None) -> None:
    """Write the settings whole or not at all.

    Raises
    ------
    OSError
        If the folder cannot be written.
    """
    target = path or settings_file()
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_suffix(".part")
    part.write_text(tomli_w.dumps(asdict(settings)), encoding="utf-8")
    part.replace(target)


def settings_after_demo(used: Settings) -> Settings:
    """What a demo leaves of its settings: the user's own, with theme, sound and what was read."""
    return replace(
        load_settings(),
        theme=used.theme,
        is_demo_hint_read=used.is_demo_hint_read,
        volume=used.volume,
        is_muted=used.is_muted,
        size_percent=used.size_percent,
        side_px=used.side_px,
        timeline_px=used.timeline_px,
        folded_lanes=used.folded_lanes,
    )
