"""What is said once of a pattern: its size, how its sheets are joined and checked, its datum, its bends."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import combinations, product

import numpy as np
import shapely

from ..base import amounts
from ..geometry.fold import SideView
from ..job.job import Job
from ..job.mirror import hand_of
from . import lettering, tiles
from .folding_diagram import bending_lines, draw_profile
from .lettering import LINE, POINT_MM
from .page import THIN, Box, Page
from .pattern import Pattern
from .tiles import Layout

WIDTHS_MM = (92.0, 72.0, 54.0)
"""Of a block, the widest that there is room for."""
SIZE_PT = 8.5
MAP_MM, VIEW_MM = 34.0, 40.0
"""How high a map is at most, and a side view."""


@dataclass(frozen=True)
class Note:
    """A block to be put where a page has room for it: its height by its width, mm, and how it is drawn."""

    height: Callable[[float], float]
    draw: Callable[[Page, Box], None]
    least: float = 1.0
    """Of its height, where there is no room for all of it."""


def notes(piece: Pattern, plan: Layout, *, thickness: float, display: str) -> Iterator[Note]:
    """Yield the blocks of a pattern, the most needed first."""
    lines = [*_lines(piece, plan, thickness, display)]
    yield _words(f"{piece.name}: sizes and how to check them", lines)
    if len(plan.tiles) > 1:
        height = partial(_map_height, plan)
        yield Note(height, lambda page, box: _map(page, box, piece, plan))
    if piece.bends:
        yield _words(f"{piece.name}: how to bend it", list(bending_lines(piece, display)))
        for view in piece.folding.views:
            yield Note(lambda _: VIEW_MM, partial(_view, piece, view, display), least=0.7)


def side_words(job: Job) -> str:
    """Return which side of the vehicle a job is for, as it follows a heading; "" where none is told."""
    hand = hand_of(job)
    return f" · {hand.upper()} SIDE" if hand else ""


def diagonals(marks: tuple[tuple[float, float], ...]) -> list[tuple[int, int, float]]:
    """Return up to two pairs of marks, numbered from 1, far apart and crosswise, with their distance."""
    if len(marks) < 2:
        return []
    points = np.array(marks)
    pairs = sorted(
        ((float(np.hypot(*(points[j] - points[i]))), i, j)
         for i, j in combinations(range(len(points)), 2)), reverse=True,
    )  # fmt: skip
    length, i, j = pairs[0]
    found = [(i + 1, j + 1, length)]
    first = shapely.LineString(points[[i, j]])
    for length, k, m in pairs[1:]:
        if {k, m} & {i, j} or length < 0.5 * pairs[0][0]:
            continue
        if first.crosses(shapely.LineString(points[[k, m]])):
            found.append((k + 1, m + 1, length))
            break
    return found


def _lines(piece: Pattern, plan: Layout, thickness: float, display: str) -> Iterator[str]:
    def show(value: float) -> str:
        return amounts.show(value, "length", units=display, digits=3 if display == "in" else 1)

    left, bottom, right, top = (piece.outline or piece.content).bounds
    sheet = amounts.show(thickness, "thickness", units=display)
    what = "" if piece.outline is None else f"Sheet {sheet} thick. "
    yield f"{what}Over all, along the paper's edges: {show(right - left)} × {show(top - bottom)}."
    if len(plan.tiles) > 1:
        yield (
            "Joining: each edge names the sheet that joins there. Cut or fold a sheet along the dotted "
            "line at its right and lower edge, lay it on the next so that the dotted lines meet and "
            "marks of one number lie on one another; tape."
        )
        told = [f"R{i} to R{j} {show(length)}" for i, j, length in diagonals(plan.marks)]
        yield f"Then measure, over the joined sheets: {'; '.join(told)}. If it isn't so, join again."
    if plan.left_out:
        names = ", ".join(tile.name for tile in plan.left_out)
        yield f"Not printed, since no line is on it: {names}."
    if piece.datum is not None:
        steps = [
            f"{show(arm.length_mm)} along arm {n}" for n, arm in enumerate(piece.datum.arms, 1)
        ]
        yield (
            f"Placing: from cross D it is {' and '.join(steps)} to {piece.datum.to}."
            if steps
            else "Placing: cross D is the cut's middle, its arms lie along the drawing; the job has no "
            "panel edge or hole to measure to."
        )
    yield f"Next: {_next(piece)}"
    if piece.is_turned:
        yield "The piece is turned on the paper to save sheets: the arrow at the top shows how."
    if piece.mirrored:
        other = (
            "The other side of the car bends the other way: mirror the job itself for that."
            if piece.bends
            else "Or for the same place on the other side of the car."
        )
        yield f"Mirrored: the back is up. For marking out from behind. {other}"


def _next(piece: Pattern) -> str:
    """Say what to do with the true pattern; of two lines the outer one is cut to first."""
    sheet = "at the solid line, lay it on the sheet and mark round it"
    panel = "at the dashed line, lay it on the panel by cross D and mark round it"
    if piece.outline is None:
        return f"cut the paper {panel}. Hold the bent patch to it before you cut the panel."
    if piece.cut_line is None:
        return f"cut the paper {sheet} and the bends' ends; cut and deburr the blank, then bend."
    first, then = (panel, sheet) if piece.cut_line.area > piece.outline.area else (sheet, panel)
    return f"cut the paper {first}; then cut it {then}. Hold the patch to the mark before you cut the panel."


def _words(heading: str, lines: list[str]) -> Note:
    pitch = LINE * SIZE_PT * POINT_MM

    def wrapped(width: float) -> list[str]:
        return [part for line in lines for part in lettering.wrapped(line, SIZE_PT, width - 4)]

    def draw(page: Page, box: Box) -> None:
        left, _, right, top = box
        page.text(left + 2, top - 4.5, heading, size=9, bold=True, room=right - left - 4)
        for n, line in enumerate(wrapped(right - left)):
            page.text(left + 2, top - 5.5 - (n + 1) * pitch + 0.8, line, size=SIZE_PT)

    return Note(lambda width: 7.5 + len(wrapped(width)) * pitch, draw)


def _map_height(plan: Layout, width: float) -> float:
    left, bottom, right, top = shapely.total_bounds([shapely.box(*t.window) for t in plan.tiles])
    return min(MAP_MM, 8 + (width - 4) * (top - bottom) / (right - left))


def _map(page: Page, box: Box, piece: Pattern, plan: Layout) -> None:
    left, bottom, right, top = box
    page.text(left + 2, top - 4, "How the sheets lie", size=8.5, bold=True)
    tiles.draw_map(page, plan, piece.content, None, (left + 2, bottom + 1, right - 2, top - 6))


def _view(piece: Pattern, view: SideView, display: str, page: Page, box: Box) -> None:
    left, bottom, right, top = box
    up = "BACK" if piece.mirrored else "FACE"
    words = f"Side view, {up} up, not to scale"
    page.text(left + 2, top - 4, words, size=8.5, bold=True, room=right - left - 4)
    draw_profile(page, (left, bottom, right, top - 5), piece, view, display)


def placed(page: Page, note: Note, head: float, foot: float) -> bool:
    """Draw a note, framed, where the page has room for it; say whether it had."""
    left, bottom, right, top = page.inner
    bottom, top = bottom + foot + 1, top - head - 1
    taken = shapely.union_all([*page.obstacles, *page.boxes])
    for share, width in product(dict.fromkeys((1.0, note.least)), WIDTHS_MM):
        height = share * note.height(width)
        xs = np.arange(left + 1, right - width - 1 + 1e-6, 3.0)
        ys = np.arange(bottom, top - height + 1e-6, 3.0)
        x, y = (grid.ravel() for grid in np.meshgrid(xs, ys))
        boxes = shapely.box(x, y, x + width, y + height)
        away = shapely.distance(boxes, taken) if len(boxes) else np.zeros(1)
        if away.max() >= 1.0:
            box = boxes[int(np.lexsort((-y, -np.minimum(away, 3.0)))[0])]
            page.draw(box, THIN)
            note.draw(page, box.bounds)
            page.obstacles.append(box)
            return True
    return False
