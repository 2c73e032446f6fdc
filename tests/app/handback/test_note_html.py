"""The page: valid, self-contained, safe, readable without eyes."""

from __future__ import annotations

import re
from base64 import b64decode
from io import BytesIO
from itertools import pairwise
from xml.etree.ElementTree import Element

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from note_scenes import S, comment, full_markup, scene_note
from PIL import Image

from annotate.markup import Markup
from app.handback.note import Note
from app.handback.note_html import note_html

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</p></article><iframe src='http://example.invalid'></iframe>",
    "{{ 7 * 7 }} {% raw %} ' \" & &amp; <!-- -->",
    "javascript:alert(1)",
)


def parsed(note: Note) -> Element:
    """Parse as a browser does, refusing what the standard calls a parse error."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(note_html(note))


def words_of(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


@pytest.mark.parametrize(
    "note",
    [
        scene_note(Markup(), signed=False),
        scene_note(with_stills=True),
        scene_note(full_markup(40)),
    ],
    ids=["empty", "typical", "full"],
)
def test_page_parses_without_an_error(note: Note) -> None:
    page = parsed(note)
    assert page.get("lang") == "en"
    assert words_of(page.find("head/title")) == note.title
    assert len(page.findall(".//h1")) == 1


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text(text: str) -> None:
    page = parsed(scene_note(Markup(comments=(comment(text, S),))))
    tags = {element.tag for element in page.iter() if isinstance(element.tag, str)}
    assert not tags & {"script", "iframe", "img", "object", "form"}
    assert not [name for e in page.iter() for name in e.attrib if name.lower().startswith("on")]
    assert " ".join(text.split()) in words_of(page.find(".//article"))


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=200))
def test_any_text_makes_a_valid_page_that_shows_it(text: str) -> None:
    note = scene_note(Markup(comments=(comment(text, S),)))
    shown = words_of(parsed(note).find(".//article"))
    assert " ".join(note.comments[0].text.split()) in shown


def test_nothing_is_loaded_from_anywhere() -> None:
    page = parsed(scene_note(with_stills=True))
    for element in page.iter():
        for name, value in element.attrib.items():
            if name in ("src", "href", "{http://www.w3.org/1999/xlink}href"):
                assert value.startswith(("data:image/jpeg;base64,", "#comment-"))
    assert "@import" not in note_html(scene_note())
    assert "url(" not in note_html(scene_note())


def test_policy_forbids_scripts_and_loading() -> None:
    page = parsed(scene_note())
    policy = next(
        meta.get("content") or ""
        for meta in page.findall("head/meta")
        if meta.get("http-equiv") == "Content-Security-Policy"
    )
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["img-src"] == "data:"
    assert rules["style-src"] == "'unsafe-inline'"
    assert "script-src" not in rules


def test_stills_are_inside_with_words_in_their_place() -> None:
    note = scene_note(with_stills=True)
    images = parsed(note).findall(".//article//img")
    assert len(images) == len(note.comments)
    for image, told in zip(images, note.comments, strict=True):
        assert told.still is not None
        assert image.get("alt") == told.still.alt
        content = b64decode((image.get("src") or "").split(",")[1])
        assert content == told.still.content
        with Image.open(BytesIO(content)) as opened:
            assert opened.size == (int(image.get("width", 0)), int(image.get("height", 0)))


def test_references_lead_to_moments_and_ids_are_unique() -> None:
    page = parsed(scene_note())
    ids = [element.get("id") for element in page.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    links = [link.get("href") for link in page.findall(".//a")]
    assert links
    assert {link.removeprefix("#") for link in links if link} <= set(ids)


def test_tables_name_their_rows_and_columns() -> None:
    page = parsed(scene_note())
    headers = page.findall(".//table//th")
    assert headers
    assert {header.get("scope") for header in headers} == {"col", "row"}


def test_headings_go_down_by_one_step() -> None:
    text = note_html(scene_note(with_stills=True))
    levels = [int(level) for level in re.findall(r"<h([1-6])", text)]
    assert levels[0] == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))


def test_strip_is_drawn_in_the_page_with_its_words() -> None:
    note = scene_note()
    page = parsed(note)
    strip = page.find(".//figure//{http://www.w3.org/2000/svg}svg")
    assert strip is not None
    assert strip.get("aria-label") == note.strip.alt


def test_draft_is_stated_on_the_page() -> None:
    assert "This is a draft" in words_of(parsed(scene_note(signed=False)))
    assert "draft" not in words_of(parsed(scene_note())).lower()
