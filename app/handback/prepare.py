"""From the store to a note: figures computed, stills taken from the clips."""

from __future__ import annotations

from annotate.case import Case, ReviewSession
from annotate.markup import Markup
from annotate.vocabulary import Vocabulary
from app.handback.case_frames import stills_of
from app.handback.note import Note, build_note
from app.handback.stills import Stills
from app.intake.mark_paths import packed_paths
from app.intake.sent_parts import sent_parts
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
    paths = packed_paths(store, case, markup.marks, work)
    try:
        return decoded(
            stills_of,
            sent_parts(store, case),
            markup,
            vocabulary,
            paths,
            work=work,
            reading="the recording",
        )
    except ReaderEnded as error:
        raise ReaderEnded(
            f"{error.what} No note was written.",
            "Hand it back again; a note without pictures (Markdown, table, JSON) needs no reading.",
        ) from error
