"""The note on paper, read back by another PDF library."""

from __future__ import annotations

import re
import time
from io import BytesIO

import pytest
from note_scenes import S, comment, event, full_markup, scene_note
from pypdf import PdfReader

from annotate.markup import Markup
from app.handback.note import Note
from app.handback.note_pdf import note_pdf
from app.handback.pdf_sheet import readable


def opened(note: Note) -> PdfReader:
    return PdfReader(BytesIO(note_pdf(note)), strict=True)


def words_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def test_every_comment_is_real_text() -> None:
    note = scene_note(with_stills=True)
    text = words_of(opened(note))
    for told in note.comments:
        assert " ".join(told.text.split()) in text
        assert told.time_text in text
    for sentence in (*note.summary, *note.cautions):
        assert sentence in text


def test_pages_are_numbered_of_how_many() -> None:
    reader = opened(scene_note(with_stills=True))
    assert len(reader.pages) > 2
    for number, page in enumerate(reader.pages, start=1):
        assert f"{number} of {len(reader.pages)}" in page.extract_text()


def test_pages_are_a4() -> None:
    box = opened(scene_note(Markup())).pages[0].mediabox
    # ISO 216: A4 is 210 mm by 297 mm.
    assert float(box.width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
    assert float(box.height) == pytest.approx(297 / 25.4 * 72, abs=0.1)


def test_outline_leads_to_sections_and_moments() -> None:
    note = scene_note()
    reader = opened(note)
    titles: list[str] = []
    for entry in reader.outline:
        titles += [e.title for e in entry] if isinstance(entry, list) else [entry.title]
    assert titles[:4] == ["In short", "What to commend", "What to correct", "Comments"]
    assert [t for t in titles if t[0].isdigit()] == [told.time_text for told in note.comments]
    assert {"Phases and idle time", "R-07 alone", "Events", "Cautions"} <= set(titles)


def test_every_font_is_embedded() -> None:
    markup = Markup(comments=(comment("\u0436 \u03bc \u03b1 beside plain words", S),))
    reader = opened(scene_note(markup))
    fonts = {
        font.get_object()["/BaseFont"]: font.get_object()
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert any("NotoSans" in name for name in fonts)
    for font in fonts.values():
        descendant = font["/DescendantFonts"][0].get_object()
        assert "/FontFile2" in descendant["/FontDescriptor"].get_object()


def test_properties_hold_title_and_program_alone() -> None:
    information = dict(opened(scene_note()).metadata or {})
    assert information == {
        "/Title": "Critique note, case DEMO-014",
        "/Creator": "Scrubline",
        "/Producer": "Scrubline",
    }


def test_same_note_gives_the_same_bytes() -> None:
    note = scene_note(with_stills=True)
    assert note_pdf(note) == note_pdf(note)


def test_stills_have_words_in_their_place() -> None:
    note = scene_note(with_stills=True)
    content = note_pdf(note)
    reader = PdfReader(BytesIO(content))
    alts = {
        str(element["/Alt"])
        for element in (reader.get_object(i) for i in range(1, len(reader.xref[0]) + 1))
        if isinstance(element, dict) and "/Alt" in element
    }
    assert {told.still.alt for told in note.comments if told.still} <= alts
    assert reader.trailer["/Root"]["/Lang"] == "en"


@pytest.mark.parametrize(
    "text",
    [
        "5.2 mm \u00b1 0.1, 3 \u00b5m and 3 \u03bcm",
        "d\u00e9j\u00e0 vu, \u017d\u00fcrich \u00d8",
        "\u0416\u0434\u0438\u0442\u0435",
    ],
)
def test_signs_and_accents_come_back_from_the_page(text: str) -> None:
    note = scene_note(Markup(comments=(comment(text, S),)))
    assert text in words_of(opened(note))


def test_accents_written_apart_come_back_whole() -> None:
    note = scene_note(Markup(comments=(comment("de\u0301ja\u0300", S),)))
    assert "d\u00e9j\u00e0" in words_of(opened(note))


def test_pictograph_is_named_and_an_unknown_script_is_boxed() -> None:
    text = readable("well \U0001f44d\ufe0f \u2192 \u6f22")
    assert text == "well [thumbs up sign] [rightwards arrow] \u25a1"
    note = scene_note(Markup(comments=(comment("well \U0001f44d\U0001f3fd \u6f22", S),)))
    assert "well [thumbs up sign]" in words_of(opened(note))


def test_longest_comment_is_laid_out_over_pages() -> None:
    words = " ".join(f"word{i:04d}" for i in range(2200))[:19_990]
    note = scene_note(Markup(comments=(comment(words, S),)), with_stills=True)
    reader = opened(note)
    assert len(reader.pages) > 4
    found = re.findall(r"word\d{4}", words_of(reader))
    assert found[-2000:] == re.findall(r"word\d{4}", words)[-2000:]


def test_word_longer_than_a_line_is_broken_not_lost() -> None:
    note = scene_note(Markup(comments=(comment("x" * 5000, S),)))
    pages = "".join(page.extract_text() for page in opened(note).pages)
    # 179 of them stand in no point, as the comment leans to nothing.
    assert pages.count("x") >= 5000


def test_no_text_runs_out_of_the_page() -> None:
    note = scene_note(full_markup(5, text="W" * 400 + " words " * 40), with_stills=True)
    for page in opened(note).pages:
        found: list[tuple[float, float]] = []
        page.extract_text(
            visitor_text=lambda text, _cm, tm, _font, _size, found=found: (
                found.append((tm[4], tm[5])) if text.strip() else None
            )
        )
        assert found
        assert all(0 <= x <= 560 and 20 <= y <= 842 for x, y in found)


def test_long_label_takes_a_taller_row() -> None:
    markup = Markup(tags=(event("a-" + "very-long-code-" * 8, S),))
    assert "very-long-code" in words_of(opened(scene_note(markup)))


def test_three_hundred_comments_with_stills_take_under_ten_seconds_of_work() -> None:
    note = scene_note(full_markup(300), with_stills=True)
    began_s = time.process_time()
    content = note_pdf(note)
    assert time.process_time() - began_s < 10
    reader = PdfReader(BytesIO(content))
    assert sum(len(entry) for entry in reader.outline if isinstance(entry, list)) == len(
        note.comments
    )
