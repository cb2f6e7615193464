"""Thin-sheet heat flow in closed form: uniform through the thickness, losing heat from both faces.

Distances in mm, times in s, energy in J, temperatures as rises in K.  Sources
act in an endless sheet: an open gap (kerf) beside a stitch is not seen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

CONDUCTIVITY_W_MMK = 0.040
"""Unalloyed steel between 20 and 800 degC. Source: EN 1993-1-2:2005 clause 3.4.1.3
(53 falling to 27 W/(m K); 40 is its middle)."""
HEAT_CAPACITY_J_MM3K = 7850e-9 * 600
"""Density x specific heat. Source: EN 1993-1-2:2005 clauses 3.2.2 and 3.4.1.2 (mean,
rounded to 600 J/(kg K))."""
FACE_LOSS_W_MM2K = 10e-6
"""Loss from one face to the air, W/(mm² K): natural convection 4-8 and radiation about 5
W/(m² K) near 100 degC. Derived (Incropera and DeWitt chapter 9; emissivity 0.7)."""


@dataclass(frozen=True, eq=False)
class WeldRun:
    """Heat put in along a path: (n, 2) points in mm from start to end, J, s, and its patch."""

    path: np.ndarray
    energy_j: float
    duration_s: float
    patch: int = 0


def instantaneous_line_source(
    energy_j,
    r_mm,
    time_s,
    *,
    thickness_mm,
    conductivity=CONDUCTIVITY_W_MMK,
    heat_capacity=HEAT_CAPACITY_J_MM3K,
    face_loss=FACE_LOSS_W_MM2K,
):
    """Rise round a tack: heat put in at once through the whole thickness, K.

    dT = Q/(4 pi k h t) exp(-r²/(4 a t)) exp(-b t),  b = 2 alpha/(rho c h)

    Parameters
    ----------
    energy_j : net heat, J, >= 0
    r_mm, time_s : mm >= 0 and s > 0; arrays broadcast
    thickness_mm : mm, > 0
    conductivity, heat_capacity, face_loss : W/(mm K), J/(mm³ K), W/(mm² K) a face

    Returns
    -------
    float or array, K

    Source
    ------
    Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed., section 10.3
    (value from memory), with exp(-b t) for the loss by substitution.
    """
    diffusivity = conductivity / heat_capacity
    loss = 2 * face_loss / (heat_capacity * thickness_mm)
    return (
        energy_j
        / (4 * math.pi * conductivity * thickness_mm * time_s)
        * np.exp(-(np.square(r_mm)) / (4 * diffusivity * time_s) - loss * time_s)
    )


def peak_rise_from_weld_line(
    heat_input_j_per_mm, y_mm, *, thickness_mm, heat_capacity=HEAT_CAPACITY_J_MM3K
):
    """Highest rise at a distance from the weld line of a fast pass, K.

    dTp = Q/(sqrt(2 pi e) rho c h y), no loss from the faces.

    Source: Rykalin; Grong, Metallurgical Modelling of Welding, chapter 1 (value from memory).
    """
    return heat_input_j_per_mm / (
        math.sqrt(2 * math.pi * math.e) * heat_capacity * thickness_mm * y_mm
    )


def distance_to_rise(
    heat_input_j_per_mm, rise_k, *, thickness_mm, heat_capacity=HEAT_CAPACITY_J_MM3K
):
    """Distance from the weld line at which the highest rise of a fast pass is `rise_k`, mm.

    The inverse of `peak_rise_from_weld_line`, with its source; close passes reach further.
    """
    return peak_rise_from_weld_line(
        heat_input_j_per_mm, rise_k, thickness_mm=thickness_mm, heat_capacity=heat_capacity
    )
