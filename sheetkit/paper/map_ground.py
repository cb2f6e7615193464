"""What lies under the welds of a map: panel, holes, rust, cuts, bends, what must stay cool."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from ..repair.estimate import Estimate
from ..repair.place_cautions import off_or_shield
from . import lettering
from .page import Letters, Page, Pen, hatching
from .piece_labels import Lie

EDGE, HOLE, CUT = Pen(0.35, shade=0.45), Pen(0.5), Pen(0.2, (3, 2))
BEND = Pen(0.35, (6, 1.5, 1.5, 1.5))
PLACE, RING = Pen(0.8, (1.2, 1.2)), Pen(0.5, (6, 2, 1, 2))
LABEL_PT = 11.0
LEAST_FLAT_MM2 = 400.0
"""A smaller piece of a flat on a patch has no words of its own."""

Named = tuple[str, BaseGeometry]
"""Words, and what they name as it lies on the page."""


def draw(page: Page, result: Estimate, lie: Lie, scale: float, hot: Sequence[str]) -> list[Named]:
    """Draw it; return what is to be named, to be written after the numbers.

    hot : for each protected place how hot it gets, if that is too hot
    """
    job = result.job
    if job.panel.outline is not None:
        page.draw(lie(job.panel.outline.polygon.exterior), EDGE)
    named: list[tuple[str, BaseGeometry, Pen]] = [
        ("hole", lie(ring.polygon.exterior), HOLE) for ring in job.panel.holes
    ]
    for patch in result.patches:
        rust = job.rust_shape.intersection(patch.cut_line)
        page.draw(lie(hatching(rust, 3.5 / scale)), Pen(0.12, shade=0.6))
        page.draw(lie(patch.cut_line.exterior), CUT)
        for fold, across in patch.drawn_bends:
            toward = f" toward the {fold.toward}" if fold.toward else ""
            named.append((f"bend {fold.angle_deg:.0f}°{toward}", lie(across), BEND))
    for item, too_hot in zip(job.panel.protect, hot, strict=True):
        shape = Point(item.at).buffer(3 / scale).exterior if item.at else LineString(item.line)
        words = f"TOO HOT, {too_hot}: " if too_hot else ""
        named.append((f"{words}{off_or_shield(item.name)}: {item.name}", lie(shape), PLACE))
    for mounting in job.panel.mountings:
        ring = Point(mounting.at).buffer(mounting.ring).exterior
        named.append((f"ring round {mounting.name}", lie(ring), RING))
    for _, part, pen in named:
        page.draw(part, pen)
    page.obstacles += [part for _, part, pen in named if pen is not BEND and not part.is_empty]
    flats = [(words, lie(at)) for words, at in _flats(result)]
    return [(words, part) for words, part, _ in named if not part.is_empty] + flats


def _flats(result: Estimate) -> Iterator[Named]:
    """Yield how each flat of a patch is welded, where they differ, and a place on it for the words."""
    section = result.job.section
    faces = result.job.faces(shapely.multilinestrings(list(result.runs)))
    if section is None or len(faces.by_position) < 2:
        return
    for patch in result.patches:
        for number, position in enumerate(faces.positions, 1):
            zone = section.zone(2 * number - 2, patch.outline)
            if zone.area > LEAST_FLAT_MM2:
                middle = zone.representative_point().buffer(0.5).exterior
                yield f"flat {number}: {position}", middle


def name(page: Page, named: Sequence[Named], window: BaseGeometry) -> None:
    """Write the names beside what they name, where there is room."""
    for words, part in named:
        beside = [
            (x + dx, y + dy)
            for x, y in shapely.get_coordinates(part.segmentize(15)).tolist()
            for dx, dy in ((0, 4), (0, -4), (0, 7), (0, -7), (24, 3), (-24, 3), (24, -4), (-24, -4))
        ]
        letters = Letters(LABEL_PT, 8.0)
        page.label(lettering.shortened(words, LABEL_PT, 80), beside, letters, within=window)
