"""Where each tack and stitch lies and in which turn it is welded, in large print.

A seam whose numbers would crowd on one page is drawn larger, over several.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from ..base import amounts
from ..geometry import welds
from ..repair.estimate import Estimate
from ..repair.patches import PatchResult
from ..repair.place_cautions import off_or_shield
from ..sequence.plan import SequencePlan
from ..views.place_words import place_lines
from ..views.words import minutes
from . import lettering, tiles
from .page import MARGIN, THIN, Letters, Page, Pen, hatching
from .piece_labels import Lie
from .tiles import Layout, Tile

HEAD_MM, FOOT_MM = 23.0, 14.0
ROOM_MM = 22.0
"""On paper, round the seam, for the numbers."""
PITCH_MM = 9.0
"""On paper, from one weld to the next, so that large numbers fit."""
LARGEST_SCALE, MOST_PAGES = 2.0, 12
NUMBER_PT, LEAST_PT = 15.0, 8.0
DARK, GREY = Pen(1.8), Pen(1.8, shade=0.6)


@dataclass(frozen=True)
class _Spot:
    """A weld on the map: its path in mm, its number, the wait before it in s."""

    path: np.ndarray
    words: str
    wait_s: float = 0.0
    place: int = 0
    """Its place along the seam: neighbours are drawn in two shades."""


def map_pages(
    result: Estimate, plan: SequencePlan, *, paper: str, display: str = "mm"
) -> Iterator[Page]:
    """Yield the map pages of every patch: the tacks, then the fill."""
    tacks = welds.paths(result.tacks, result.runs)
    fill = welds.paths(result.welds, result.runs)
    fill_words = "plug welds" if result.job.patch.joint == "plug" else "stitches"
    hot = [line.short for line in place_lines(plan, display=display)]
    for index, patch in enumerate(result.patches):
        rounds = [
            _Spot(tacks[i], f"T{turn}")
            for turn, i in enumerate(plan.tack_order, 1)
            if result.tacks[i].patch == index
        ]
        turns = [
            _Spot(fill[i], str(turn), wait, i)
            for turn, (i, wait) in enumerate(zip(plan.order, plan.wait_s, strict=True), 1)
            if result.welds[i].patch == index
        ]
        if rounds:
            note = f"in this order; all tacks take about {minutes(plan.tack_s)}"
            head = f"PATCH {index + 1} · tacks"
            yield from _pages(result, patch, head, note, rounds, hot, paper, display)
        if turns:
            note = "in this order; +32 s = wait 32 s before that start"
            head = f"PATCH {index + 1} · {fill_words}"
            yield from _pages(result, patch, head, note, turns, hot, paper, display)


def _scale(patch: PatchResult, spots: Sequence[_Spot], paper: str) -> tuple[float, Layout]:
    """Return paper mm for each mm drawn, and the pages."""
    content = patch.cut_line
    left, bottom, right, top = content.bounds
    fits = []
    for landscape in (False, True):
        have = np.array(tiles.room(paper, landscape, HEAD_MM, FOOT_MM))
        have -= 2 * ROOM_MM + 2 * tiles.CLEAR_MM + 0.2
        fits.append(min(have / np.maximum([right - left, top - bottom], 1.0)))
    fit = min(max(fits) * 0.999, LARGEST_SCALE)
    middles = np.array([spot.path.mean(axis=0) for spot in spots])
    pitch = 25.0
    if len(spots) > 1:
        gaps, _ = _nearest(middles)
        pitch = max(float(np.median(gaps)), 0.5)
    scale = max(fit, min(PITCH_MM / pitch, LARGEST_SCALE))
    while True:
        shown = (
            content.buffer(ROOM_MM / scale).envelope
            if scale <= fit
            else content.buffer(ROOM_MM / scale, quad_segs=4)
        )
        plan = tiles.layout(shown, paper=paper, head=HEAD_MM, foot=FOOT_MM, scale=scale)
        if len(plan.tiles) <= MOST_PAGES or scale <= fit:
            return scale, plan
        scale = max(fit, scale * 0.8)


def _nearest(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return each point's distance to its nearest other, and which that is."""
    tree = shapely.STRtree(shapely.points(points))
    pairs, away = tree.query_nearest(
        shapely.points(points), exclusive=True, return_distance=True, all_matches=False
    )
    return away, pairs[1]


def _pages(
    result: Estimate,
    patch: PatchResult,
    head: str,
    note: str,
    spots: list[_Spot],
    hot: list[str],
    paper: str,
    display: str,
) -> Iterator[Page]:
    _, plan = _scale(patch, spots, paper)
    for tile in plan.tiles:
        page = Page(paper, plan.landscape)
        left, bottom, right, top = page.inner
        room = right - left - 48
        page.text(left, top - 6, head, size=18, bold=True, room=room)
        page.text(left, top - 12, result.job.title or "Untitled job", size=10.5, room=room)
        count = f"sheet {tile.name} of {len(plan.tiles)} · " if len(plan.tiles) > 1 else ""
        page.text(left, top - 17.5, f"{count}{note}", size=11, room=room)
        tiles.draw_map(page, plan, patch.cut_line, tile, (right - 44, top - 19.5, right, top))
        limit = amounts.show(result.job.weld.interpass_limit, "temperature", units=display)
        page.text(
            left,
            bottom + 6.5,
            f"Seen from the drawn face. Start only when the sheet there reads under {limit}: "
            "the waits are reckoned,",
            size=10,
            room=right - left,
        )
        page.text(
            left,
            bottom + 1.5,
            f"your thermometer decides. Scale {_ratio(plan.scale)} · rust hatched · not a template",
            size=10,
            room=right - left - 30,
        )
        _draw(page, result, patch, plan, tile, spots, hot)
        yield page


def _draw(
    page: Page,
    result: Estimate,
    patch: PatchResult,
    plan: Layout,
    tile: Tile,
    spots: list[_Spot],
    hot: list[str],
) -> None:
    lie = partial(plan.to_page, tile, foot=FOOT_MM)
    near = _ground(page, result, patch, lie, plan.scale, hot)
    _welds(page, spots, lie, plan.scale)
    left, lower, right, upper = page.inner
    window = shapely.box(left, lower + FOOT_MM, right, upper - HEAD_MM)
    missing = _numbers(page, patch, plan, tile, spots, window)
    for words, part in near:
        beside = [
            (x + dx, y + dy)
            for x, y in shapely.get_coordinates(part.segmentize(15)).tolist()
            for dx, dy in ((0, 4), (0, -4), (0, 7), (0, -7), (24, 3), (-24, 3), (24, -4), (-24, -4))
        ]
        page.label(lettering.shortened(words, 11, 80), beside, Letters(11, LEAST_PT), within=window)
    if missing:
        _, low, _, high = window.bounds
        words = f"{missing} numbers did not fit: see the table"
        page.label(words, [(page.width / 2, low + 3), (page.width / 2, high - 3)], Letters(10))


def _ground(
    page: Page, result: Estimate, patch: PatchResult, lie: Lie, scale: float, hot: list[str]
) -> list[tuple[str, BaseGeometry]]:
    """Draw rust, cut line and what lies near; return that with its words, as it lies on the page."""
    rust = result.job.rust_shape.intersection(patch.cut_line)
    page.draw(lie(hatching(rust, 3.5 / scale)), Pen(0.12, shade=0.5))
    page.draw(lie(patch.cut_line.exterior), Pen(0.2, (3, 2)))
    near = []
    for item, too_hot in zip(result.job.panel.protect, hot, strict=True):
        shape = Point(item.at).buffer(3 / scale).exterior if item.at else LineString(item.line)
        words = f"TOO HOT, {too_hot}: " if too_hot else ""
        words += f"{off_or_shield(item.name)}: {item.name}"
        near.append((words, lie(shape), Pen(0.8, (1.2, 1.2))))
    for mounting in result.job.panel.mountings:
        ring = Point(mounting.at).buffer(mounting.ring).exterior
        near.append((f"ring round {mounting.name}", lie(ring), Pen(0.5, (6, 2, 1, 2))))
    for _, part, pen in near:
        page.draw(part, pen)
    page.obstacles += [part for _, part, _ in near if not part.is_empty]
    return [(words, part) for words, part, _ in near]


def _welds(page: Page, spots: list[_Spot], lie: Lie, scale: float) -> None:
    """Draw tacks and plugs as dots, stitches as lines; labels keep off them."""
    lines = []
    for spot in spots:
        if np.ptp(spot.path, axis=0).max() < 1e-6 or spot.words.startswith("T"):
            lines.append(lie(Point(spot.path.mean(axis=0)).buffer(1.3 / scale)))
            page.draw(lines[-1], THIN, fill=0.0)
        else:
            lines.append(lie(LineString(spot.path)))
            page.draw(lines[-1], DARK if spot.place % 2 else GREY)
    page.obstacles += [line.buffer(1.0) for line in lines if not line.is_empty]


def _numbers(
    page: Page,
    patch: PatchResult,
    plan: Layout,
    tile: Tile,
    spots: list[_Spot],
    window: BaseGeometry,
) -> int:
    """Write each weld's number beside it; return how many found no room."""
    left, bottom, right, top = tile.window
    missing = 0
    for spot in spots:
        middle = _middle(spot.path)
        if not (left < middle[0] < right and bottom < middle[1] < top):
            continue
        at = (middle - (left, bottom)) * plan.scale + (MARGIN, MARGIN + FOOT_MM)
        across = _outward(spot.path, middle, patch)
        around = [
            at + d * (np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]]) @ across)
            for d in (5.5, 7.5, 10, 13, 16, 20)
            for t in (0, 0.4, -0.4, 0.8, -0.8, np.pi, np.pi - 0.5, np.pi + 0.5)
        ]
        wait = f"+{spot.wait_s:.0f} s" if spot.wait_s >= 0.5 else ""
        letters = Letters(NUMBER_PT, LEAST_PT, bold=True)
        places = [(float(x), float(y)) for x, y in around]
        found = page.label(spot.words, places, letters, within=window, under=wait)
        if found is None:
            missing += 1
        elif np.hypot(*(found - at)) > 9:
            start, end = at + (found - at) * 0.12, at + (found - at) * 0.55
            page.line(start.tolist(), end.tolist(), pen=THIN)
    return missing


def _ratio(scale: float) -> str:
    return f"1:{1 / scale:.2g}" if scale < 1 else f"{scale:.2g}:1"


def _middle(path: np.ndarray) -> np.ndarray:
    line = LineString(path)
    if line.length == 0:
        return path.mean(axis=0)
    return shapely.get_coordinates(line.interpolate(0.5, normalized=True))[0]


def _outward(path: np.ndarray, middle: np.ndarray, patch: PatchResult) -> np.ndarray:
    """Return the unit direction across a weld that leaves the patch."""
    along = path[-1] - path[0]
    if np.hypot(*along) < 1e-6:
        across = middle - np.asarray(patch.outline.centroid.coords[0])
        return across / (np.hypot(*across) or 1.0)
    across = np.array([along[1], -along[0]]) / np.hypot(*along)
    return -across if shapely.contains_xy(patch.outline, *(middle + 3 * across)) else across
