"""The measuring card as a page to print: lay it by the rust, photograph both, and the scale is set."""

from __future__ import annotations

import shapely

from ..base.paper_sizes import PAPERS
from ..sketch.measuring_card import ALL, CELLS, INSET_MM, MARK_MM, SQUARE_MM, Card, cells
from .page import Page, Pen, pdf

TITLE_PT, SQUARE_PT, WORDS_PT = 24.0, 20.0, 14.0
LINE_MM = 7.5
_BEFORE = (
    ("1", "Print at 100 % (actual size), on matt white paper."),
    ("2", f"Measure the square: it must be {SQUARE_MM:g} mm (3 15/16 in)"),
    ("", "both ways. If not, type what it measures beside the photo."),
)
_AFTER = (
    ("3", "Lay the card flat beside the rust, in the same plane; hold it"),
    ("", "with magnets or tape, and leave the marks free."),
    ("4", "Photograph card and rust together; do not crop the picture."),
    ("", "A panel over 1 m: one card at each end, of other numbers."),
)
_NUMBERS, _WORDS = 20.0, 28.0
"""Where the steps' numbers and words begin, mm from the left."""


def card_page(card: Card) -> Page:
    """Return a card's page, true to size."""
    page = Page(card.paper)
    for number, corners in card.marks().items():
        left, bottom = corners[0]
        size = MARK_MM / CELLS
        black = [
            shapely.box(
                left + size * column,
                bottom + size * (CELLS - 1 - row),
                left + size * (column + 1),
                bottom + size * (CELLS - row),
            )
            for row, line in enumerate(cells(number))
            for column, dark in enumerate(line)
            if dark
        ]
        page.draw(shapely.union_all(black), Pen(0), fill=0.0)
    left, bottom, right, top = card.square()
    page.box(left, bottom, right, top, Pen(0.2))
    middle = page.width / 2
    page.text(
        middle, page.height - 34, f"Measuring {card.name}", size=TITLE_PT, bold=True, align="center"
    )
    width, height = PAPERS[card.paper]
    name = {"a4": "A4", "letter": "Letter"}[card.paper]
    words = f"{name}, {width:g} x {height:g} mm"
    page.text(middle, INSET_MM + MARK_MM / 2 - 2, words, size=WORDS_PT, align="center")
    page.text(
        middle,
        (bottom + top) / 2 - 3,
        f"{SQUARE_MM:g} x {SQUARE_MM:g} mm",
        size=SQUARE_PT,
        bold=True,
        align="center",
    )
    for lines, first in ((_BEFORE, top + 8 + LINE_MM * (len(_BEFORE) - 1)), (_AFTER, bottom - 12)):
        for n, (step, line) in enumerate(lines):
            page.text(_NUMBERS, first - LINE_MM * n, step, size=WORDS_PT, bold=True)
            page.text(_WORDS, first - LINE_MM * n, line, size=WORDS_PT)
    return page


def cards_pdf(paper: str = "a4") -> bytes:
    """Return all cards of one paper, a page each."""
    return pdf([card_page(card) for card in ALL if card.paper == paper], "Measuring cards")
