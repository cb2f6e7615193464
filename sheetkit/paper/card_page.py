"""The measuring card as a page to print: lay it by the rust, photograph both, and the scale is set."""

from __future__ import annotations

import shapely

from ..base.paper_sizes import PAPERS
from ..sketch.measuring_card import ALL, CELLS, MARK_MM, SQUARE_MM, Card, cells
from .page import Page, Pen, pdf

_WORDS = (
    "Print at 100 % (actual size), on matt white paper.",
    f"Check: the square must measure {SQUARE_MM:g} mm (3 15/16 in) both ways.",
    "Lay it flat on the sheet, in the same plane as the rust and close to it;",
    "hold the corners down with magnets or tape beside the marks.",
    "Photograph card and rust together, the whole picture, uncropped.",
)
_LONG = "A panel over 1 m: one card at each end, with different numbers."


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
    page.text(middle, page.height - 30, "Measuring", size=22, bold=True, align="center")
    page.text(middle, page.height - 42, card.name, size=22, bold=True, align="center")
    room = page.width - 2 * (14 + MARK_MM + 6)
    page.text(middle, 34, _LONG, size=9, align="center", room=room)
    paper = {"a4": "A4", "letter": "Letter"}[card.paper]
    page.text(middle, 24, f"{paper}, {PAPERS[card.paper][0]:g} x {PAPERS[card.paper][1]:g} mm", size=9,
              align="center", room=room)  # fmt: skip
    for n, words in enumerate(_WORDS):
        page.text(middle, bottom + 62 - 8 * n, words, size=9, align="center", room=SQUARE_MM - 6)
    page.text(middle, top - 14, f"{SQUARE_MM:g} mm", size=16, bold=True, align="center")
    return page


def cards_pdf(paper: str = "a4") -> bytes:
    """Return all cards of one paper, a page each."""
    return pdf([card_page(card) for card in ALL if card.paper == paper], "Measuring cards")
