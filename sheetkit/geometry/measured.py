"""A cross-section as it was measured, corner by corner -> flats and bends of the unrolled sheet.

Lengths in mm, angles in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal

import numpy as np

from ..base.errors import Fault, OutOfRange
from .fold import bend_allowance, neutral_factor, setback
from .section import Section, SectionBend

Measured = Literal["outside", "face", "back", "inside", "tape"]
"""What the length of a leg reaches to at a bend; the turns are the same in all of them.

outside : the outermost of the bend, as a square, a caliper or a tape hooked over the flange reads
    it; up to 90 degrees that is the corner of the outer faces
face, back : the corner where that face's two planes meet, as a contour gauge pressed on it draws it
inside : the corner where the planes inside the bend meet
tape : the middle of the bend, by a tape laid round along the face
"""
LEAST_TURN_DEG, MOST_TURN_DEG = 1.0, 170.0
"""Least and most that a corner turns: less is a flat, more a hem."""
LEAST_RADIUS = 0.2
"""Least inside radius of a bend, in thicknesses, the shortening holds for."""
LONGEST_LEG_MM = 20_000.0
"""No leg of a vehicle's section is longer (guess)."""
_SLIP_MM = 1e-6
"""A flat shorter than nothing by less than this is rounding."""


def section(
    points: Sequence[tuple[float, float]],
    radii: Sequence[float],
    thickness: float,
    *,
    measured: Measured = "outside",
    face: Literal["left", "right"] = "left",
    k_factor: float | None = None,
    way_deg: float = 0.0,
    start: float = 0.0,
) -> Section:
    """Return the unrolled section of a polyline with sharp corners.

    Each leg keeps its length less the set-backs of its bends; each bend takes pi/180 A (r + K s).
    No turn is too small to count: DIN 6935 rounds those under 15 degrees to nothing, which a
    rolled part of many small turns could not bear.

    Parameters
    ----------
    points : corners and ends of the section, mm
    radii : inside radius of every bend, or one for all, mm, from 0.2 thicknesses
    thickness : mm
    measured : what the lengths of the legs reach to, see `Measured`
    face : on which side of the polyline, followed along its run, the sheet's face lies
    k_factor : K from a test strip of this sheet; None: DIN 6935's
    way_deg : which way of the drawing the section runs, from +x toward +y
    start : where the first point lies along that way on the drawing, mm

    Raises
    ------
    OutOfRange
        With every fault, its field "points[n]" or "radii".

    Source
    ------
    DIN 6935:2011 (value from memory), as `fold.bend_shortening`.
    """
    way = np.diff(np.asarray(points, float).reshape(-1, 2), axis=0)
    lengths = np.hypot(*way.T)
    if faults := list(_polyline_faults(lengths, radii, thickness)):
        raise OutOfRange(faults)
    turns = [_turn(a, b) for a, b in zip(way, way[1:], strict=False)]
    if faults := list(_turn_faults(turns)):
        raise OutOfRange(faults)
    each = list(radii) if len(radii) == len(turns) else [radii[0]] * len(turns)
    left = face == "left"
    toward: list[Literal["face", "back"]] = [
        "face" if (turn > 0) == left else "back" for turn in turns
    ]
    sets = [
        _set_back(measured, abs(turn), radius, thickness, to == "face")
        for turn, radius, to in zip(turns, each, toward, strict=True)
    ]
    before, after = np.array([0.0, *sets]), np.array([*sets, 0.0])
    flats = lengths - before - after
    if faults := list(_flange_faults(lengths, flats)):
        raise OutOfRange(faults)
    spans, bends, at = [], [], start
    for number, flat in enumerate(np.maximum(flats, 0.0).tolist()):
        spans.append((at, at + flat))
        at += flat
        if number < len(turns):
            angle, radius = abs(turns[number]), each[number]
            k = neutral_factor(radius, thickness) if k_factor is None else k_factor
            end = at + bend_allowance(angle, radius, thickness, k)
            bends.append(SectionBend(number + 1, angle, radius, toward[number], at, end))
            at = end
    return Section(thickness, tuple(spans), tuple(bends), way_deg)


def _turn(before: np.ndarray, after: np.ndarray) -> float:
    """Return how far one leg turns from the one before, degrees, to the left positive."""
    cross = before[0] * after[1] - before[1] * after[0]
    return math.degrees(math.atan2(cross, float(before @ after)))


def _set_back(
    measured: Measured, angle_deg: float, radius: float, thickness: float, to_face: bool
) -> float:
    """Return what of a leg's measured length lies in the bend at one of its ends, mm."""
    if measured == "outside":
        return setback(angle_deg, radius, thickness)
    outer = measured != "inside" and (measured == "back") == to_face
    on = radius + (thickness if outer else 0.0)
    half = math.radians(angle_deg) / 2
    return on * (half if measured == "tape" else math.tan(half))


def _polyline_faults(
    lengths: np.ndarray, radii: Sequence[float], thickness: float
) -> Iterator[Fault]:
    if len(lengths) < 2:
        yield Fault(
            "points",
            f"{len(lengths) + 1} points",
            "must have at least 3: two ends and a corner",
            "leave the profile out where the panel is flat",
        )
    for n in np.flatnonzero(lengths < _SLIP_MM):
        yield Fault(
            f"points[{n + 1}]",
            "the point before it once more",
            "every point must be a corner or an end",
            "delete it",
        )
    for n in np.flatnonzero(~(lengths <= LONGEST_LEG_MM)):
        yield Fault(
            f"points[{n + 1}]",
            f"a leg of {lengths[n]:.4g} mm",
            f"must be at most {LONGEST_LEG_MM:g} mm",
            "look at its numbers and their unit again",
        )
    corners = max(len(lengths) - 1, 0)
    if corners and len(radii) not in (1, corners):
        yield Fault(
            "radii",
            f"{len(radii)} radii",
            f"must be one for all bends, or {corners}: one a corner",
            "give the inside radius of each bend, in the order of the points",
        )
    for number, radius in enumerate(radii):
        if radius < LEAST_RADIUS * thickness:
            yield Fault(
                f"radii[{number}]",
                f"{radius:g} mm",
                f"must be at least {LEAST_RADIUS * thickness:g} mm in {thickness:g} mm sheet",
                "measure the inside of the bend again, or bend it over a wider edge",
            )


def _turn_faults(turns: Sequence[float]) -> Iterator[Fault]:
    for n, turn in enumerate(turns, 1):
        if not LEAST_TURN_DEG - 1e-6 <= abs(turn) <= MOST_TURN_DEG + 1e-6:
            yield Fault(
                f"points[{n}]",
                f"a corner that turns {abs(turn):.3g} degrees",
                f"must turn {LEAST_TURN_DEG:g} to {MOST_TURN_DEG:g} degrees from flat",
                "leave the point out"
                if abs(turn) < LEAST_TURN_DEG
                else "draw a hem or half a tube as two bends of half the angle",
            )


def _flange_faults(lengths: np.ndarray, flats: np.ndarray) -> Iterator[Fault]:
    for n in np.flatnonzero(flats < -_SLIP_MM):
        yield Fault(
            f"points[{n + 1}]",
            f"flange {n + 1} of {lengths[n]:.4g} mm",
            f"must be at least {lengths[n] - flats[n]:.4g} mm: its bends take that much",
            "measure the flange again, or give the bends smaller radii",
        )
