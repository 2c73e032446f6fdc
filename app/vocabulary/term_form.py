"""The form of one word: everything about it, each fault below its field."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QWidget

from annotate.tags import WEIGHTS, Leaning
from app.vocabulary.fields import Field, WordLine
from app.vocabulary.key_choice import KeyChoice
from app.vocabulary.limit_rows import LimitRows
from app.vocabulary.presenter import VocabularyPresenter

_LEANINGS = {
    Leaning.COMMEND.value: "▲ to commend",
    Leaning.CORRECT.value: "▼ to correct",
    Leaning.NEUTRAL.value: "◆ neutral",
}
_WEIGHTS = {1: "minor", 2: "matters", 3: "weighs heavily"}


class TermForm(QWidget):
    """Shows the chosen word and tells the presenter what is typed."""

    def __init__(self, presenter: VocabularyPresenter) -> None:
        super().__init__()
        self._presenter = presenter
        self._kind, self._ordinal = "phase", -1
        self.label = WordLine("Label", "as it stands on the pad")
        self.code = WordLine("Code")
        self.code_words = QLabel("")
        self.code_words.setProperty("quiet", True)
        self.code_words.setWordWrap(True)
        self.keys = KeyChoice(self._owner)
        self.leaning = QComboBox()
        self.leaning.setAccessibleName("Leaning")
        for value, words in _LEANINGS.items():
            self.leaning.addItem(words, value)
        self.weight = QComboBox()
        self.weight.setAccessibleName("Weight")
        for weight in WEIGHTS:
            self.weight.addItem(f"{weight}, {_WEIGHTS[weight]}", weight)
        self.good = WordLine("What good looks like", "in one sentence; the note quotes it")
        self.limits = LimitRows(presenter)
        self.fields = {
            "label": Field(self.label),
            "code": Field(self.code, self.code_words),
            "key": Field(self.keys),
            "leaning": Field(self.leaning),
            "weight": Field(self.weight),
            "good": Field(self.good),
            "limit": Field(self.limits),
        }
        self.form = QFormLayout(self)
        self.form.setContentsMargins(2, 2, 6, 2)
        self.form.setLabelAlignment(Qt.AlignmentFlag.AlignRight)
        self.form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.ExpandingFieldsGrow)
        self.form.setVerticalSpacing(8)
        for name, words in (
            ("label", "Label"),
            ("code", "Code"),
            ("key", "Key"),
            ("leaning", "Leaning"),
            ("weight", "Weight"),
            ("good", "Good is"),
            ("limit", "Limits"),
        ):
            self.form.addRow(words, self.fields[name])
        self._listen()

    def _listen(self) -> None:
        for name, line in (("label", self.label), ("code", self.code), ("good", self.good)):
            line.textEdited.connect(lambda text, name=name: self._set(name, text))
        self.keys.chosen.connect(lambda key: self._set("key", key))
        self.leaning.activated.connect(lambda _: self._set("leaning", self.leaning.currentData()))
        self.weight.activated.connect(lambda _: self._set("weight", self.weight.currentData()))

    def show_term(self, kind: str, ordinal: int) -> None:
        """Show a word as it now is."""
        self._kind, self._ordinal = kind, ordinal
        presenter, term = self._presenter, self._presenter.draft.terms(kind)[ordinal]
        self.label.put(term.label)
        self.code.put(term.code)
        self.code.setEnabled(not presenter.is_locked(kind, ordinal))
        self.code_words.setText(presenter.code_words(kind, ordinal))
        self.keys.show_key(term.key)
        self.leaning.setCurrentIndex(self.leaning.findData(term.leaning))
        self.weight.setCurrentIndex(self.weight.findData(term.weight))
        self.good.put(term.good)
        for name, kinds in (
            ("leaning", {"event"}),
            ("weight", {"event"}),
            ("good", {"phase", "event"}),
            ("limit", {"phase"}),
        ):
            self.form.setRowVisible(self.fields[name], kind in kinds)
        if kind == "phase":
            self.limits.show_limits(ordinal)
        for name, field in self.fields.items():
            field.say(presenter.fault(kind, ordinal, name))

    def _owner(self, key: str) -> str:
        return self._presenter.owner(key)

    def _set(self, field: str, value: object) -> None:
        if self._ordinal >= 0:
            self._presenter.set_term(self._kind, self._ordinal, **{field: value})
