"""From the store to a note: figures computed, stills taken from the clips."""

from __future__ import annotations

from annotate.case import Case, ReviewSession
from annotate.clip.stopping import Cancel, Progress
from annotate.vocabulary_file import vocabulary_named
from app.handback.case_frames import case_frames
from app.handback.note import Note, build_note
from app.handback.stills import Stills, collect_stills
from metrics.from_tags import figures
from store import Store


def note_for(
    store: Store,
    case: Case,
    session: ReviewSession,
    *,
    with_stills: bool,
    progress: Progress = None,
    cancel: Cancel = None,
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
        If the case's vocabulary cannot be found or the store cannot be read.
    ReadingStopped
        If `cancel` asks for it.
    """
    vocabulary = vocabulary_named(case.vocabulary)
    markup = store.markup(session.id)
    stills = Stills()
    if with_stills and case.clips:
        with case_frames(store, case, cancel) as frames:
            stills = collect_stills(markup, vocabulary, frames, progress, cancel)
    found = figures(markup.tags, vocabulary)
    return build_note(
        case, session, markup, vocabulary, found, stills.by_row, notices=stills.notices
    )
