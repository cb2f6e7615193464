"""How hot the plan gets each place, on paper: a map in greys, and figures for both faces."""

from __future__ import annotations

from ..base import amounts
from ..repair.estimate import Estimate
from ..sequence.hot_strips import reached
from ..sequence.plan import SequencePlan
from ..views.heat_charts import peak_map
from ..views.heat_words import SUFFERS
from .blocks import Table
from .page import Page

HEAD_MM, AXES_MM, KEY_MM = 16.0, 16.0, 48.0
"""Room above the map for its heading, left of it and below it for its scale, and for its key."""
GREYS = (0.88, 0.72, 0.54, 0.36)
"""A shade for each level, the coolest first: paper prints no colour."""
REMEDIES = {
    "heat_wax": "off, or made good; nothing that burns near it",
    "heat_sealer": "off; sealed again over primer",
    "heat_paint": "strip to here, mask beyond; primer",
    "heat_zinc": "zinc is gone: zinc-rich primer",
}
"""Row of the table "limits" -> what is done within its strip."""


def heat_page(plan: SequencePlan, *, paper: str, display: str) -> Page:
    """Return the map of the highest temperature each place reaches, to be printed in greys."""
    page = Page(paper)
    left, bottom, right, top = page.inner
    page.text(left, top - 6, "HOW HOT IT GETS", size=15, bold=True)
    words = "the highest temperature each place reaches, with the order's own times; derived"
    page.text(left, top - 12, words, size=10, room=right - left)
    x, y = left + AXES_MM, bottom + KEY_MM
    width, height = right - x - 4, top - HEAD_MM - y
    box = (x / page.width, y / page.height, width / page.width, height / page.height)
    peak_map(plan, ax=page.figure.add_axes(box), display=display, greys=GREYS)
    return page


def strips_table(result: Estimate, plan: SequencePlan, display: str) -> Table:
    """Return how far from the seam what suffers, on each face, and what is done there."""
    rows = []
    for strip in reversed(reached(plan).strips):
        if not strip.widest_mm > 0:
            continue
        mean, most = (
            amounts.show(mm, "length", units=display) for mm in (strip.mean_mm, strip.widest_mm)
        )
        at = amounts.show(strip.level.value, "temperature", units=display)
        far = "" if result.job.sheet.back_access else "; out of reach"
        rows.append(
            (
                SUFFERS[strip.level.name], f"{at}; {strip.level.status}",
                f"{mean}, at most {most}", f"{mean}, at most {most}{far}",
                REMEDIES[strip.level.name],
            )
        )  # fmt: skip
    heads = (
        "What suffers",
        "From",
        "Welded face, to each side",
        "Far face, to each side",
        "Within it",
    )
    return Table("strips", heads, rows, (30, 26, 26, 30, 34), tick=True, size=10.5)
