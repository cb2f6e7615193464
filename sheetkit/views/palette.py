"""Every colour of pictures and charts, once, and how each kind of thing is drawn.

The named colours are Okabe and Ito's, which stay apart with every common colour blindness;
every kind also has its own line style, so that nothing hangs on colour alone.
"""

from __future__ import annotations

from dataclasses import dataclass

BLACK, ORANGE, SKY, GREEN, BLUE, VERMILION, PURPLE = (
    "#000000",
    "#E69F00",
    "#56B4E9",
    "#009E73",
    "#0072B2",
    "#D55E00",
    "#CC79A7",
)
SHEET, SHEET_EDGE = "#f4f4f2", "#737373"
"""The panel's sheet, and sheet in stock."""
NEW_SHEET = "#cfe6f5"
"""A patch or blank; its line is BLUE."""
RUST = "#f3c9a8"
"""Hatched; its line is VERMILION."""
WHITE = "#ffffff"


@dataclass(frozen=True)
class Style:
    """How a kind is drawn: fill, line, width in points, dashes in points, hatched, marker."""

    fill: str = "none"
    line: str = BLACK
    width: float = 1.2
    dashes: tuple[float, ...] = ()
    hatch: bool = False
    marker: str = ""


STYLES = {
    "panel": Style(SHEET, SHEET_EDGE),
    "patch": Style(NEW_SHEET, BLUE),
    "rust": Style(RUST, VERMILION, 1.0, hatch=True),
    "seam": Style(line=ORANGE, width=4.0),
    "seam, plug": Style(line=ORANGE, width=2.0, dashes=(1.5, 2.5)),
    "cut": Style(line=BLACK, width=1.3, dashes=(6, 3)),
    "plug": Style(WHITE, BLACK, 1.2, marker="o"),
    "bend": Style(line=GREEN, width=1.6, dashes=(8, 3, 2, 3)),
    "stiff": Style(line=BLUE, width=2.2, dashes=(10, 3)),
    "swage": Style(line=BLUE, width=3.0, dashes=(2, 2, 8, 2)),
    "protect": Style(PURPLE, PURPLE, 2.6, (2, 2), marker="s"),
    "mounting": Style(line=GREEN, width=1.4, dashes=(4, 2, 1, 2)),
}
"""Kind of thing in a picture of a repair -> how it is drawn."""
