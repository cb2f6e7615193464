"""Patterns at 1:1 on paper: tiles with registration marks, a check square and a ruler strip.

Line styles differ by width and dashes, never by colour, so that a
black-and-white printer keeps them apart.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from ..base import amounts
from ..base.units import MM_PER_INCH
from ..repair.estimate import Estimate
from . import lettering, tiles
from .page import MARGIN, THIN, Letters, Page, Pen, lines_of
from .pattern import Pattern, patterns
from .pattern_notes import notes, placed, side_words
from .piece_labels import ARROWS, WAYS, Lie, label_piece
from .tiles import Layout, Tile
from .true_size import CHECK_IN_MM, check_square, ruler

HEAD_MM, FOOT_MM = 14.0, 10.5
OUTLINE = Pen(0.5)
CUT = Pen(0.3, (4, 2))
BEND = Pen(0.35, (9, 2, 1.5, 2))
TANGENT = Pen(0.12, (3, 1.5))
PLUG = Pen(0.2)
RUST = Pen(0.2, (0.6, 1.4))
EDGE = Pen(0.9, shade=0.6)
JOIN = Pen(0.15, (0.5, 2.0))
DATUM = Pen(0.15)
GRID = Pen(0.1, shade=0.5)
SIDES = ("left", "right", "top", "bottom")
_OTHER = {"left": "right", "right": "left"}


@dataclass(frozen=True)
class Printing:
    """How patterns are printed.

    paper : {"a4", "letter"}
    display : {"mm", "in"}, units of the words; the drawing is true to size either way
    mirrored : the pieces seen from their other face
    front : where the vehicle's front lies in the drawing, of `SIDES`; None: boxes to tick
    date : printed on every sheet
    grid : a grid of the drawing's coordinates every 50 mm (2 in)
    """

    paper: str = "a4"
    display: str = "mm"
    mirrored: bool = False
    front: str | None = None
    date: datetime.date | None = None
    grid: bool = False


def template_pages(result: Estimate, how: Printing) -> Iterator[Page]:
    """Yield the 1:1 pages of every pattern, each turned to the angle that needs the fewest sheets."""
    for pattern in patterns(result):
        angle = tiles.best_turn(pattern.content, paper=how.paper, head=HEAD_MM, foot=FOOT_MM)
        piece = pattern.rotated(angle)
        piece = piece.turned() if how.mirrored else piece
        plan = tiles.layout(
            piece.content,
            paper=how.paper,
            head=HEAD_MM,
            foot=FOOT_MM,
            needed=piece.lines,
            beside=CHECK_IN_MM + 2,
        )
        waiting = list(
            notes(piece, plan, thickness=result.job.sheet.thickness, display=how.display)
        )
        for tile in plan.tiles:
            page = Page(how.paper, plan.landscape)
            lie = partial(plan.to_page, tile, foot=FOOT_MM)
            _head(page, piece, plan, tile, result, how)
            _foot(page, piece, len(plan.tiles) > 1)
            ruler(page, display=how.display)
            _joins(page, plan, tile)
            rust = _put(page, lie, piece.rust, RUST)
            drawn = _draw(page, piece, lie)
            if how.grid:
                _grid(page, piece, plan, tile, how.display)
            check_square(page, [*drawn, *rust], lie(piece.content), HEAD_MM, FOOT_MM)
            _name_neighbours(page, plan, tile)
            page.obstacles += rust
            label_piece(page, piece, lie, how.front, display=how.display)
            # notes may stand on the rust's line, which nobody works by
            page.obstacles = [line for line in page.obstacles if line not in rust]
            waiting = [note for note in waiting if not placed(page, note, HEAD_MM, FOOT_MM)]
            yield page
        if waiting:
            page = Page(how.paper, plan.landscape)
            left, _, _, top = page.inner
            page.text(left, top - 6, f"{piece.name} · notes", size=13, bold=True)
            for note in waiting:
                placed(page, note, 10.0, 0.0)
            yield page


def _title(result: Estimate) -> str:
    """Return the job's title; what no font at hand has is left out, and said."""
    title = " ".join(lettering.clean(result.job.title).split()) or "Untitled job"
    shown = lettering.printable(title)
    lost = shown.count("▯") - title.count("▯")
    if lost <= 0:
        return shown
    kept = " ".join(shown.replace("▯", " ").split())
    return f"{kept} (+ {lost} characters that no font on this computer has)".strip()


def _head(
    page: Page, piece: Pattern, plan: Layout, tile: Tile, result: Estimate, how: Printing
) -> None:
    left, _, right, top = page.inner
    side = right - 36
    face = "MIRRORED · BACK FACE UP" if piece.mirrored else "FACE UP"
    words = f"{piece.name} · {face}{side_words(result.job)}"
    page.text(left, top - 4.8, words, size=13, bold=True, room=side - left - 2)
    _tick(page, left, top - 9, "FACE is", ("outside", "inside"), "of the car")
    many = len(plan.tiles) > 1
    count = f"sheet {tile.name} of {len(plan.tiles)}" if many else "one sheet"
    page.text(side, top - 4.8, count, size=10, bold=True, room=24)
    if how.front is None:
        _tick(page, left + 62, top - 9, "FRONT is", SIDES, "of the drawing")
        told, way = "drawing's top", "top"
    else:
        seen = _OTHER.get(how.front, how.front) if piece.mirrored else how.front
        where = "see arrow" if piece.is_turned else f"at the {seen}"
        page.text(left + 66, top - 9, f"FRONT of the vehicle: {where}", size=8.5, bold=True)
        told, way = "FRONT", how.front
    _arrow(page, np.array([right - 5.5, top - 6.5]), piece.way(*WAYS[way]))
    page.text(side, top - 9, told, size=8, room=24)
    thickness = amounts.show(result.job.sheet.thickness, "thickness", units=how.display)
    facts = ["1:1, print at 100 %, no scaling", f"{thickness} sheet"]
    facts += [how.date.isoformat()] if how.date else []
    words = f"{' · '.join(facts)} · {_title(result)}"
    page.text(left, top - 12.8, words, size=8.5, room=right - left - 14)


def _tick(page: Page, x: float, y: float, before: str, sides: tuple[str, ...], after: str) -> None:
    """Write boxes to tick with words before, beside and after them."""
    size = 8.5
    for words, box in ((before, False), *((side, True) for side in sides), (after, False)):
        if box:
            page.box(x, y - 0.3, x + 2.5, y + 2.2, Pen(0.25))
            x += 3.3
        page.text(x, y, words, size=size)
        x += lettering.width(words, size) + 2.0


def _arrow(page: Page, middle: np.ndarray, way: np.ndarray) -> None:
    """Draw an arrow 8 mm long."""
    across = np.array([-way[1], way[0]])
    tip, tail = middle + 4 * way, middle - 4 * way
    page.draw(LineString([tail, tip]), Pen(0.4))
    head = LineString([tip - 2.6 * way + 1.5 * across, tip, tip - 2.6 * way - 1.5 * across])
    page.draw(head, Pen(0.4))
    page.obstacles.append(LineString([tail, tip]).buffer(1.5))


def _foot(page: Page, piece: Pattern, joined: bool) -> None:
    """Write what each line means."""
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
    if joined:
        entries.append(("join", JOIN))
    sample, gap = 14.5, 3.0
    rooms = [lettering.width(words, 8.5) + gap + (sample + 1) * bool(pen) for words, pen in entries]
    shrink = min(1.0, (right - left) / sum(rooms))
    x, y = left, bottom + 7.2
    for (words, pen), room in zip(entries, rooms, strict=True):
        start = x
        if pen is not None:
            page.line((x, y + 0.9), (x + sample * shrink, y + 0.9), pen=pen)
            start += (sample + 1) * shrink
        page.text(start, y, words, size=8.5 * max(shrink, 7 / 8.5), room=x + room * shrink - start)
        x += room * shrink


def _joins(page: Page, plan: Layout, tile: Tile) -> None:
    """Draw the lines to trim or fold at, the numbered marks on them, and name the neighbours."""
    for join in plan.joins:
        line = plan.to_page(tile, join, FOOT_MM)
        page.draw(line, JOIN)
        page.obstacles.append(line)  # what stands across it would be cut in two
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


def _name_neighbours(page: Page, plan: Layout, tile: Tile) -> None:
    """Write at each edge which sheet joins there, clear of the lines."""
    width, height = tile.window[2] - tile.window[0], tile.window[3] - tile.window[1]
    inset = tiles.OVERLAP_MM / 2
    shares = (0.5, 0.4, 0.6, 0.3, 0.7, 0.22, 0.78, 0.15, 0.85)
    for side, other in plan.neighbours(tile).items():
        words = f"{ARROWS[side]} {other.name} joins here"
        half = lettering.width(words, 8.5) / 2 + 1.5
        deep = (
            [inset + half + n for n in (0, 8, 20)]
            if side in ("left", "right")
            else [inset + 3, inset + 7]
        )
        spots = []
        for far in deep:
            for share in shares:
                x = {"left": far, "right": width - far}.get(side, width * share)
                y = {"bottom": far, "top": height - far}.get(side, height * share)
                spots.append((MARGIN + x, MARGIN + FOOT_MM + y))
        page.label(words, spots, Letters(8.5, 7, bold=True), over_lines=True)


def _put(page: Page, lie: Lie, shape: BaseGeometry | None, pen: Pen) -> list[BaseGeometry]:
    """Draw a shape's lines; return them as they lie on the page."""
    drawn: list[BaseGeometry] = []
    if shape is None or shape.is_empty:
        return drawn
    for ring in lines_of(shape):
        part = lie(LineString(ring))
        if part.geom_type in ("MultiLineString", "GeometryCollection"):
            part = shapely.line_merge(shapely.multilinestrings([
                p for p in shapely.get_parts(part) if p.geom_type == "LineString"
            ]))  # fmt: skip
        if not part.is_empty:
            page.draw(part, pen)
            drawn.append(part)
    return drawn


def _draw(page: Page, piece: Pattern, lie: Lie) -> list[BaseGeometry]:
    """Draw the piece's lines; return them as they lie on the page."""
    put = partial(_put, page, lie)
    drawn = put(piece.edge, EDGE)
    drawn += put(piece.cut_line, CUT)
    drawn += put(piece.outline, OUTLINE)
    for bend in piece.bends:
        drawn += put(bend.line, BEND)
        half = piece.folding.widths.get(bend.number, 0.0) / 2
        for side in (half, -half):
            put(_beside(bend.line, side).intersection(piece.outline or piece.content), TANGENT)
    for x, y in piece.plugs:
        drawn += put(Point(x, y).buffer(piece.plug_hole / 2, quad_segs=16).exterior, PLUG)
        arm = max(piece.plug_hole / 2 + 1, 3.0)
        drawn += put(LineString([(x - arm, y), (x + arm, y)]), PLUG)
        drawn += put(LineString([(x, y - arm), (x, y + arm)]), PLUG)
    drawn += _datum(page, piece, lie)
    page.obstacles += drawn
    return drawn


def _beside(line: LineString, off_mm: float) -> BaseGeometry:
    """Return a line at a distance to the left of one; of a straight one beyond both its ends."""
    if len(line.coords) > 2:
        return line.offset_curve(off_mm)
    start, end = np.asarray(line.coords)[[0, -1]]
    along = (end - start) / np.hypot(*(end - start))
    aside, more = off_mm * np.array([-along[1], along[0]]), (abs(off_mm) + line.length) * along
    return LineString([start + aside - more, end + aside + more])


def _datum(page: Page, piece: Pattern, lie: Lie) -> list[BaseGeometry]:
    """Draw the datum's cross along the drawing's axes, and its ends where they leave the piece."""
    if piece.datum is None:
        return []
    at, drawn = np.array(piece.datum.at), []
    for way in (piece.way(1, 0), piece.way(0, 1)):
        drawn += _put(page, lie, LineString([at - 12 * way, at + 12 * way]), DATUM)
        reach = sum(piece.content.bounds[2:]) - sum(piece.content.bounds[:2])
        line = LineString([at - reach * way, at + reach * way])
        inside = line.intersection(piece.content)
        if not inside.is_empty:
            ends = shapely.get_coordinates(inside)
            along = (ends - at) @ way
            for end, outward in ((ends[along.argmax()], way), (ends[along.argmin()], -way)):
                drawn += _put(page, lie, LineString([end - 3 * outward, end + 5 * outward]), DATUM)
    return drawn


def _grid(page: Page, piece: Pattern, plan: Layout, tile: Tile, display: str) -> None:
    """Draw the drawing's coordinates every 50 mm or 2 in, with their values at the lines' ends."""
    step, unit = (50.0, 1.0) if display == "mm" else (2 * MM_PER_INCH, MM_PER_INCH)
    window = shapely.box(*tile.window)
    back = np.linalg.inv(np.array(piece.matrix))
    corners = shapely.get_coordinates(window) @ back.T
    low, high = corners.min(axis=0), corners.max(axis=0)
    for axis, name in enumerate("xy"):
        for n in range(int(np.ceil(low[axis] / step)), int(np.floor(high[axis] / step)) + 1):
            ends = np.array([low, high])
            ends[:, axis] = n * step
            line = LineString(ends @ np.array(piece.matrix).T)
            on_page = plan.to_page(tile, line, FOOT_MM)
            if on_page.geom_type != "LineString" or on_page.length < 5:
                continue
            page.draw(on_page, GRID)
            words = f"{name} {n * step / unit:g}"
            spots = [on_page.interpolate(d).coords[0] for d in (8, 14, 20, 30)]
            spots += [on_page.interpolate(-d).coords[0] for d in (8, 14, 20, 30)]
            page.label(words, spots, Letters(7.5, 7))
