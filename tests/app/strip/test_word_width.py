"""Widths of words against the desk's own font, as Qt measures it."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QFont, QFontMetricsF
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from annotate.setting_values import VALUES
from app.look.theme import dress
from app.strip.word_width import fitted, width_of

SAID = [f"{kind.label} {kind.words(value)}" for kind in VALUES for value in (0, 37.5, 500)]
WORDS = [
    *SAID, "arrow", "ring", "line", "freehand", "spotlight", "the leading haptic", "WWMM", "mmmm@",
    "irrigation, aspiration", "Größe – “so”", "漢字", "cut…",
]  # fmt: skip


@pytest.mark.parametrize("size", [9.5, 10.0])
def test_no_word_is_wider_than_what_is_reckoned_for_it(qtbot: QtBot, size: float) -> None:
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    dress(application, "dark")
    font = QFont(application.font())
    font.setPixelSize(round(size))
    metrics = QFontMetricsF(font)
    for words in WORDS:
        wide = metrics.horizontalAdvance(words)
        assert wide <= width_of(words, size), words
    for words in SAID:
        assert width_of(words, size) <= metrics.horizontalAdvance(words) * 1.25, words


def test_words_are_cut_to_the_room_or_left_out() -> None:
    words = "the leading haptic"
    whole = width_of(words, 10)
    assert fitted(words, 10, whole) == words
    cut = fitted(words, 10, whole - 1)
    assert cut.endswith("…")
    assert width_of(cut, 10) <= whole - 1
    assert fitted(words, 10, 30) == ""
    assert fitted("ring", 10, width_of("ring", 10) - 1) == ""
