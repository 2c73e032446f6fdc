"""The editor without its window: the same rules as for files, told at their fields."""

from __future__ import annotations

import pytest
from desk_scenes import VOCABULARY
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.errors import UserFacingError
from annotate.vocabulary_check import KEYS
from annotate.vocabulary_file import read_vocabulary, shipped_vocabulary
from annotate.vocabulary_text import KINDS, text_of, vocabulary_text
from app.vocabulary.draft import code_from, document_of, next_version
from app.vocabulary.presenter import VocabularyPresenter

WORDS = shipped_vocabulary(VOCABULARY)


def editing(uses: dict[str, int] | None = None) -> VocabularyPresenter:
    return VocabularyPresenter(WORDS, uses or {})


def place(presenter: VocabularyPresenter, code: str, kind: str = "phase") -> int:
    return [term.code for term in presenter.draft.terms(kind)].index(code)


def test_at_first_nothing_is_changed_or_wrong() -> None:
    presenter = editing()
    assert not presenter.faults
    assert not presenter.is_changed
    assert not presenter.may_keep


def test_a_taken_key_is_refused_by_name() -> None:
    presenter = editing()
    sculpt = place(presenter, "sculpt")
    presenter.set_term("phase", sculpt, key="1")
    assert presenter.fault("phase", sculpt, "key") == "The phase 'Incision' has this key already."
    assert not presenter.may_keep
    with pytest.raises(ValueError, match="not right"):
        presenter.made()


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("label", "", "Label is empty."),
        ("label", "x" * 41, "Label has over 40 characters."),
        ("good", " ", "What good looks like is empty."),
        ("key", "", "Choose a free key."),
    ],
)
def test_faults_at_their_fields(field: str, text: str, said: str) -> None:
    presenter = editing()
    presenter.set_term("phase", 2, **{field: text})
    assert presenter.faults == {("phase", 2, field): said}
    assert presenter.is_faulty("phase", 2)
    assert not presenter.is_faulty("phase", 1)


def test_faults_of_limits() -> None:
    presenter = editing()
    presenter.add_limit(0)
    assert presenter.fault("phase", 0, "limit", 0) == "Give the least value, the most, or both."
    presenter.set_limit(0, 0, "setting", "vacuum")
    assert presenter.draft.phase[0].limits[0].unit == "mmHg"
    presenter.set_limit(0, 0, "at_most", "many")
    told = presenter.fault("phase", 0, "limit", 0, "at_most")
    assert told == "The most must be a number of 0 or more, not many."
    presenter.set_limit(0, 0, "at_most", "20,5")
    presenter.set_limit(0, 0, "at_least", "30")
    told = presenter.fault("phase", 0, "limit", 0, "at_least")
    assert told == "The least value 30 lies above the most 20.5."
    presenter.set_limit(0, 0, "at_least", "")
    presenter.set_limit(0, 0, "source", "common practice, no source")
    assert not presenter.faults
    assert presenter.made().phases[0].limits[0].at_most == 20.5


def test_the_code_of_a_new_word_follows_its_label() -> None:
    presenter = editing({"tilt": 3})
    fresh = presenter.add("phase")
    presenter.set_term("phase", fresh, label="Größe prüfen")
    assert presenter.draft.phase[fresh].code == "groe-prufen"
    presenter.set_term("phase", fresh, label="Tilt")
    assert presenter.draft.phase[fresh].code == "tilt-2"  # reviews know another word by 'tilt'
    presenter.set_term("phase", fresh, code="tilting")
    presenter.set_term("phase", fresh, label="Tilt and go")
    assert presenter.draft.phase[fresh].code == "tilting"


def test_the_code_of_a_word_in_use_stays() -> None:
    presenter = editing({"sculpt": 14})
    sculpt = place(presenter, "sculpt")
    assert presenter.is_locked("phase", sculpt)
    assert presenter.code_words("phase", sculpt) == "stays: it stands in 14 reviews"
    presenter.set_term("phase", sculpt, code="groove")
    presenter.set_term("phase", sculpt, label="Grooving")
    assert presenter.draft.phase[sculpt].code == "sculpt"
    assert presenter.made().label("sculpt") == "Grooving"
    assert "14 reviews have 'Grooving'" in presenter.parting_words("phase", sculpt)
    assert not presenter.parting_words("phase", place(presenter, "crack"))


def test_typing_on_in_a_field_is_one_step() -> None:
    presenter = editing()
    for text in ("G", "Gr", "Groove"):
        presenter.set_term("phase", 4, label=text)
    presenter.move("phase", 4, -1)
    presenter.undo()
    assert presenter.draft.phase[4].label == "Groove"
    presenter.undo()
    assert presenter.draft == presenter.original
    assert not presenter.can_undo
    presenter.redo()
    presenter.redo()
    assert presenter.draft.phase[3].label == "Groove"


def test_without_a_phase_it_is_nothing() -> None:
    presenter = editing()
    for _ in WORDS.phases:
        presenter.remove("phase", 0)
    assert presenter.fault() == "A procedure needs a phase at least."


def test_keeping_counts_the_version_up() -> None:
    presenter = editing()
    presenter.move("phase", 0, 1)
    assert presenter.may_keep
    made = presenter.made()
    assert made.version == "4"
    presenter.kept(made, {})
    assert not presenter.is_changed
    assert presenter.next_version == "5"


@pytest.mark.parametrize(
    ("version", "after"), [("1", "2"), ("9", "10"), ("2026-a", "2026-a 2"), ("v3", "v4")]
)
def test_versions(version: str, after: str) -> None:
    assert next_version(version) == after


@given(st.text(max_size=60), st.sets(st.sampled_from(["a", "a-2", "phase-1"])))
def test_a_code_is_always_a_code(label: str, taken: set[str]) -> None:
    presenter = editing()
    taken = taken | {term.code for kind in KINDS for term in presenter.draft.terms(kind)}
    code = code_from(label, taken, "phase-1")
    assert code not in taken
    fresh = presenter.add("phase")
    presenter.set_term("phase", fresh, label=label, code=code)
    assert not presenter.fault("phase", fresh, "code")


def do_anything(presenter: VocabularyPresenter, data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(KINDS))
    n_terms = len(presenter.draft.terms(kind))
    deed = data.draw(st.sampled_from(["add", "remove", "move", "key", "label"]))
    at = data.draw(st.integers(0, max(n_terms - 1, 0)))
    if deed == "add" or not n_terms:
        presenter.add(kind)
    elif deed == "remove":
        presenter.remove(kind, at)
    elif deed == "move":
        presenter.move(kind, at, data.draw(st.integers(-3, 3)))
    elif deed == "key":
        presenter.set_term(kind, at, key=data.draw(st.sampled_from([*sorted(KEYS), "p", ""])))
    else:
        presenter.set_term(kind, at, label=data.draw(st.text(max_size=42)))


@settings(max_examples=25)
@given(st.data())
def test_right_here_is_right_in_a_file(data: st.DataObject) -> None:
    """What the editor lets be kept, and only that, is a file that loads; steps go both ways."""
    presenter = editing()
    for _ in range(data.draw(st.integers(1, 8))):
        do_anything(presenter, data)
    try:
        loaded = read_vocabulary(text_of(document_of(presenter.draft)), "draft.toml")
    except (UserFacingError, UnicodeEncodeError):
        assert presenter.faults
    else:
        assert not presenter.faults
        assert vocabulary_text(loaded) == text_of(document_of(presenter.draft))
    last = presenter.draft
    while presenter.can_undo:
        presenter.undo()
    assert presenter.draft == presenter.original
    while presenter.can_redo:
        presenter.redo()
    assert presenter.draft == last
