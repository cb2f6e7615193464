"""The measuring cards' pages, measured from outside: pypdf reads the lines, poppler renders them."""

from __future__ import annotations

import numpy as np
import pytest
from reading import overlapping, pages, picture, strokes, words

from sheetkit.paper.card_page import cards_pdf
from sheetkit.sketch.measuring_card import ALL, CARDS, SQUARE_MM, seen

DPI = 200
PX_MM = DPI / 25.4


@pytest.fixture(params=["a4", "letter"])
def cards(request, tmp_path):
    path = tmp_path / "cards.pdf"
    path.write_bytes(cards_pdf(request.param))
    return path, [card for card in ALL if card.paper == request.param]


def test_the_check_square_is_true_to_size_on_every_card(cards):
    path, printed = cards
    assert len(pages(path)) == len(printed) == CARDS
    for card, page in zip(printed, pages(path), strict=True):
        squares = [s.points for s in strokes(page) if np.ptp(s.points, axis=0).min() > 50]
        (square,) = squares
        assert np.ptp(square, axis=0) == pytest.approx([SQUARE_MM] * 2, abs=0.02)
        assert square.min(axis=0) == pytest.approx(card.square()[:2], abs=0.02)


def test_the_marks_are_read_where_the_card_says(cards):
    path, printed = cards
    for number, card in enumerate(printed, 1):
        rendered = picture(path, number, DPI)
        found = seen(rendered.astype(np.uint8))
        assert [mark.number for mark in found] == list(card.marks())
        for mark in found:
            left_down = np.array(mark.corners) / PX_MM
            at = np.column_stack([left_down[:, 0], len(rendered) / PX_MM - left_down[:, 1]])
            assert np.abs(at - card.marks()[mark.number]).max() < 0.1


def test_words_are_large_whole_and_clear_of_the_marks(cards):
    path, printed = cards
    for number, (card, page) in enumerate(zip(printed, pages(path), strict=True), 1):
        sizes = set()
        page.extract_text(
            visitor_text=lambda text, _cm, _tm, _font, size, s=sizes: s.add(size) if text.strip() else None
        )  # fmt: skip
        assert min(sizes) >= 14  # read at arm's length
        assert len(sizes) <= 3
        text = page.extract_text()
        assert f"Measuring {card.name}" in text and "…" not in text
        assert not overlapping(path, number)
        height = float(page.mediabox.height) * 25.4 / 72
        for word, (left, top, right, bottom) in words(path, number):
            low, high = sorted((height - top, height - bottom))
            for corners in card.marks().values():
                (x0, y0), (x1, y1) = corners.min(axis=0) - 4, corners.max(axis=0) + 4
                assert right < x0 or x1 < left or high < y0 or y1 < low, word
