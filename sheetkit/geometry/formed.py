"""Joggled laps, swages and crowns: closed forms of what they take up and what they stretch.

Lengths in mm, angles in degrees turned from flat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import scipy  # its rooms open when they are used

from ..base.errors import check, refuse
from .fold import bent_length


@dataclass(frozen=True)
class Step:
    """A joggle: two equal bends against each other that set a rim back by a sheet's thickness.

    angle_deg : each bend's; developed_mm : length of sheet in it; taken_mm : how much more that is
    than the run it takes seen from above
    """

    angle_deg: float
    developed_mm: float
    taken_mm: float


def joggle(offset_mm: float, run_mm: float, radius_mm: float, thickness_mm: float) -> Step:
    """Return the bends of a joggle.

    2 p (1 - cos a) + f sin a = d and 2 p sin a + f cos a = X, p = r + t/2: offset d over a run X,
    f the straight between the bends.  Developed: 2 b + f, b each bend's allowance.

    Parameters
    ----------
    offset_mm : how far the rim is set back, mm, more than 0
    run_mm : over which length, seen from above, mm
    radius_mm : inside radius of both bends, mm
    thickness_mm : of the sheet that is joggled, mm

    Raises
    ------
    OutOfRange
        The run is too short for the two bends.
    """
    check("joggle offset", offset_mm, 0.1, 20, "mm")
    middle = 2 * (radius_mm + thickness_mm / 2)

    def straight(turn: float) -> float:
        return (run_mm - middle * math.sin(turn)) / math.cos(turn)

    def over(turn: float) -> float:
        return middle * (1 - math.cos(turn)) + straight(turn) * math.sin(turn) - offset_mm

    # as steep as the bends touch: no straight is left between them
    steepest = min(math.asin(min(1.0, run_mm / middle)), math.radians(80))
    if over(steepest) < 0:
        least = math.sqrt(max(offset_mm * (2 * middle - offset_mm), 0.0))
        refuse(
            "joggle run",
            f"{run_mm:g} mm",
            f"must be at least {least:.3g} mm for an offset of {offset_mm:g} mm and this radius",
            "give it a longer run or a smaller radius",
        )
    turn = scipy.optimize.brentq(over, 0.0, steepest, xtol=1e-12)
    angle = math.degrees(turn)
    developed = 2 * bent_length(angle, radius_mm, thickness_mm) + straight(turn)
    return Step(angle, developed, developed - run_mm)


def swage_taken(width_mm: float, depth_mm: float) -> float:
    """Return how much more sheet than its width a round swage takes up across, mm.

    The arc over a chord b with rise h: R = (b^2/4 + h^2)/(2 h), length 2 R asin(b / 2R), less b;
    deeper than half its width: 2 R (pi - asin(b / 2R)).
    """
    check("swage width", width_mm, 1, 1000, "mm")
    check("swage depth", depth_mm, 0.1, width_mm, "mm")
    radius = crown_radius(width_mm, depth_mm)
    half = math.asin(min(1.0, width_mm / (2 * radius)))
    turn = half if depth_mm <= width_mm / 2 else math.pi - half
    return 2 * radius * turn - width_mm


def crown_radius(over_mm: float, rise_mm: float) -> float:
    """Return the radius of a surface that rises by h under a straight edge of length b, mm.

    R = (b^2/4 + h^2)/(2 h)
    """
    return (over_mm**2 / 4 + rise_mm**2) / (2 * rise_mm)


def dished_strain(half_mm: float, radius_mm: float, other_mm: float) -> float:
    """Return how much the rim of a flat disc must stretch or shrink to lie on a doubly curved panel.

    a^2 / (8 R1 R2), a the disc's radius: hoop strain at the rim of a thin elastic disc without
    edge load, sigma_theta = E (a^2 - 3 r^2)/(16 R1 R2).  Source: Foppl and von Karman's equations
    of the shallow shell; derived.
    """
    return half_mm**2 / (8 * radius_mm * other_mm)


def bowed_strain(depth_mm: float, radius_mm: float) -> float:
    """Return how much a folded section of a depth stretches when it is bowed along its bends.

    d / (2 R): bending about its middle, R of the bow.  Source: beam bending; derived.
    """
    return depth_mm / (2 * radius_mm)
