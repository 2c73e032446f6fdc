"""From the store to a note: figures computed, stills taken from the clips."""

from __future__ import annotations

from annotate.case import Case, ClipRecord, ReviewSession
from annotate.errors import UserFacingError
from annotate.markup import Markup
from annotate.vocabulary import Vocabulary
from app.handback.case_frames import SentPart, stills_of
from app.handback.note import Note, build_note
from app.handback.stills import Stills
from app.intake.clips import find_clip, kept_index
from app.jobs.apart import ReaderEnded, decoded
from app.jobs.work import Work
from app.vocabulary.words import words_of
from app.watched_words import watched_for
from metrics.from_tags import figures
from store import Store


def note_for(
    store: Store,
    case: Case,
    session: ReviewSession,
    *,
    with_stills: bool,
    work: Work | None = None,
) -> Note:
    """Make the note of a session as it now stands.

    A clip that is missing or damaged costs its stills, which the note then says.

    Parameters
    ----------
    with_stills : bool
        Only pages show pictures; the other formats are made without.

    Raises
    ------
    UserFacingError
        If the case's vocabulary cannot be found, the store cannot be read, or decoding the
        stills ended the process that did it.
    Cancelled, ReadingStopped
        If it was called off.
    """
    markup = store.markup(session.id)
    vocabulary = words_of(store, case, session, markup)
    stills = Stills()
    if with_stills and case.clips:
        stills = _stills(store, case, markup, vocabulary, work or Work())
    found = figures(markup.tags, vocabulary)
    return build_note(
        case,
        session,
        markup,
        vocabulary,
        found,
        stills.by_row,
        notices=stills.notices,
        watched=watched_for(store, case, session),
    )


def _stills(store: Store, case: Case, markup: Markup, vocabulary: Vocabulary, work: Work) -> Stills:
    parts = [_part(store, case, clip) for clip in case.clips]
    try:
        return decoded(stills_of, parts, markup, vocabulary, work=work, reading="the recording")
    except ReaderEnded as error:
        raise ReaderEnded(
            f"{error.what} No note was written.",
            "Hand it back again; a note without pictures (Markdown, table, JSON) needs no reading.",
        ) from error


def _part(store: Store, case: Case, clip: ClipRecord) -> SentPart:
    index = kept_index(store, clip.fingerprint)
    try:
        path = find_clip(store, case, clip)
    except UserFacingError:
        path = None
    packed = index.to_bytes() if index is not None else None
    return SentPart(path, packed, clip.n_frames, clip.duration_us, clip.lead_us)
