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
from .shape_kinds import KINDS, EditRefused, kind_named

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
) -> dict:
    """Return the edit that a stroke makes of a drawing.

    Parameters
    ----------
    id : str
        The shape that a brush or eraser changes; a new id for a new ring.
    kind : str
        What a new ring stands for; one of the rings.
    points : sequence of (x, y), mm
        As the hand drew them.
    width : float, optional
        The brush's, 2 to 200 mm; without it the stroke is the outline itself.
    erase : bool
        Take away what the brush covers.

    Raises
    ------
    EditRefused
        Too few or too many points, nothing enclosed, nothing to erase, a brush out of range.
    """
    if kind_named(kind).form != "ring":
        raise EditRefused(
            Fault("kind", KINDS[kind].label, "must be a ring", "choose rust, or draw by points")
        )
    at = _points(points)
    there = next((shape for shape in drawing.shapes if shape.id == id), None)
    old = _area(there.points) if there and there.form == "ring" else Polygon()
    if width is None:
        shape: BaseGeometry = _enclosed(_calm(at))
        there = None if there is None or not there.done else there
    else:
        if (
            isinstance(width, bool)
            or not isinstance(width, int | float)
            or not BRUSH_MM[0] <= width <= BRUSH_MM[1]
        ):
            raise EditRefused(
                Fault("brush", shown(width), f"must be {BRUSH_MM[0]:g} to {BRUSH_MM[1]:g} mm", "choose another width")
            )  # fmt: skip
        covered = (LineString(at) if len(at) > 1 else shapely.Point(at[0])).buffer(width / 2)
        if erase and not old.intersects(covered):
            raise EditRefused(
                Fault("eraser", "a stroke beside it", "must run over the chosen ring", "choose the ring first")
            )  # fmt: skip
        shape = old.difference(covered) if erase else old.union(covered)
    ring = ring_of(shape)
    if there:
        return {"op": "reshape", "id": id, "points": ring}
    return {"op": "add", "id": id, "kind": kind, "points": ring, "done": True}


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
