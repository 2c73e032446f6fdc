"""Every pair of colours that the style sheet lays upon one another, computed.

Thresholds: WCAG 2.2, 1.4.3 (text 4.5:1), 1.4.11 and 2.4.13 (graphics and focus 3:1). What cannot
be used now is exempt there; here it still has to be read, at 3:1.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from contrasts import contrast
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget
from pytestqt.qtbot import QtBot

from app.desk.start import make_application
from app.look.palette import PALETTES, Palette
from app.look.theme import _sheet

_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_ALL = PALETTES.values()
_IDS = PALETTES.keys()


@dataclass(frozen=True)
class Rule:
    """One rule of the sheet; colours are empty where it sets none."""

    selector: str
    words: str
    ground: str
    edge: str


def rules(palette: Palette) -> Iterator[Rule]:
    for selector, body in _RULE.findall(_sheet(palette)):
        parts = (part.partition(":") for part in body.split(";"))
        entries = {name.strip(): value.strip() for name, _, value in parts}
        edge = entries.get("border", entries.get("border-color", ""))
        found = re.search(r"#[0-9a-f]{6}", edge)
        ground = entries.get("background", "")
        yield Rule(
            " ".join(selector.split()),
            entries.get("color", ""),
            ground if ground.startswith("#") else "",
            found[0] if found else "",
        )


def grounds(palette: Palette) -> tuple[str, ...]:
    return palette.ground, palette.raised, palette.sunken


def is_off(rule: Rule) -> bool:
    return ":disabled" in rule.selector


@pytest.mark.parametrize("palette", _ALL, ids=_IDS)
def test_the_sheet_is_read(palette: Palette) -> None:
    found = list(rules(palette))
    assert len(found) > 30
    assert any(rule.words and rule.ground for rule in found)
    assert sum(":focus" in rule.selector for rule in found) >= 6


@pytest.mark.parametrize("palette", _ALL, ids=_IDS)
def test_words_on_the_ground_of_their_rule(palette: Palette) -> None:
    for rule in rules(palette):
        if rule.words:
            least = 3.0 if is_off(rule) else 4.5
            for ground in [rule.ground] if rule.ground else grounds(palette):
                assert contrast(rule.words, ground) >= least, rule


@pytest.mark.parametrize("palette", _ALL, ids=_IDS)
def test_a_ground_of_its_own_bears_the_words_that_stand_on_it(palette: Palette) -> None:
    """A rule that sets only a ground has the words of all widgets on it."""
    for rule in rules(palette):
        if (
            rule.ground
            and not rule.words
            and not re.search("chunk|handle|separator|indicator", rule.selector)
        ):
            assert contrast(palette.text, rule.ground) >= 4.5, rule


@pytest.mark.parametrize("palette", _ALL, ids=_IDS)
def test_focus_is_seen(palette: Palette) -> None:
    """Its edge stands out from what is inside it, or from every ground around it."""
    for rule in rules(palette):
        if ":focus" in rule.selector and rule.edge:
            inside = [rule.ground] if rule.ground else grounds(palette)
            if ":default" in rule.selector or ":checked" in rule.selector:
                inside = [palette.accent]
            assert all(contrast(rule.edge, ground) >= 3 for ground in inside), rule


@pytest.mark.parametrize("palette", _ALL, ids=_IDS)
def test_graphics_are_seen(palette: Palette) -> None:
    for rule in rules(palette):
        if re.search("chunk|handle", rule.selector) and rule.ground:
            around = palette.sunken if "chunk" in rule.selector else palette.ground
            assert contrast(rule.ground, around) >= 3, rule
        if "indicator" in rule.selector and rule.edge:
            assert all(contrast(rule.edge, ground) >= 3 for ground in grounds(palette)), rule


@pytest.mark.parametrize("palette", _ALL, ids=_IDS)
def test_signs_are_seen_on_sunken_ground_too(palette: Palette) -> None:
    for sign in (palette.commend, palette.correct, palette.neutral, palette.accent, palette.idle):
        assert contrast(sign, palette.sunken) >= 3, sign
    for ground in grounds(palette):
        assert contrast(palette.warning, ground) >= 4.5  # sentences are said in it


@pytest.mark.parametrize("palette", _ALL, ids=_IDS)
def test_words_of_an_empty_field_reach_4_5_to_1(palette: Palette, qtbot: QtBot) -> None:
    """As Qt resolves them: where a sheet says nothing of them, it halves the text's colour."""
    make_application(palette.name)
    for field in (QLineEdit(), QPlainTextEdit()):
        qtbot.addWidget(field)
        field.ensurePolished()
        assert shown_placeholder(field).name() == palette.quiet
        assert shown_placeholder(field).alpha() == 255
    assert contrast(palette.quiet, palette.sunken) >= 4.5
    make_application("dark")


def shown_placeholder(field: QWidget) -> QColor:
    return field.palette().color(QPalette.ColorRole.PlaceholderText)
