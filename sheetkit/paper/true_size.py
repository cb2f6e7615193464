"""What shows whether paper came out true to size: the check square and the ruler strip."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ..base.units import MM_PER_INCH
from .page import Letters, Page, Pen

CHECK = Pen(0.2, shade=0.4)
CHECK_MM, CHECK_IN_MM = 100.0, 101.6
TICK = Pen(0.12)
LONGEST_MM = 300.0


def check_square(
    page: Page, drawn: list[BaseGeometry], piece: BaseGeometry, head: float, foot: float
) -> None:
    """Draw the 100 mm square, with the 4 in one round it, where it crosses the fewest lines.

    Beside the piece, as it lies on the page, rather than in it.
    """
    left, bottom, right, top = page.inner
    bottom, top = bottom + foot + 0.5, top - head - 0.5
    size = CHECK_IN_MM
    xs = np.unique(np.append(np.arange(left + 0.5, right - size, 8), right - size - 0.5))
    ys = np.unique(np.append(np.arange(bottom, top - size, 8), top - size))
    x, y = (grid.ravel() for grid in np.meshgrid(xs, ys))
    squares = shapely.box(x, y, x + size, y + size)
    bands = shapely.boundary(squares)
    # points each millimetre of every line, and how far each is from each square's sides
    lines = [shapely.segmentize(line, 1.0) for line in (*drawn, *page.obstacles)]
    points = shapely.get_coordinates(lines)
    off = np.maximum(
        *(np.abs(points[:, n] - (at[:, None] + size / 2)) for n, at in enumerate((x, y)))
    )
    off = np.abs(off - size / 2) if len(points) else np.full((len(x), 1), np.inf)
    near = (off < 2.5).sum(axis=1) + 1000 * shapely.intersects(bands, shapely.union_all(page.boxes))
    # among equals the one farthest from any line, so that it isn't taken for part of the piece
    away = np.minimum(off.min(axis=1), 12.0)
    best = int(np.lexsort((-away, shapely.intersects(squares, piece), near))[0])
    x, y = float(x[best]), float(y[best])
    outer = shapely.box(x, y, x + CHECK_IN_MM, y + CHECK_IN_MM)
    inner = shapely.box(x, y, x + CHECK_MM, y + CHECK_MM)
    page.draw(outer, CHECK)
    page.draw(inner, CHECK)
    page.obstacles += [outer.exterior, inner.exterior]
    spots = [
        (x + CHECK_MM / 2 + dx, y + dy)
        for dy in (6, 95, 90, 10, 20, 30, 40, 50, 60, 70, 80)
        for dx in (0, -12, 12)
    ]
    words = "CHECK SQUARE 100 mm (outer line 4 in), not to be cut"
    under = "Measure it with a steel rule. If it isn't true, don't cut."
    page.label(words, spots, Letters(8.5, 7), within=inner, under=under, over_lines=True)


def ruler(page: Page, *, display: str) -> None:
    """Draw a ruler along the foot of the page, as long as fits, in mm or in inches and eighths."""
    left, bottom, right, _ = page.inner
    step, unit, each = (1.0, 10.0, 10) if display == "mm" else (MM_PER_INCH / 8, MM_PER_INCH, 8)
    room = min(LONGEST_MM if display == "mm" else 12 * MM_PER_INCH, right - left - 14)
    count = int(room / unit + 1e-9) * each
    top = bottom + 5.6
    ticks = [((left, top), (left + count * step, top))]
    for n in range(count + 1):
        x = left + n * step
        long = 2.8 if n % each == 0 else 2.1 if n % (each // 2) == 0 else 1.3
        ticks.append(((x, top), (x, top - long)))
    page.draw(shapely.MultiLineString(ticks), TICK)
    shown = range(0, count + 1, 50 if display == "mm" else 8)
    for n in shown:
        words = f"{n}" if display == "mm" else f"{n // 8}"
        align = "left" if n == 0 else "center"
        page.text(left + n * step, bottom + 0.4, words, size=7, align=align)
    page.text(left + count * step + 2, bottom + 2.2, "mm" if display == "mm" else "in", size=7.5)
