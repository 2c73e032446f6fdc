"""A list that loses a word: reviews with it read, and add up, as before."""

from __future__ import annotations

from dataclasses import replace

from annotate.old_words import with_old_words
from annotate.tags import Leaning
from annotate.vocabulary_file import shipped_vocabulary
from annotate.vocabulary_text import vocabulary_text

BEFORE = shipped_vocabulary("phaco-divide-conquer")
TODAY = replace(
    BEFORE,
    version="2",
    phases=tuple(term for term in BEFORE.phases if term.code not in {"incision", "sculpt"}),
    events=BEFORE.events[1:],
    idle_reasons=BEFORE.idle_reasons[:-1],
)
USED = {"sculpt", BEFORE.events[0].code, "crack"}


def test_what_a_review_has_comes_back_in_its_place() -> None:
    words = with_old_words(TODAY, [BEFORE], USED)
    assert words.phase_codes == tuple(c for c in BEFORE.phase_codes if c != "incision")
    assert words.retired == {"sculpt", BEFORE.events[0].code}
    assert words.events[0].leaning is BEFORE.events[0].leaning is not Leaning.NEUTRAL
    assert {t.code for t in words.terms_to_tag} == {t.code for t in TODAY.terms}


def test_what_it_does_not_have_keeps_its_label_alone() -> None:
    words = with_old_words(TODAY, [BEFORE], USED)
    assert words.label("incision") == "Incision"
    assert words.label(BEFORE.idle_reasons[-1].code) == BEFORE.idle_reasons[-1].label
    assert words.label("never-heard-of") == "never-heard-of"


def test_nothing_that_can_be_typed_is_the_key_of_a_retired_word() -> None:
    words = with_old_words(TODAY, [BEFORE], USED)
    assert all(len(t.key) > 1 for t in words.terms if t.code in words.retired)


def test_a_file_has_nothing_of_the_old() -> None:
    assert vocabulary_text(with_old_words(TODAY, [BEFORE], USED)) == vocabulary_text(TODAY)


def test_the_edition_at_the_front_is_asked_first() -> None:
    renamed = replace(
        BEFORE,
        phases=tuple(
            replace(term, label="Grooving") if term.code == "sculpt" else term
            for term in BEFORE.phases
        ),
    )
    assert with_old_words(TODAY, [renamed, BEFORE], USED).label("sculpt") == "Grooving"
    assert with_old_words(TODAY, [BEFORE, renamed], USED).label("sculpt") == "Sculpting"


def test_a_first_word_that_is_gone_stands_first_again() -> None:
    assert with_old_words(TODAY, [BEFORE], {"incision"}).phase_codes[0] == "incision"
