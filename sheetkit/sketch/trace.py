"""A stroke drawn round the rust, or brushed over it -> one clean ring.

Lengths in mm.  A hand shakes and a pen sends a point every few milliseconds; the ring
keeps within `TOLERANCE_MM` of where the stroke ran, encloses the same area, and has so
few points that each can be taken hold of.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
import shapely.affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..base.errors import Fault, shown
from .drawing import Drawing
from .shape_kinds import KINDS, EditRefused, Shape, kind_named

TOLERANCE_MM = 1.0
SHAKE_MM = 8.0
"""Waves of a stroke shorter than this are the hand's, not the rust's (guess)."""
STEP_MM = 0.5
"""A stroke is looked at every so many mm."""
MOST_STROKE_POINTS = 20_000
BRUSH_MM = (2.0, 200.0)
SMALLEST_MM2 = 4.0


def stroke(
    drawing: Drawing,
    *,
    id: str,
    kind: str,
    points: Sequence,
    width: float | None = None,
    erase: bool = False,
    onto: str = "",
) -> dict:
    """Return the edit that a stroke makes of a drawing.

    Parameters
    ----------
    id : str
        Of the ring that is made, where none is changed.
    kind : str
        What the ring stands for.
    points : sequence of (x, y), mm
        As the hand drew them.
    width : float, optional
        A brush's, 2 to 200 mm: it adds to a ring of this kind that it touches.  Without
        it the stroke is the outline of a new ring.
    erase : bool
        Take what the brush covers away from a ring, whatever it stands for.
    onto : str
        The ring that goes before others the brush touches.

    Raises
    ------
    EditRefused
        Too few or too many points, nothing enclosed, nothing to erase, a brush out of range.
    """
    if kind_named(kind).form != "ring":
        limit, remedy = "must be a ring", "choose rust, or draw by points"
        raise EditRefused(Fault("kind", KINDS[kind].label, limit, remedy))
    at = _points(points)
    if width is None:
        ring = ring_of(_enclosed(_calm(at)))
        return {"op": "add", "id": id, "kind": kind, "points": ring, "done": True}
    covered = _covered(at, width)
    touched = _touched(drawing, covered, None if erase else kind, onto)
    if erase and not touched:
        remedy = "rub over the ring itself"
        raise EditRefused(Fault("eraser", "a stroke beside it", "must run over a ring", remedy))
    if not touched:
        return {"op": "add", "id": id, "kind": kind, "points": ring_of(covered), "done": True}
    old = _area(touched.points)
    shape = old.difference(covered) if erase else old.union(covered)
    return {"op": "reshape", "id": touched.id, "points": ring_of(shape)}


def _covered(at: np.ndarray, width: object) -> BaseGeometry:
    """Return what a brush of some width covers."""
    low, high = BRUSH_MM
    if isinstance(width, bool) or not isinstance(width, int | float) or not low <= width <= high:
        limit = f"must be {low:g} to {high:g} mm"
        raise EditRefused(Fault("brush", shown(width), limit, "choose another width"))
    line = LineString(at) if len(at) > 1 else shapely.Point(at[0])
    return line.buffer(width / 2)


def _touched(drawing: Drawing, covered: BaseGeometry, kind: str | None, onto: str) -> Shape | None:
    """Return the finished ring that a brush changes: `onto`, or else the one drawn last."""
    found = [
        shape
        for shape in drawing.shapes
        if shape.form == "ring" and shape.done and kind in (None, shape.kind)
        if shape.kind != "panel_outline" or shape.id == onto
        if _area(shape.points).intersects(covered)
    ]
    found.sort(key=lambda shape: shape.id == onto)
    return found[-1] if found else None


def ring_of(shape: BaseGeometry) -> list[list[float]]:
    """Return the largest part of a shape as ring points, holes filled, corners it can spare left out.

    Raises EditRefused when nothing is left.
    """
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    whole = max((Polygon(part.exterior) for part in parts), key=lambda p: p.area, default=Polygon())
    if whole.area < SMALLEST_MM2:
        raise EditRefused(
            Fault("stroke", f"{whole.area:.1f} mm²", f"must enclose at least {SMALLEST_MM2:g} mm²", "draw once round the rust")
        )  # fmt: skip
    plain = _spared(whole)
    return [[round(x, 2), round(y, 2)] for x, y in plain.exterior.coords[:-1]]


def _spared(whole: Polygon) -> Polygon:
    """Return the polygon with fewer corners, of the same area, within the tolerance."""
    plain = shapely.simplify(whole, TOLERANCE_MM / 2, preserve_topology=True)
    if plain.geom_type != "Polygon" or plain.area < SMALLEST_MM2:
        return whole
    larger = (whole.area / plain.area) ** 0.5
    return shapely.affinity.scale(plain, larger, larger, origin="centroid")


def _area(points: Sequence) -> BaseGeometry:
    return shapely.make_valid(Polygon(points)) if len(points) > 2 else Polygon()


def _points(points: object) -> np.ndarray:
    """Return the stroke as an (n, 2) array, each point once."""
    try:
        at = np.asarray(points, float)
    except (TypeError, ValueError):
        at = np.empty(0)
    if at.ndim != 2 or at.shape[1] != 2 or not 0 < len(at) <= MOST_STROKE_POINTS:
        limit = f"must be 1 to {MOST_STROKE_POINTS} points"
        raise EditRefused(
            Fault("stroke", "none or too many points", limit, "draw it again, shorter")
        )
    if not np.isfinite(at).all():
        raise EditRefused(
            Fault("stroke", "a point that is no number", "must be mm", "draw it again")
        )
    keep = np.append(True, (np.diff(at, axis=0) != 0).any(axis=1))
    return at[keep]


def _calm(at: np.ndarray) -> np.ndarray:
    """Return a closed stroke without the waves of a shaking hand.

    Looked at every `STEP_MM` along it and low-passed (Butterworth's form, fourth order), so
    that longer waves keep their height: a moving mean would shrink the ring.
    """
    closed = np.vstack([at, at[:1]])
    along = np.append(0, np.cumsum(np.hypot(*np.diff(closed, axis=0).T)))
    length = along[-1]
    if len(at) < 3 or length < 4 * SHAKE_MM:
        return at
    count = int(min(length / STEP_MM, MOST_STROKE_POINTS))
    where = np.arange(count) * length / count
    even = np.column_stack([np.interp(where, along, closed[:, axis]) for axis in (0, 1)])
    waves = np.fft.fft(even[:, 0] + 1j * even[:, 1])
    each_mm = np.abs(np.fft.fftfreq(count, length / count))
    kept = np.fft.ifft(waves / (1 + (each_mm * SHAKE_MM) ** 8))
    return np.column_stack([kept.real, kept.imag])


def _enclosed(at: np.ndarray) -> BaseGeometry:
    """Return all that a closed stroke encloses, however often it crosses itself."""
    if len(at) < 3:
        return Polygon()
    faces = shapely.get_parts(shapely.polygonize([shapely.node(LineString([*at, at[0]]))]))
    return shapely.union_all(faces) if len(faces) else Polygon()
