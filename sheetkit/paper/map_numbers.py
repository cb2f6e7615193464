"""The numbers on a map: each nearest to its own weld by a millimetre, or led to it by a line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from . import lettering
from .lettering import POINT_MM
from .page import THIN, Letters, Page

NUMBER_PT, LEAST_PT = 15.0, 8.0
NEARER_MM = 1.5
"""By so much a number without a line stands nearer to its own weld than to any other: a
millimetre, and what a digit's ink is off its box."""
CLEAR_MM = 1.2
"""Between a leading line and other welds or texts."""
DIGIT = 0.73
"""How high a digit is, in sizes."""
_TURNS = (0, 0.4, -0.4, 0.8, -0.8, np.pi, np.pi - 0.5, np.pi + 0.5, 1.2, -1.2)
_BESIDE_MM = (4.5, 5.5, 7.0, 8.5, 10.0)
_LED_MM = (8, 11, 14, 18, 22, 27, 33, 40, 48, 58)


@dataclass(frozen=True)
class Mark:
    """A weld as it lies on the page, with its number, the wait under it, and where is outward.

    shape : what is drawn; across : unit direction that leaves the patch, on the page
    """

    shape: BaseGeometry
    middle: tuple[float, float]
    across: tuple[float, float]
    words: str
    under: str = ""


def write(
    page: Page, marks: Sequence[Mark], shapes: Sequence[BaseGeometry], window: BaseGeometry
) -> int:
    """Write the marks' numbers on a page; return how many found no room.

    shapes : every weld on the page, the marks' own among them
    """
    tree = shapely.STRtree(shapes)
    return sum(not _write(page, mark, tree, window) for mark in marks)


def _write(page: Page, mark: Mark, tree: shapely.STRtree, window: BaseGeometry) -> bool:
    def nearest_to_its_own(box: BaseGeometry) -> bool:
        return all(
            tree.geometries[n].equals(mark.shape)
            for part in (box, _digits(mark, box, size))
            for n in tree.query(
                part, predicate="dwithin", distance=part.distance(mark.shape) + NEARER_MM
            )
        )

    def led(box: BaseGeometry) -> bool:
        line = _leader(mark, box)
        return (
            not shapely.intersects(page.boxes, line.buffer(0.3)).any()
            and not shapely.intersects(page.leaders, line.buffer(0.6)).any()
            and all(
                tree.geometries[n].equals(mark.shape)
                for n in tree.query(line, predicate="dwithin", distance=CLEAR_MM)
            )
        )

    for size in Letters(NUMBER_PT, LEAST_PT).sizes():
        letters = Letters(size, bold=True)
        for spots, suits in ((_beside(mark), nearest_to_its_own), (_around(mark), led)):
            found = page.label(
                mark.words, spots, letters, within=window, under=mark.under, suits=suits
            )
            if found is None:
                continue
            if suits is led:
                page.leaders.append(_leader(mark, found))
                page.draw(page.leaders[-1], THIN)
            return True
    return False


def _digits(mark: Mark, box: BaseGeometry, size: float) -> BaseGeometry:
    """Return what a number's digits take of its box: without the room above and below them."""
    left, _, right, top = box.bounds
    half = lettering.width(mark.words, size, True) / 2
    line = top - lettering.ASCENT * size * POINT_MM
    middle = (left + right) / 2
    return shapely.box(middle - half, line, middle + half, line + DIGIT * size * POINT_MM)


def _leader(mark: Mark, box: BaseGeometry) -> LineString:
    """Return the line from the middle of a weld to a text's box."""
    middle = Point(mark.middle)
    return shapely.shortest_line(middle, box)


def _turned(mark: Mark, angle: float) -> np.ndarray:
    x, y = mark.across
    return np.array([x * np.cos(angle) - y * np.sin(angle), x * np.sin(angle) + y * np.cos(angle)])


def _beside(mark: Mark) -> Iterator[tuple[float, float]]:
    for away in _BESIDE_MM:
        for angle in _TURNS:
            x, y = mark.middle + away * _turned(mark, angle)
            yield float(x), float(y)


def _around(mark: Mark) -> Iterator[tuple[float, float]]:
    for away in _LED_MM:
        for angle in np.linspace(0, 2 * np.pi, 24, endpoint=False):
            x, y = mark.middle + away * _turned(mark, angle)
            yield float(x), float(y)
