"""A drawing too large for one page -> tiles that overlap, with marks to join them by.

Drawing lengths in mm; `scale` is mm on paper for each mm drawn (1 for a template).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from ..base.paper_sizes import PAPERS
from . import lettering
from . import page as papers

OVERLAP_MM = 14.0
"""On paper, between neighbouring tiles (guess: room for tape and a mark)."""
CLEAR_MM = 1.0
"""Between the drawing and the edge of its tile, on paper: the pen's width and a little."""
MARK_INSET_MM = 16.0


@dataclass(frozen=True)
class Tile:
    """One page's part of the drawing; `window` is (left, bottom, right, top) of the drawing."""

    row: int
    column: int
    window: tuple[float, float, float, float]

    @property
    def name(self) -> str:
        """Rows are letters from the top, columns numbers from the left."""
        return f"{_letters(self.row)}{self.column + 1}"


def _letters(row: int) -> str:
    return (_letters(row // 26 - 1) if row >= 26 else "") + chr(ord("A") + row % 26)


@dataclass(frozen=True)
class Layout:
    """How a drawing lies on pages: its tiles, the lines to join them at, numbered marks."""

    paper: str
    landscape: bool
    scale: float
    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    joins: tuple[shapely.LineString, ...]
    marks: tuple[tuple[float, float], ...]

    def to_page(self, tile: Tile, shape: BaseGeometry, foot: float) -> BaseGeometry:
        """Return a shape of the drawing as it lies on a tile's page, cut to the tile."""
        left, bottom, right, top = tile.window
        part = shape.intersection(shapely.box(left, bottom, right, top))
        return shapely.transform(
            part,
            lambda xy: (xy - (left, bottom)) * self.scale + (papers.MARGIN, papers.MARGIN + foot),
        )


def _counts(width: float, height: float, room: tuple[float, float]) -> tuple[int, int]:
    """Return (columns, rows) of tiles that cover a drawing of this size on paper."""

    def tiles(side: float, have: float) -> int:
        side += 2 * CLEAR_MM
        return 1 if side <= have else math.ceil((side - OVERLAP_MM) / (have - OVERLAP_MM) - 1e-9)

    return tiles(width, room[0]), tiles(height, room[1])


def room(paper: str, landscape: bool, head: float, foot: float) -> tuple[float, float]:
    """Return width and height left for the drawing on a page, mm."""
    short, long = PAPERS[paper]
    width, height = (long, short) if landscape else (short, long)
    return width - 2 * papers.MARGIN, height - 2 * papers.MARGIN - head - foot


def layout(
    content: BaseGeometry, *, paper: str, head: float, foot: float, scale: float = 1.0
) -> Layout:
    """Lay a drawing on as few pages as upright or broad pages allow.

    Parameters
    ----------
    content : BaseGeometry
        What must be printed, mm; tiles it doesn't touch are left out.
    paper : {"a4", "letter"}
    head, foot : float
        What the page needs above and below the drawing, mm.
    scale : float
    """
    left, bottom, right, top = content.bounds
    width, height = (right - left) * scale, (top - bottom) * scale
    options = []
    for landscape in (False, True):
        have = room(paper, landscape, head, foot)
        columns, rows = _counts(width, height, have)
        options.append((columns * rows, landscape, columns, rows, have))
    _, landscape, columns, rows, have = min(options)
    size = [side / scale for side in have]
    overlap = OVERLAP_MM / scale
    step = [side - overlap for side in size]
    # the drawing stands in the middle of all tiles together
    x0 = (left + right - columns * step[0] - overlap) / 2
    y1 = (bottom + top + rows * step[1] + overlap) / 2
    tiles, present = [], set()
    for row in range(rows):
        for column in range(columns):
            x, y = x0 + column * step[0], y1 - row * step[1]
            window = (x, y - size[1], x + size[0], y)
            if shapely.box(*window).intersects(content):
                tiles.append(Tile(row, column, window))
                present.add((row, column))
    joins, marks = [], []
    inset = MARK_INSET_MM / scale
    for row, column in sorted(present):
        x, y = x0 + column * step[0], y1 - row * step[1]
        if (row, column + 1) in present:
            at = x + size[0] - overlap / 2
            joins.append(shapely.LineString([(at, y), (at, y - size[1])]))
            marks += [(at, y - inset), (at, y - size[1] + inset)]
        if (row + 1, column) in present:
            at = y - size[1] + overlap / 2
            joins.append(shapely.LineString([(x, at), (x + size[0], at)]))
            marks += [(x + inset, at), (x + size[0] - inset, at)]
    return Layout(paper, landscape, scale, rows, columns, tuple(tiles), tuple(joins), tuple(marks))


def draw_map(
    page: papers.Page,
    plan: Layout,
    content: BaseGeometry,
    current: Tile | None,
    box: tuple[float, float, float, float],
) -> None:
    """Draw the page map into a box of the page: all tiles, this one shaded, the drawing's outline."""
    left, bottom, right, top = box
    xs = [edge for tile in plan.tiles for edge in tile.window[0::2]]
    ys = [edge for tile in plan.tiles for edge in tile.window[1::2]]
    ratio = min((right - left) / (max(xs) - min(xs)), (top - bottom) / (max(ys) - min(ys)))
    x0 = right - (max(xs) - min(xs)) * ratio

    def small(shape: BaseGeometry) -> BaseGeometry:
        return shapely.transform(shape, lambda xy: (xy - (min(xs), max(ys))) * ratio + (x0, top))

    overlap = OVERLAP_MM / plan.scale / 2 if len(plan.tiles) > 1 else 0.0
    cells = {
        tile: small(shapely.box(*tile.window).buffer(-overlap, join_style="mitre"))
        for tile in plan.tiles
    }
    for tile, cell in cells.items():
        page.draw(cell, papers.THIN, fill=0.7 if tile == current else None)
    page.draw(small(content.simplify(1.0)), papers.Pen(0.25))
    for tile, cell in cells.items():
        a, b, c, d = cell.bounds
        size = min(9.0, (d - b) / 1.3 / lettering.POINT_MM, (c - a) / 2.6 / lettering.POINT_MM)
        if size >= 6 and len(plan.tiles) > 1:
            drop = 0.35 * size * lettering.POINT_MM
            page.text((a + c) / 2, (b + d) / 2 - drop, tile.name, size=size, align="center")
