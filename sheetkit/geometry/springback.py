"""How far a bend is turned so that it springs back to its angle.  Lengths in mm, angles in degrees."""

from __future__ import annotations

from dataclasses import dataclass

import scipy  # its rooms open when they are used

from ..base.errors import check

E_N_MM2 = 210_000.0
"""Young's modulus of steel (EN 1993-1-1, 3.2.6; value from memory)."""


@dataclass(frozen=True)
class Turned:
    """The angle a bend is turned to, and the inside radius it is turned round."""

    angle_deg: float
    radius_mm: float


def turned_to(
    angle_deg: float, radius_mm: float, thickness_mm: float, yield_n_mm2: float
) -> Turned:
    """Return what a bend is turned to so that angle and inside radius are left when it springs back.

    Ri/Rf = 4 x^3 - 3 x + 1, x = Ri Y/(E t), R of the middle, before and after; the middle's arc
    keeps its length, so the angle goes as Rf/Ri.

    Parameters
    ----------
    angle_deg : left from flat, 1 to 170
    radius_mm : inside, left; up to half of the radius to which the sheet springs wholly back
    thickness_mm : mm
    yield_n_mm2 : the sheet's yield strength, 100 to 600 N/mm2

    Raises
    ------
    OutOfRange
        So wide a bend is no bend: the sheet would spring back flat.

    Source
    ------
    Kalpakjian and Schmid, Manufacturing Engineering and Technology, "Springback" (value from
    memory).
    """
    check("yield", yield_n_mm2, 100, 600, "N/mm2")
    left = radius_mm + thickness_mm / 2
    per_mm = yield_n_mm2 / (E_N_MM2 * thickness_mm)
    check("bend radius", left * per_mm, 0, 1.0, "of the sheet's elastic radius")

    def over(before: float) -> float:
        x = before * per_mm
        return before - left * (4 * x**3 - 3 * x + 1)

    before = scipy.optimize.brentq(over, 0.0, left)
    return Turned(angle_deg * left / before, before - thickness_mm / 2)
