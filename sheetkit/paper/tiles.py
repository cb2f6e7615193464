"""A drawing too large for one page -> tiles that overlap, with marks to join them by.

Drawing lengths in mm; `scale` is mm on paper for each mm drawn (1 for a template).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from ..base.paper_sizes import PAPERS
from . import lettering
from . import page as papers

OVERLAP_MM = 12.0
"""On paper, between neighbouring tiles (guess: room for tape and a mark)."""
CLEAR_MM = 1.0
"""Between the drawing and the edge of its tile, on paper: the pen's width and a little."""
MARK_INSET_MM = 16.0
TURN_DEG = 5.0
"""From one angle to the next that is tried."""


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
    left_out: tuple[Tile, ...] = ()

    def neighbours(self, tile: Tile) -> dict[str, Tile]:
        """Return which tile that is printed joins a tile at the left, right, top, bottom."""
        places = {(one.row, one.column): one for one in self.tiles}
        sides = {"left": (0, -1), "right": (0, 1), "top": (-1, 0), "bottom": (1, 0)}
        beside = {
            side: places.get((tile.row + down, tile.column + along))
            for side, (down, along) in sides.items()
        }
        return {side: one for side, one in beside.items() if one is not None}

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
    content: BaseGeometry,
    *,
    paper: str,
    head: float,
    foot: float,
    scale: float = 1.0,
    needed: BaseGeometry | None = None,
    beside: float = 0.0,
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
    needed : BaseGeometry, optional
        What of the content counts; tiles without any are left out if the rest still joins up.
    beside : float
        On a single page the drawing leaves a square of so many mm free, if it can.
    """
    left, bottom, right, top = content.bounds
    width, height = (right - left) * scale, (top - bottom) * scale
    options = []
    for landscape in (False, True):
        have = room(paper, landscape, head, foot)
        columns, rows = _counts(width, height, have)
        found = _tiles(content, needed, have, (columns, rows), scale)
        options.append((len(found[0]), landscape, columns, rows, have, found))
    _, landscape, columns, rows, have, (kept, dropped) = min(options, key=lambda one: one[:2])
    if len(kept) == 1:
        kept = [_aside(kept[0], (width, height), content.bounds, have, scale, beside)]
    joins, marks = _joined(kept, have, scale)
    return Layout(paper, landscape, scale, rows, columns, tuple(kept), joins, marks, tuple(dropped))


def _tiles(
    content: BaseGeometry, needed: BaseGeometry | None, have: tuple[float, float],
    counts: tuple[int, int], scale: float,
) -> tuple[list[Tile], list[Tile]]:  # fmt: skip
    """Return the tiles to print, and those that hold content but nothing that is needed."""
    left, bottom, right, top = content.bounds
    columns, rows = counts
    size = [side / scale for side in have]
    overlap = OVERLAP_MM / scale
    step = [side - overlap for side in size]
    # the drawing stands in the middle of all tiles together
    x0 = (left + right - columns * step[0] - overlap) / 2
    y1 = (bottom + top + rows * step[1] + overlap) / 2
    tiles: list[Tile] = []
    spare: list[Tile] = []
    for row in range(rows):
        for column in range(columns):
            x, y = x0 + column * step[0], y1 - row * step[1]
            tile = Tile(row, column, (x, y - size[1], x + size[0], y))
            box = shapely.box(*tile.window)
            if box.intersects(content):
                counts_here = needed is None or box.intersects(needed)
                (tiles if counts_here else spare).append(tile)
    if spare and not _in_one(tiles):
        return sorted(tiles + spare, key=lambda tile: (tile.row, tile.column)), []
    return tiles, spare


def _in_one(tiles: list[Tile]) -> bool:
    """Say whether tiles join up, side by side."""
    places = {(tile.row, tile.column) for tile in tiles}
    reached: set[tuple[int, int]] = set()
    edge = [next(iter(places))]
    while edge:
        row, column = edge.pop()
        if (row, column) in places - reached:
            reached.add((row, column))
            edge += [(row + 1, column), (row - 1, column), (row, column + 1), (row, column - 1)]
    return reached == places


def _aside(
    tile: Tile, size: tuple[float, float], bounds: tuple[float, float, float, float],
    have: tuple[float, float], scale: float, beside: float,
) -> Tile:  # fmt: skip
    """Return a single tile moved so that the drawing leaves a square beside or over it."""
    left, bottom, right, top = tile.window
    if beside and size[1] + beside + 4 <= have[1]:
        up = bounds[1] - bottom - 2 / scale
        return Tile(tile.row, tile.column, (left, bottom + up, right, top + up))
    if beside and size[0] + beside + 4 <= have[0]:
        along = bounds[0] - left - 2 / scale
        return Tile(tile.row, tile.column, (left + along, bottom, right + along, top))
    return tile


def _joined(
    tiles: list[Tile], have: tuple[float, float], scale: float
) -> tuple[tuple[shapely.LineString, ...], tuple[tuple[float, float], ...]]:
    """Return the lines that neighbours are joined at, and the marks on them."""
    present = {(tile.row, tile.column): tile.window for tile in tiles}
    overlap, inset = OVERLAP_MM / scale, MARK_INSET_MM / scale
    joins, marks = [], []
    for (row, column), (left, bottom, right, top) in sorted(present.items()):
        if (row, column + 1) in present:
            at = right - overlap / 2
            joins.append(shapely.LineString([(at, top), (at, bottom)]))
            marks += [(at, top - inset), (at, bottom + inset)]
        if (row + 1, column) in present:
            at = bottom + overlap / 2
            joins.append(shapely.LineString([(left, at), (right, at)]))
            marks += [(left + inset, at), (right - inset, at)]
    return tuple(joins), tuple(marks)


def best_turn(content: BaseGeometry, *, paper: str, head: float, foot: float) -> float:
    """Return the angle, degrees to the left, that a drawing needs the fewest sheets at.

    As drawn, unless another angle saves a sheet; tried are a quarter turn, its smallest
    rectangle's, and every `TURN_DEG`: head and foot make upright and broad pages differ.
    """
    plain = content.simplify(0.5)

    def sheets(angle: float) -> int:
        turned = rotate(plain, angle, origin=(0, 0))
        return len(layout(turned, paper=paper, head=head, foot=foot).tiles)

    best, angle = sheets(0.0), 0.0
    if best == 1:
        return 0.0
    corners = np.asarray(plain.minimum_rotated_rectangle.exterior.coords)
    along = corners[1] - corners[0]
    level = -float(np.degrees(np.arctan2(along[1], along[0]))) % 90
    for other in (90.0, level, level + 90, *np.arange(TURN_DEG, 180, TURN_DEG).tolist()):
        count = sheets(other)
        if count < best:
            best, angle = count, other
    return angle


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
