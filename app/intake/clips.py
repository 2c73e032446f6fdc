"""Clips and their indexes: read once, then taken from the store."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from annotate.case import Case, ClipRecord
from annotate.clip import (
    ALGORITHM_VERSION,
    CasePart,
    CaseReader,
    ClipIndex,
    fingerprint,
    may_be,
)
from annotate.clock import shown
from annotate.errors import UserFacingError
from annotate.ids import ClipId, new_id
from app.intake.decoding import checked, index_bytes
from app.jobs.apart import decoded
from app.jobs.work import Work
from store import Store

INDEX_KIND = "clip-index"
MOST_TOLD = 3
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
    index = index_of(store, path, mark, work)
    return describe(path, mark, index), index


def index_of(store: Store, path: Path, mark: str, work: Work) -> ClipIndex:
    """The index of the clip with a fingerprint: from the store, or made now and kept.

    Raises
    ------
    UserFacingError
        If the file holds no picture that can be read, or reading it ended the reader.
    Cancelled
        If the user has stopped the work.
    """
    kept = kept_index(store, mark)
    if kept is not None:
        return kept
    return ClipIndex.from_bytes(_made_index(store, path, mark, work))


def packed_index(store: Store, path: Path, mark: str, work: Work) -> bytes:
    """The same as bytes, as it is sent to another process.

    Raises
    ------
    UserFacingError, Cancelled
        As `index_of`.
    """
    content = store.derived(INDEX_KIND, mark, _VERSION)
    if content is not None and kept_index(store, mark) is not None:
        return content
    return _made_index(store, path, mark, work)


def _made_index(store: Store, path: Path, mark: str, work: Work) -> bytes:
    content = decoded(index_bytes, path, work=work, reading=path.name)
    work.check()
    store.keep_derived(INDEX_KIND, mark, _VERSION, content)
    return content


def check_readable(path: Path, work: Work) -> None:
    """Refuse a file of which not one picture can be decoded.

    Raises
    ------
    UserFacingError
        Saying why.
    Cancelled
        If the user has stopped the work.
    """
    decoded(checked, path, work=work, reading=path.name)


def check_place(path: Path) -> None:
    """Refuse what can be told from a path alone.

    Raises
    ------
    UserFacingError
        If it is a folder, or its name holds bytes that are no text and so cannot be kept.
    """
    if path.is_dir():
        raise UserFacingError(
            f"'{shown(path.name or str(path))}' is a folder, not a video file.",
            "Choose the video file that the recorder wrote.",
        )
    if path.exists() and not path.is_file():  # reading a pipe might never end
        raise UserFacingError(f"{shown(path.name)} is no file.", "Choose a video file.")
    try:
        str(path).encode("utf-8")
    except UnicodeEncodeError as error:
        raise UserFacingError(
            f"The name of {shown(path.name)} holds characters that are no text.",
            "Rename the file or its folder, then take it in.",
        ) from error


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


def damages(store: Store, case: Case) -> tuple[str, ...]:
    """Sentences on where the clips of a case are damaged, joined or break off."""
    told: list[str] = []
    for clip in case.clips:
        index = kept_index(store, clip.fingerprint)
        if index is not None:
            told += damage_of(Path(clip.path), index)
    return tuple(told)


def damage_of(path: Path, index: ClipIndex) -> tuple[str, ...]:
    """Sentences on one clip, with its name; of many damaged places the first ones."""
    words = [f"{shown(path.name, 80)}: {span.words}" for span in index.damaged[:MOST_TOLD]]
    rest = len(index.damaged) - len(words)
    if rest > 0:
        words.append(f"{shown(path.name, 80)} has {rest} more damaged places.")
    return (*words, index.damage) if index.damage else tuple(words)


def find_clip(store: Store, case: Case, clip: ClipRecord) -> Path:
    """Where a clip's file is now.

    A file that is not where it was, or whose name another recording has now, is looked for beside
    the case's other clips, by fingerprint.

    Raises
    ------
    UserFacingError
        If it is not found.
    """
    known = Path(clip.path)
    is_there = known.is_file()
    if is_there and fingerprint(known) == clip.fingerprint:
        return known
    folders = {Path(other.path).parent for other in case.clips}
    for folder in sorted(folders):
        for candidate in _alike(folder, known.suffix):
            if _is_clip(candidate, clip):
                store.relocate_clip(clip.id, str(candidate.resolve()))
                return candidate
    if is_there:
        raise UserFacingError(
            f"{known.name} is another recording now than the one that was taken in, and that one "
            "is not beside the case's other clips.",
            "Bring it back, or say where it is. Tags and comments are safe.",
        )
    raise UserFacingError(
        f"The clip {known.name} is not where it was, nor beside the case's other clips.",
        "Bring it back, or say where it is. Tags and comments are safe.",
    )


def _is_clip(candidate: Path, clip: ClipRecord) -> bool:
    if not may_be(candidate, clip.fingerprint):
        return False  # a folder may hold hundreds; most are told apart without being read
    try:
        return fingerprint(candidate) == clip.fingerprint
    except UserFacingError:
        return False  # a file that may not be read is not the one that is looked for


def _alike(folder: Path, suffix: str) -> list[Path]:
    if not folder.is_dir():
        return []
    return sorted(p for p in folder.iterdir() if p.is_file() and p.suffix == suffix)


def opened_case(store: Store, case: Case, work: Work | None = None) -> CaseReader:
    """A reader over the parts of a case, each found and read when it is first needed.

    A part that is not there says so when one of its frames is asked for; the others are read. The
    store stays open as long as the reader.

    Raises
    ------
    UserFacingError
        If the case has no clips.
    """
    if not case.clips:
        raise UserFacingError(f"Case {case.code} is known by its tags alone.")
    work = work or Work()
    return CaseReader([part_of(store, case, clip, work) for clip in case.clips])


def part_of(store: Store, case: Case, clip: ClipRecord, work: Work) -> CasePart:
    """A part of a case, found and read when it is first needed."""

    def path() -> Path:
        return find_clip(store, case, clip)

    def index() -> ClipIndex:
        kept = kept_index(store, clip.fingerprint)
        return kept if kept is not None else index_of(store, path(), clip.fingerprint, work)

    return CasePart(path, index, clip.n_frames, clip.duration_us, clip.lead_us)
