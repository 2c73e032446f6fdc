"""Clips and their indexes: read once, then taken from the store."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from annotate.case import Case, ClipRecord
from annotate.clip import ALGORITHM_VERSION, CaseReader, ClipIndex, build_index, fingerprint
from annotate.errors import UserFacingError
from annotate.ids import ClipId, new_id
from app.jobs.work import Work
from store import Store

INDEX_KIND = "clip-index"
_VERSION = str(ALGORITHM_VERSION)


def read_clip(store: Store, path: Path, work: Work) -> tuple[ClipRecord, ClipIndex]:
    """Index a file and describe it; an index made before is taken from the store.

    Raises
    ------
    UserFacingError
        If the file holds no picture that can be read.
    Cancelled
        If the user has stopped the work.
    """
    mark = fingerprint(path)
    index = kept_index(store, mark)
    if index is None:
        index = build_index(path, progress=work.advance)
        store.keep_derived(INDEX_KIND, mark, _VERSION, index.to_bytes())
    return describe(path, mark, index), index


def describe(path: Path, mark: str, index: ClipIndex) -> ClipRecord:
    """What the store keeps of a clip."""
    return ClipRecord(
        id=ClipId(new_id()),
        path=str(path.resolve()),
        fingerprint=mark,
        n_frames=index.n_frames,
        duration_us=index.duration_us,
        fps_mean=Fraction(index.fps_mean),
        is_variable_rate=index.is_variable_rate,
        width=index.width,
        height=index.height,
        codec=index.codec,
    )


def kept_index(store: Store, mark: str) -> ClipIndex | None:
    """An index from the store, if one is there and sound."""
    content = store.derived(INDEX_KIND, mark, _VERSION)
    if content is None:
        return None
    try:
        return ClipIndex.from_bytes(content)
    except ValueError:
        return None  # derived data may be damaged; it is made again


def find_clip(store: Store, case: Case, clip: ClipRecord) -> Path:
    """Where a clip's file is now.

    A file that is not where it was is looked for beside the case's other clips, by fingerprint.

    Raises
    ------
    UserFacingError
        If it is not found.
    """
    known = Path(clip.path)
    if known.is_file():
        return known
    folders = {Path(other.path).parent for other in case.clips}
    for folder in sorted(folders):
        for candidate in _alike(folder, known.suffix):
            if fingerprint(candidate) == clip.fingerprint:
                store.relocate_clip(clip.id, str(candidate.resolve()))
                return candidate
    raise UserFacingError(
        f"The clip {known.name} is not where it was, nor beside the case's other clips.",
        "Bring it back, or say where it is. Tags and comments are safe.",
    )


def _alike(folder: Path, suffix: str) -> list[Path]:
    if not folder.is_dir():
        return []
    return sorted(p for p in folder.iterdir() if p.is_file() and p.suffix == suffix)


def opened_case(store: Store, case: Case, work: Work | None = None) -> CaseReader:
    """A reader over all clips of a case.

    Raises
    ------
    UserFacingError
        If the case has no clips, or one cannot be found or read.
    """
    if not case.clips:
        raise UserFacingError(
            f"Case {case.code} is known by its tags alone; it has no clip to show."
        )
    progress = work or Work()
    parts = []
    for clip in case.clips:
        path = find_clip(store, case, clip)
        index = kept_index(store, clip.fingerprint)
        if index is None:
            index = build_index(path, progress=progress.advance)
            store.keep_derived(INDEX_KIND, clip.fingerprint, _VERSION, index.to_bytes())
        parts.append((path, index))
    return CaseReader(parts)
