"""The heat coupon's log page: what to do, and lines to fill in by hand beside the weld."""

from __future__ import annotations

from ..workshop.heat_coupon import PROTOCOL
from .blocks import Block, Heading, Paragraph, Table, Ticks
from .flow import flowed
from .page import pdf

BEFORE = ("Name, date", "Sheet, mm; coating", "Current, A; voltage, V", "Air before, °C",
          "Bead's length, mm", "Arc burned, s")  # fmt: skip
READ_MIN = (1, 1.5, 3, 5, 7)
UNVALIDATED = (
    "The waits come from a heat-flow model, not validated against measured temperatures. What you "
    "read here shows how far off it is on your sheet."
)


def coupon_page(paper: str = "a4") -> bytes:
    """Return the log page as a PDF, on "a4" or "letter"."""
    blocks: list[Block] = [
        Heading("Heat coupon: log page"),
        Paragraph(UNVALIDATED, size=10),
        Paragraph("What to do", bold=True),
        Ticks(PROTOCOL, size=10),
        Table("before", ("before and while welding", "measured"), [(one, "") for one in BEFORE],
              (3, 3), size=10.5, least_mm=7.5),
        Table("readings", ("minutes after the arc went out", "back of the bead, °C", "remarks"),
              [(f"{minute:g}", "", "") for minute in READ_MIN], (2, 2, 3), size=10.5, least_mm=7.5),
        Table("strip", ("burnt strip across the bead", "mm"), [("width", "")], (3, 3), size=10.5,
              least_mm=7.5),
        Paragraph("Then type the figures into the lesson's coupon form. The sheet burns skin: gloves.",
                  size=10),
    ]  # fmt: skip
    return pdf(
        flowed(blocks, paper=paper, title="Heat coupon", kind="Log page"), "Heat coupon: log page"
    )
