"""The written HTML pages at a phone's width, and printed from a browser."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

import sheetkit as sk
from sheetkit.base.showing import Number
from sheetkit.paper import blocks, html
from sheetkit.paper.page import Page
from sheetkit.paper.quote import quote
from sheetkit.paper.reckoning import reckoning

BROKEN = """() => {
    const broken = [];
    for (const cell of document.querySelectorAll("td, th")) {
        for (const text of cell.childNodes) {
            if (text.nodeType !== Node.TEXT_NODE) continue;
            for (const word of text.textContent.matchAll(/[\\p{L}\\d]+/gu)) {
                const range = document.createRange();
                range.setStart(text, word.index);
                range.setEnd(text, word.index + word[0].length);
                const lines = new Set([...range.getClientRects()].map((box) => Math.round(box.top)));
                if (lines.size > 1) broken.push(word[0]);
            }
        }
    }
    return broken;
}"""
OVER_ONE_ANOTHER = """() => {
    const rows = [...document.querySelectorAll("tr")].map((row) => row.getBoundingClientRect());
    return rows.filter((row, n) => n && row.height && row.top < rows[n - 1].bottom - 1
        && row.top > rows[n - 1].top).length;
}"""


@pytest.fixture(scope="module")
def result():
    return sk.estimate(sk.load("data/trunk_floor.json"))


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("which", [quote, reckoning])
def test_tables_break_between_words_and_fit_the_screen(page, result, which, width):
    body = list(quote(result, display="mm") if which is quote else reckoning(result))
    page.set_viewport_size({"width": width, "height": 844})
    page.set_content(html.html(body, title="Floor", kind="Estimate"))
    assert page.evaluate(BROKEN) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(OVER_ONE_ANOTHER) == 0


def test_a_wide_table_of_figures_scrolls_in_its_own_box(page):
    heads = [f"Column number {n}" for n in range(12)]
    table = blocks.Table("t", heads, [[Number(n, f"{n}") for n in range(12)]], (1,) * 12)
    page.set_viewport_size({"width": 390, "height": 844})
    page.set_content(html.html([table], title="", kind="Table"))
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert page.evaluate("(e => e.scrollWidth > e.clientWidth)(document.querySelector('.wide'))")
    assert page.evaluate(BROKEN) == []


def test_pictures_as_high_as_a_page_print_without_blank_pages(page):
    pictures = blocks.Picture([Page("a4") for _ in range(3)], "map")
    for one in pictures.pages:
        one.text(20, 200, "here", size=20)
    body = [blocks.Heading("Maps"), pictures, blocks.Paragraph("the end")]
    page.set_content(html.html(body, title="", kind="Maps"))
    printed = PdfReader(io.BytesIO(page.pdf(format="A4")))
    assert 3 <= len(printed.pages) <= 4
    for sheet in printed.pages:
        assert sheet.images or sheet.extract_text().strip()
