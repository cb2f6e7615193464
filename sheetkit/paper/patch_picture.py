"""What is cut and where new metal goes, small, for somebody who doesn't weld."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from ..base import amounts, units
from ..repair.estimate import Estimate
from ..sketch.photo_scale import Photo
from .job_photos import put_under
from .page import Box, Letters, Page, Pen, hatching

PANEL, CUT = Pen(0.35, shade=0.45), Pen(0.8)
LEGEND_MM = 5.0


def draw(page: Page, box: Box, result: Estimate, display: str, photo: Photo | None = None) -> None:
    """Draw panel, rust and patches into a box of the page, over their photo, with a bar for the size."""
    left, bottom, right, top = box
    cuts = [patch.cut_line for patch in result.patches]
    panel = result.job.panel_shape
    shown = shapely.box(*shapely.total_bounds(cuts if panel is None else [*cuts, panel]))
    x0, y0, x1, y1 = shown.bounds
    room = right - left - 2, top - bottom - LEGEND_MM - 2
    scale = min(room[0] / max(x1 - x0, 1.0), room[1] / max(y1 - y0, 1.0))
    middle = (left + right) / 2, (bottom + LEGEND_MM + top) / 2

    def lie(shape: BaseGeometry) -> BaseGeometry:
        return shapely.transform(
            shape, lambda xy: (xy - ((x0 + x1) / 2, (y0 + y1) / 2)) * scale + middle
        )

    inside = left, bottom + LEGEND_MM, right, top
    if photo is not None:
        origin = middle[0] - (x0 + x1) / 2 * scale, middle[1] - (y0 + y1) / 2 * scale
        put_under(page, photo, origin, scale, inside)
    if panel is not None:
        page.draw(lie(panel), PANEL)
    for number, cut in enumerate(cuts, 1):
        rust = result.job.rust_shape.intersection(cut)
        page.draw(lie(hatching(rust, 1.6 / scale)), Pen(0.12, shade=0.55))
        page.draw(lie(cut.exterior), CUT)
        page.obstacles.append(lie(cut.exterior).buffer(0.4))
        a, b, c, d = lie(cut).bounds
        spots = [((a + c) / 2, (b + d) / 2), ((a + c) / 2, d + 2.5), (c + 2.5, (b + d) / 2),
                 ((a + c) / 2, b - 2.5), (a - 2.5, (b + d) / 2)]  # fmt: skip
        within = shapely.box(*inside)
        page.label(f"{number}", spots, Letters(11, 7, bold=True), within=within, over_lines=True)
    _legend(page, box, result, display, scale)


def _legend(page: Page, box: Box, result: Estimate, display: str, scale: float) -> None:
    left, bottom, right, _ = box
    round_sizes = (1, 2, 5, 12, 36) if display == "in" else (10, 20, 50, 100, 200, 500)
    steps = [size * units.length_unit_mm(display) for size in round_sizes]
    long = max((s for s in steps if s * scale <= 0.2 * (right - left)), default=steps[0])
    end = left + long * scale
    page.line((left, bottom + 1), (end, bottom + 1), pen=Pen(0.6))
    panel = "" if result.job.panel_shape is None else ", panel thin"
    bar = amounts.show(long, "length", units=display, digits=0)
    words = f"{bar} · new metal thick, rust hatched{panel}"
    page.text(end + 2, bottom + 0.2, words, size=7, room=right - end - 2)
