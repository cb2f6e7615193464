"""Patterns at 1:1 on paper: tiles with registration marks, a page map and a check square.

Line styles differ by width and dashes, never by colour, so that a
black-and-white printer keeps them apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
import shapely
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from ..repair.estimate import Estimate
from . import tiles
from .page import MARGIN, THIN, Letters, Page, Pen, lines_of
from .pattern import Pattern, patterns
from .piece_labels import ARROWS, Lie, label_piece
from .tiles import Layout, Tile

HEAD_MM, FOOT_MM = 23.0, 15.0
OUTLINE = Pen(0.5)
CUT = Pen(0.3, (4, 2))
BEND = Pen(0.35, (9, 2, 1.5, 2))
PLUG = Pen(0.2)
RUST = Pen(0.2, (0.6, 1.4))
EDGE = Pen(0.9, shade=0.6)
JOIN = Pen(0.15, (0.5, 2.0))
CHECK = Pen(0.2, shade=0.4)
CHECK_MM, CHECK_IN_MM = 100.0, 101.6
SIDES = ("left", "right", "top", "bottom")
_OTHER = {"left": "right", "right": "left"}


def template_pages(
    result: Estimate,
    *,
    paper: str,
    display: str = "mm",
    mirrored: bool = False,
    front: str | None = None,
) -> Iterator[Page]:
    """Yield the 1:1 pages of every pattern.

    Parameters
    ----------
    paper : {"a4", "letter"}
    display : {"mm", "in"}
        Units of the words; the drawing is true to size either way.
    mirrored : bool
        The pieces seen from their other face.
    front : {"left", "right", "top", "bottom"}, optional
        Where the vehicle's front lies in the drawing; without it there are boxes to tick.
    """
    if front is not None and mirrored:
        front = _OTHER.get(front, front)
    for pattern in patterns(result):
        piece = pattern.turned() if mirrored else pattern
        plan = tiles.layout(piece.content, paper=paper, head=HEAD_MM, foot=FOOT_MM)
        for tile in plan.tiles:
            page = Page(paper, plan.landscape)
            lie = partial(plan.to_page, tile, foot=FOOT_MM)
            _head(page, piece, plan, tile, result, front)
            _foot(page, piece)
            _joins(page, plan, tile)
            _check_square(page, _draw(page, piece, lie))
            label_piece(page, piece, lie, display=display, front=front)
            yield page


def _head(
    page: Page, piece: Pattern, plan: Layout, tile: Tile, result: Estimate, front: str | None
) -> None:
    left, _, right, top = page.inner
    map_left = right - 44
    face = "MIRRORED · BACK FACE UP" if piece.mirrored else "FACE UP"
    room = map_left - left - 3
    page.text(left, top - 6, f"{piece.name} · {face}", size=17, bold=True, room=room)
    page.text(left, top - 11.5, result.job.title or "Untitled job", size=10, room=room)
    count = f"sheet {tile.name} of {len(plan.tiles)}" if len(plan.tiles) > 1 else "one sheet"
    page.text(
        left,
        top - 16,
        f"1:1 · {count} · print at 100 %, no scaling",
        size=9.5,
        bold=True,
        room=room,
    )
    if front is None:
        page.text(left, top - 20.5, "FRONT of the vehicle, tick:", size=9.5)
        x = left + 50
        for side in SIDES:
            page.box(x, top - 20.8, x + 3, top - 17.8, Pen(0.25))
            page.text(x + 4, top - 20.5, side, size=9.5)
            x += 22
    else:
        words = f"FRONT of the vehicle is at the {front} {ARROWS[front]}"
        page.text(left, top - 20.5, words, size=9.5, bold=True, room=room)
    tiles.draw_map(page, plan, piece.content, tile, (map_left, top - 19.5, right, top))


def _foot(page: Page, piece: Pattern) -> None:
    left, bottom, right, _ = page.inner
    entries: list[tuple[str, Pen | None]] = (
        [("piece: cut here", OUTLINE)] if piece.outline is not None else []
    )
    if piece.cut_line is not None:
        entries.append(("cut in the panel", CUT))
    if piece.bends:
        entries.append(("bend", BEND))
    if piece.rust is not None:
        entries.append(("rust as drawn", RUST))
    if piece.edge is not None and not piece.edge.is_empty:
        entries.append(("panel's edge", EDGE))
    if piece.plugs:
        entries.append(("⊕ plug hole", None))
    each = (right - left) / max(len(entries), 4)
    for number, (words, pen) in enumerate(entries):
        x = left + number * each
        if pen is None:
            page.text(x, bottom + 6, words, size=9, room=each - 2)
            continue
        page.line((x, bottom + 7), (x + 15, bottom + 7), pen=pen)
        page.text(x + 16.5, bottom + 6, words, size=9, room=each - 18)
    page.text(
        left,
        bottom + 1,
        "Measure the check square on every sheet with a steel rule: 100 mm to the inner lines, "
        "4 in to the outer. If it isn't true, don't cut.",
        size=9,
        room=right - left,
    )


def _joins(page: Page, plan: Layout, tile: Tile) -> None:
    """Draw the lines to trim or fold at and the numbered registration marks on them."""
    for join in plan.joins:
        page.draw(plan.to_page(tile, join, FOOT_MM), JOIN)
    left, bottom, right, top = tile.window
    for number, (x, y) in enumerate(plan.marks, 1):
        if not (left < x < right and bottom < y < top):
            continue
        px, py = x - left + MARGIN, y - bottom + MARGIN + FOOT_MM
        cross = shapely.MultiLineString(
            [[(px - 4, py), (px + 4, py)], [(px, py - 4), (px, py + 4)]]
        )
        page.draw(cross, Pen(0.25))
        page.draw(Point(px, py).buffer(2).exterior, THIN)
        page.obstacles.append(cross)
        page.text(px + 1.2, py + 2.4, f"R{number}", size=8)


def _draw(page: Page, piece: Pattern, lie: Lie) -> list[BaseGeometry]:
    """Draw the piece's lines; return them as they lie on the page."""
    drawn = []

    def put(shape: BaseGeometry | None, pen: Pen) -> None:
        if shape is None or shape.is_empty:
            return
        for ring in lines_of(shape):
            part = lie(LineString(ring))
            if part.geom_type in ("MultiLineString", "GeometryCollection"):
                part = shapely.line_merge(shapely.multilinestrings([
                    p for p in shapely.get_parts(part) if p.geom_type == "LineString"
                ]))  # fmt: skip
            if not part.is_empty:
                page.draw(part, pen)
                drawn.append(part)

    put(piece.edge, EDGE)
    put(piece.rust, RUST)
    put(piece.cut_line, CUT)
    put(piece.outline, OUTLINE)
    for bend in piece.bends:
        put(bend.line, BEND)
    for x, y in piece.plugs:
        put(Point(x, y).buffer(piece.plug_hole / 2, quad_segs=16).exterior, PLUG)
        arm = max(piece.plug_hole / 2 + 1, 3.0)
        put(LineString([(x - arm, y), (x + arm, y)]), PLUG)
        put(LineString([(x, y - arm), (x, y + arm)]), PLUG)
    page.obstacles += drawn
    return drawn


def _check_square(page: Page, drawn: list[BaseGeometry]) -> None:
    """Draw the 100 mm square, with the 4 in one round it, where it crosses the fewest lines."""
    left, bottom, right, top = page.inner
    bottom, top = bottom + FOOT_MM + 0.5, top - HEAD_MM - 0.5
    size = CHECK_IN_MM
    xs = np.unique(np.append(np.arange(left + 0.5, right - size, 8), right - size - 0.5))
    ys = np.unique(np.append(np.arange(bottom, top - size, 8), top - size))
    x, y = (grid.ravel() for grid in np.meshgrid(xs, ys))
    bands = shapely.boundary(shapely.box(x, y, x + size, y + size))
    lines = shapely.union_all([line.simplify(0.3) for line in drawn] + page.obstacles)
    texts = shapely.union_all(page.boxes)
    near = shapely.length(shapely.intersection(shapely.buffer(bands, 2.5), lines))
    near = near + 1000 * shapely.intersects(bands, texts)
    # among equals the one farthest from any line, so that it isn't taken for part of the piece
    away = np.minimum(shapely.distance(bands, lines), 12.0)
    best = int(np.lexsort((-away, np.round(near, 1)))[0])
    x, y = float(x[best]), float(y[best])
    outer = shapely.box(x, y, x + CHECK_IN_MM, y + CHECK_IN_MM)
    inner = shapely.box(x, y, x + CHECK_MM, y + CHECK_MM)
    page.draw(outer, CHECK)
    page.draw(inner, CHECK)
    page.obstacles += [outer.exterior, inner.exterior]
    spots = [
        (x + CHECK_MM / 2 + dx, y + dy)
        for dy in (3, 6, 95, 92, 10, 20, 30, 40, 50, 60, 70, 80)
        for dx in (0, -20, 20)
    ]
    words = "CHECK SQUARE 100 mm (outer line 4 in), not to be cut"
    page.label(words, spots, Letters(8.5, 7), within=inner)
