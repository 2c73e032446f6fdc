"""The note as Markdown."""

from __future__ import annotations

import pytest
from note_scenes import S, comment, scene_note

from annotate.markup import Markup
from app.handback.note_markdown import escaped, note_markdown


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("plain words, 3.5 mm", "plain words, 3.5 mm"),
        ("*not* _this_", "\\*not\\* \\_this\\_"),
        ("<b>&amp;", "\\<b\\>\\&amp;"),
        ("[x](http://example.invalid)", "\\[x\\](http://example.invalid)"),
        ("- item", "\\- item"),
        ("12. item", "12\\. item"),
        ("# head", "\\# head"),
        ("a | b", "a \\| b"),
        ("two\nlines", "two lines"),
    ],
)
def test_markup_in_a_text_is_escaped(text: str, written: str) -> None:
    assert escaped(text) == written


def test_note_has_its_sections_in_order() -> None:
    heads = [
        line for line in note_markdown(scene_note()).splitlines() if line.startswith(("# ", "## "))
    ]
    assert heads == [
        "# Critique note, case DEMO-014",
        "## In short",
        "## What to commend",
        "## What to correct",
        "## Comments",
        "## Phases and idle time",
        "## R-07 alone",
        "## Events",
        "## Cautions",
    ]


def test_draft_is_stated() -> None:
    assert "**This is a draft" in note_markdown(scene_note(signed=False))


def test_table_rows_have_as_many_cells_as_their_head() -> None:
    lines = note_markdown(scene_note()).splitlines()
    tables: list[list[str]] = []
    for line, before in zip(lines, ["", *lines], strict=False):
        if line.startswith("|"):
            if not before.startswith("|"):
                tables.append([])
            tables[-1].append(line)
    assert len(tables) == 5
    for table in tables:
        assert len({line.replace("\\|", "").count("|") for line in table}) == 1


def test_paragraphs_of_a_comment_stay_apart() -> None:
    text = note_markdown(scene_note(Markup(comments=(comment("one\ntwo\n\nthree", S),))))
    assert "> one\n> two\n\n> three\n" in text
