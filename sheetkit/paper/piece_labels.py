"""The words inside a pattern's piece: bends, holes, plugs, datum, FACE and FRONT, each where there is room."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..base import amounts
from . import lettering
from .folding_diagram import turn_words
from .page import Letters, Page
from .pattern import Pattern

Lie = Callable[[BaseGeometry], BaseGeometry]
"""Gives a shape of the drawing as it lies on a page."""
APART_MM = 3.0
"""So much nearer than any other bend's line a bend's words stand to their own."""
WAYS = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "top": (0.0, 1.0), "bottom": (0.0, -1.0)}
"""Side of the drawing -> the way there."""
ARROWS = {"left": "◄", "right": "►", "top": "▲", "bottom": "▼"}
_ROSE = "→↗↑↖←↙↓↘"
_ROUND = ((0, 1), (0, -1), (1, 0), (-1, 0), (0.6, 1), (-0.6, 1), (0.6, -1), (-0.6, -1))


def label_piece(page: Page, piece: Pattern, lie: Lie, front: str | None, *, display: str) -> None:
    """Write a piece's bends, its holes' sizes, its datum, FACE and FRONT on a page.

    Parameters
    ----------
    page, piece : Page; Pattern
    lie : gives a shape of the drawing as it lies on the page
    front : where the vehicle's front lies in the drawing, of `WAYS`
    display : "mm" or "in"
    """
    _bends(page, piece, lie)
    _holes(page, piece, lie, display)
    _plug(page, piece, lie, display)
    _datum(page, piece, lie)
    _face(page, piece, lie, front)


def _bends(page: Page, piece: Pattern, lie: Lie) -> None:
    lines = [(bend, lie(bend.line)) for bend in piece.bends]
    for bend, line in lines:
        if line.is_empty or line.length < 5:
            continue
        others = shapely.union_all([other for one, other in lines if one.number != bend.number])
        words = f"BEND {bend.number}: {turn_words(bend)[0]} {bend.angle_deg:.0f}°"
        half = lettering.width(words, 11, True) / 2 + 4
        spots = [
            (p.x + dx, p.y + dy)
            for share in (0.5, 0.35, 0.65, 0.2, 0.8)
            for p in [line.interpolate(share, normalized=True)]
            for dx, dy in ((0, 5), (0, -5), (half, 0), (-half, 0), (0, 8), (0, -8), (0, 0))
        ]

        def suits(box: BaseGeometry, line=line, others=others) -> bool:
            """Say whether a box can't be taken for another bend's."""
            return others.is_empty or box.distance(others) > box.distance(line) + APART_MM

        letters = Letters(11, 7.5, bold=True)
        if page.label(words, spots, letters, over_lines=True, suits=suits) is None:
            page.label(words, spots, letters, over_lines=True)


def _holes(page: Page, piece: Pattern, lie: Lie, display: str) -> None:
    for hole in piece.holes:
        at = lie(hole)
        if at.is_empty:
            continue
        left, bottom, right, top = hole.bounds
        sides = (right - left, top - bottom)
        size = " × ".join(amounts.show(side, "length", units=display) for side in sides)
        x, y = at.centroid.x, at.centroid.y
        left, bottom, right, top = at.bounds
        across, up = (right - left) / 2, (top - bottom) / 2
        beside = [
            (x + dx * (across + out + 16), y + dy * (up + out))
            for out in (3, 6, 10, 16, 24)
            for dx, dy in _ROUND
        ]
        page.label(f"hole {size}", [(x, y), *beside], Letters(9, 7), over_lines=True)


def _plug(page: Page, piece: Pattern, lie: Lie, display: str) -> None:
    """Write the plug holes' size at the first of them."""
    for plug in piece.plugs[:1]:
        at = lie(Point(plug))
        if at.is_empty:
            continue
        digits = 1 if display == "mm" else 2
        size = amounts.show(piece.plug_hole, "thickness", units=display, digits=digits)
        spots = [
            (at.x + r * np.cos(t), at.y + r * np.sin(t))
            for r in (9, 12, 15, 20)
            for t in np.linspace(0, 2 * np.pi, 12, endpoint=False)
        ]
        page.label(f"⊕ {size}", spots, Letters(9, 7))


def _datum(page: Page, piece: Pattern, lie: Lie) -> None:
    """Write D beside the datum's cross, and the numbers of the arms that are measured."""
    if piece.datum is None:
        return
    at = lie(Point(piece.datum.at))
    if at.is_empty:
        return
    middle = np.array([at.x, at.y])
    for n, arm in enumerate(piece.datum.arms, 1):
        end = middle + 12 * np.array(arm.way)
        spots = [(end[0] + dx * far, end[1] + dy * far) for far in (3, 5, 7) for dx, dy in _ROUND]
        page.label(f"{n}", spots, Letters(8.5, 7))
    spots = [
        (middle[0] + dx, middle[1] + dy)
        for far in (3, 5)
        for dx in (far, -far)
        for dy in (far, -far)
    ]
    page.label("D", spots, Letters(10, 7, bold=True), over_lines=True)


def _face(page: Page, piece: Pattern, lie: Lie, front: str | None) -> None:
    inside = lie(piece.content)
    if inside.is_empty:
        return
    big = max(shapely.get_parts(inside), key=lambda part: part.area)
    if not isinstance(big, Polygon):
        return
    middle = big.representative_point()
    xs, ys = (np.arange(low, high, 4.0) for low, high in (big.bounds[0::2], big.bounds[1::2]))
    grid = [(float(x), float(y)) for x in xs for y in ys]
    grid.sort(key=lambda spot: abs(spot[0] - middle.x) + abs(spot[1] - middle.y))
    spots = [(middle.x, middle.y), *grid]
    face = "BACK" if piece.mirrored else "FACE"
    if piece.outline is None:
        face = f"CUT OUT, {face}"
    words = f"{face} {piece.number}"
    if page.label(words, spots, Letters(22, 9, bold=True), within=big) is None:
        page.label(words, spots, Letters(12, 8, bold=True), over_lines=True)
    if front:
        across, up = piece.way(*WAYS[front])
        arrow = _ROSE[round(np.degrees(np.arctan2(up, across)) / 45) % 8]
        page.label(f"FRONT {arrow}", spots, Letters(14, 8, bold=True), within=big)
