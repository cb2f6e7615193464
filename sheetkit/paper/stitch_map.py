"""Where each tack and stitch lies and in which turn it is welded, in large print.

All patches stand on one map, since the order jumps between them.  Where their numbers
would crowd there, each patch has maps of its own besides, drawn larger, over several pages.
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
from ..geometry.welds import Weld
from ..repair.estimate import Estimate
from ..sequence.plan import SequencePlan
from ..sketch.photo_scale import Photo
from ..views.place_words import place_lines
from ..views.words import minutes
from . import map_ground, map_numbers, tiles
from .job_photos import put_under
from .map_numbers import Mark
from .page import MARGIN, THIN, Page, Pen
from .piece_labels import ARROWS
from .tiles import Layout, Tile

HEAD_MM, FOOT_MM = 23.0, 14.0
ROOM_MM = 22.0
"""On paper, round the seam, for the numbers."""
PITCH_MM = 9.0
"""On paper, from one weld to the next, so that large numbers fit."""
CROWDED = 0.75
"""With less than this share of that room on the map of all patches, each has maps of its own."""
LARGEST_SCALE, MOST_PAGES = 2.0, 12
DARK, GREY = Pen(1.8), Pen(1.8, shade=0.6)
FILL = {"plug": "plug welds", "dots": "groups of dots", "stitch": "stitches"}
"""Kind of weld -> what many of them are called."""


@dataclass(frozen=True)
class _Spot:
    """A weld on the map: its path in mm, its number, the wait before it in s, its patch."""

    path: np.ndarray
    words: str
    wait_s: float
    place: int
    """Its place along the seam: neighbours are drawn in two shades."""
    patch: int


@dataclass(frozen=True)
class _Map:
    """What one map shows: its heading, what is said under it, its cuts with patches, its welds."""

    head: str
    note: str
    cuts: Sequence[BaseGeometry]
    spots: Sequence[_Spot]


def map_pages(
    result: Estimate,
    plan: SequencePlan,
    *,
    paper: str,
    display: str = "mm",
    front: str | None = None,
    photo: Photo | None = None,
) -> Iterator[Page]:
    """Yield the map pages: the tacks, then the fill; all patches together, then each if it must be."""
    hot = [line.short for line in place_lines(plan, display=display)]
    tack_note = f"in this order; all tacks take about {minutes(plan.tack_s)}"
    fill_note = "in this order; +32 s = wait 32 s before that start"
    tack_waits = [0.0] * len(plan.tack_order)
    for what, note, spots in (
        ("tacks", tack_note, _spots(result, result.tacks, plan.tack_order, tack_waits, "T")),
        (FILL.get(result.welds[0].kind, "stitches"), fill_note,
         _spots(result, result.welds, plan.order, plan.wait_s, "")),
    ):  # fmt: skip
        for shown, layout in _maps(result, what, note, spots, paper):
            for tile in layout.tiles:
                page = Page(paper, layout.landscape)
                _frame(page, result, shown, layout, tile, display, front)
                if photo is not None:
                    _lay_under(page, photo, layout, tile)
                _draw(page, result, shown, layout, tile, hot)
                yield page


def _spots(
    result: Estimate,
    made: Sequence[Weld],
    order: Sequence[int],
    waits: Sequence[float],
    letter: str,
) -> list[_Spot]:
    paths = welds.paths(made, result.runs)
    return [
        _Spot(paths[i], f"{letter}{turn}", wait, i, made[i].patch)
        for turn, (i, wait) in enumerate(zip(order, waits, strict=True), 1)
    ]


def _maps(
    result: Estimate, what: str, note: str, spots: list[_Spot], paper: str
) -> Iterator[tuple[_Map, Layout]]:
    """Yield the maps of the tacks or of the fill, with their pages."""
    if not spots:
        return
    # a lapped patch reaches beyond its cut, and so does its seam
    cuts = [patch.cut_line.union(patch.outline) for patch in result.patches]
    if len(cuts) > 1:
        whole = _Map(f"ALL {len(cuts)} PATCHES · {what}", note, cuts, spots)
        fit, scale = _scales(whole, paper)
        yield whole, _layout(whole, paper, fit, fit)
        if fit >= CROWDED * scale:
            return
    for number, cut in enumerate(cuts):
        mine = [spot for spot in spots if spot.patch == number]
        if mine:
            one = _Map(f"PATCH {number + 1} · {what}", note, [cut], mine)
            yield one, _layout(one, paper, *_scales(one, paper))


def _scales(shown: _Map, paper: str) -> tuple[float, float]:
    """Return paper mm for each mm drawn: to fit on one page, and to have room for the numbers."""
    left, bottom, right, top = shapely.total_bounds(shown.cuts)
    fits = []
    for landscape in (False, True):
        have = np.array(tiles.room(paper, landscape, HEAD_MM, FOOT_MM))
        have -= 2 * ROOM_MM + 2 * tiles.CLEAR_MM + 0.2
        fits.append(min(have / np.maximum([right - left, top - bottom], 1.0)))
    fit = min(max(fits) * 0.999, LARGEST_SCALE)
    pitch = 25.0
    if len(shown.spots) > 1:
        middles = shapely.points([spot.path.mean(axis=0) for spot in shown.spots])
        _, away = shapely.STRtree(middles).query_nearest(
            middles, exclusive=True, return_distance=True, all_matches=False
        )
        pitch = max(float(np.median(away)), 0.5)
    return fit, max(fit, min(PITCH_MM / pitch, LARGEST_SCALE))


def _layout(shown: _Map, paper: str, fit: float, scale: float) -> Layout:
    content = shapely.union_all(shown.cuts)
    while True:
        around = (
            content.buffer(ROOM_MM / scale).envelope
            if scale <= fit
            else content.buffer(ROOM_MM / scale, quad_segs=4)
        )
        found = tiles.layout(around, paper=paper, head=HEAD_MM, foot=FOOT_MM, scale=scale)
        if len(found.tiles) <= MOST_PAGES or scale <= fit:
            return found
        scale = max(fit, scale * 0.8)


def _frame(
    page: Page,
    result: Estimate,
    shown: _Map,
    layout: Layout,
    tile: Tile,
    display: str,
    front: str | None,
) -> None:
    """Write what stands above and below a map."""
    left, bottom, right, top = page.inner
    several = len(layout.tiles) > 1
    edge = right - 47 if several else right
    page.text(left, top - 6, shown.head, size=18, bold=True, room=0.62 * (edge - left))
    title = result.job.title or "Untitled job"
    page.text(edge, top - 6, title, size=10, align="right", room=0.36 * (edge - left))
    _front(page, (left, top - 12.5), front)
    count = f"sheet {tile.name} of {len(layout.tiles)} · " if several else ""
    page.text(left, top - 18.5, f"{count}{shown.note}", size=11, room=edge - left)
    if several:
        content = shapely.union_all(shown.cuts)
        tiles.draw_map(page, layout, content, tile, (right - 44, top - 19.5, right, top))
    limit = amounts.show(result.job.weld.interpass_limit, "temperature", units=display)
    scale = f"1:{1 / layout.scale:.2g}" if layout.scale < 1 else f"{layout.scale:.2g}:1"
    page.text(
        left,
        bottom + 6.5,
        f"Seen from the drawn face. Start only where it reads under {limit}: your thermometer decides.",
        size=10,
        room=right - left,
    )
    lines = "dashed: cut, hatched: rust"
    lines += ", thin grey: panel's edge" * (result.job.panel.outline is not None)
    lines += ", dash-dot: bend" * any(patch.bends for patch in result.patches)
    words = f"Scale {scale}, not a template · {lines}"
    page.text(left, bottom + 1.5, words, size=10, room=right - left - 30)


def _front(page: Page, at: tuple[float, float], front: str | None) -> None:
    """Say where the vehicle's front is, or leave boxes to tick."""
    x, y = at
    if front is not None:
        page.text(x, y, f"FRONT of the vehicle: {front} {ARROWS[front]}", size=14, bold=True)
        return
    page.text(x, y, "FRONT of the vehicle, tick:", size=11)
    x += 58
    for side, arrow in ARROWS.items():
        page.box(x, y - 0.6, x + 3.6, y + 3.0, Pen(0.3))
        page.text(x + 5, y, f"{side} {arrow}", size=11)
        x += 27


def _draw(
    page: Page, result: Estimate, shown: _Map, layout: Layout, tile: Tile, hot: Sequence[str]
) -> None:
    lie = partial(layout.to_page, tile, foot=FOOT_MM)
    named = map_ground.draw(page, result, lie, layout.scale, hot)
    left, lower, right, upper = page.inner
    window = shapely.box(left, lower + FOOT_MM, right, upper - HEAD_MM)
    shapes, marks = [], []
    for spot in shown.spots:
        shape = _shape(spot, lie, layout.scale)
        if shape.is_empty:
            continue
        dot = shape.geom_type in ("Polygon", "MultiPolygon")
        page.draw(
            shape, THIN if dot else DARK if spot.place % 2 else GREY, fill=0.0 if dot else None
        )
        shapes.append(shape)
        middle, across = welds.outward(spot.path, result.patches[spot.patch].outline)
        at = lie(Point(middle))
        if not at.is_empty:
            wait = f"+{spot.wait_s:.0f} s" if spot.wait_s >= 0.5 else ""
            marks.append(Mark(shape, (at.x, at.y), tuple(across), spot.words, wait))
    page.obstacles += [shape.buffer(1.0) for shape in shapes]
    missing = map_numbers.write(page, marks, shapes, window)
    map_ground.name(page, named, window)
    if missing:
        _, low, _, high = window.bounds
        words = f"{missing} numbers found no room here: their turns are the ones left in the order"
        spots = [(page.width / 2, low + 3), (page.width / 2, high - 3)]
        page.label(words, spots, map_numbers.Letters(10, 8))


def _lay_under(page: Page, photo: Photo, layout: Layout, tile: Tile) -> None:
    left, bottom, right, top = page.inner
    x, y, *_ = tile.window
    origin = MARGIN - x * layout.scale, MARGIN + FOOT_MM - y * layout.scale
    put_under(page, photo, origin, layout.scale, (left, bottom + FOOT_MM, right, top - HEAD_MM))


def _shape(spot: _Spot, lie: partial, scale: float) -> BaseGeometry:
    """Return a weld as it lies on the page: tacks and plugs as dots, stitches as lines."""
    if np.ptp(spot.path, axis=0).max() < 1e-6 or spot.words.startswith("T"):
        return lie(Point(spot.path.mean(axis=0)).buffer(1.3 / scale))
    return lie(LineString(spot.path))
