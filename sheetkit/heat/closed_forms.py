"""Heat in thin sheet by closed forms.

Closed forms give temperatures in an endless sheet without a kerf: for checks,
previews and widths.  Waits and orders need `SheetModel`, because between
patch and panel the open kerf, not the distance, decides.
"""

from __future__ import annotations

from math import e, pi

import numpy as np

from ..base.errors import check
from ..base.steel import HEAT_CAPACITY_J_MM3K
from .air import INSULATED
from .cooling import MELTING_C
from .steel import MILD_STEEL

HAZ_PEAK_C = 730.0
"""Peak temperature that bounds the heat-affected zone of unalloyed steel (value from memory)."""
BURN_THROUGH_J_MM2 = 150.0
"""Heat input per thickness at the hot end of a power-source maker's table for gapless butt
welds in 1.0-2.3 mm sheet (it spans 60 to 150).  No standard gives a limit for burn-through."""


def instantaneous_line_source(
    energy_j, radius_mm, time_s, *, thickness_mm, steel=MILD_STEEL, losses=INSULATED
):
    """Temperature rise around a tack or plug made at once, K.

    Q / (4 pi k t_sheet time) exp(-r² / 4 a time) exp(-b time), b = (h_top + h_bottom) / (rho c t)

    Parameters
    ----------
    energy_j : net heat, J, 0 or more
    radius_mm : distance from the centre, mm
    time_s : s after the weld, above 0
    thickness_mm : mm, above 0
    steel, losses : Steel; Losses of the faces

    Source
    ------
    Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed., section 10.3,
    with the loss by substitution (value from memory).
    """
    capacity = steel.heat_capacity_j_mm3k
    spread = 4 * (steel.conductivity_w_mk / 1000) / capacity * np.asarray(time_s, float)
    loss = losses.faces * 1e-6 / (capacity * thickness_mm)
    return (
        energy_j
        / (pi * capacity * thickness_mm * spread)
        * np.exp(-(np.asarray(radius_mm, float) ** 2) / spread - loss * np.asarray(time_s, float))
    )[()]


def moving_line_source(
    power_w,
    travel_mm_s,
    ahead_mm,
    aside_mm,
    *,
    thickness_mm,
    steel=MILD_STEEL,
    losses=INSULATED,
):
    """Steady temperature rise around a moving arc in a thin plate, K.

    q / (2 pi k t) exp(-v x / 2a) K0(r sqrt((v / 2a)² + (h_top + h_bottom) / (k t)))

    Parameters
    ----------
    power_w : net power, W
    travel_mm_s : travel speed, mm/s, above 0
    ahead_mm, aside_mm : place seen from the arc, mm (behind it: negative)
    thickness_mm : mm, above 0
    steel, losses : Steel; Losses of the faces

    Source
    ------
    Rosenthal, Trans. ASME 68 (1946) 849; Carslaw and Jaeger, 2nd ed., section
    10.7; with surface loss as in the thin-plate literature (values from memory).
    """
    from scipy.special import k0e

    k = steel.conductivity_w_mk / 1000
    half = travel_mm_s * steel.heat_capacity_j_mm3k / (2 * k)
    radius = np.hypot(ahead_mm, aside_mm)
    root = radius * np.sqrt(half**2 + losses.faces * 1e-6 / (k * thickness_mm))
    scale = power_w / (2 * pi * k * thickness_mm)
    return (scale * np.exp(-half * np.asarray(ahead_mm, float) - root) * k0e(root))[()]


def peak_temperature_from_weld_line(
    heat_input_j_mm,
    distance_mm,
    *,
    thickness_mm,
    start_c=20.0,
    heat_capacity_j_mm3k=HEAT_CAPACITY_J_MM3K,
):
    """Peak temperature at a distance from the weld line, deg C, without surface loss.

    T0 + (Q / L) / (sqrt(2 pi e) rho c t y), reached at `time_of_peak_from_weld_line`

    Parameters
    ----------
    heat_input_j_mm : net heat input, J/mm
    distance_mm : y from the weld LINE, mm, above 0 (Adams' form counts from the
        fusion boundary)

    Source
    ------
    Rykalin; Grong, Metallurgical Modelling of Welding, ch. 1 (value from memory).
    """
    mass = heat_capacity_j_mm3k * thickness_mm * np.asarray(distance_mm, float)
    return (start_c + heat_input_j_mm / ((2 * pi * e) ** 0.5 * mass))[()]


def time_of_peak_from_weld_line(distance_mm, *, steel=MILD_STEEL):
    """Time after the arc passed at which the peak is reached, s: y² / 2a.  Source as above."""
    return (np.asarray(distance_mm, float) ** 2 / (2 * steel.diffusivity_mm2_s))[()]


def peak_temperature_from_fusion_boundary(
    heat_input_j_mm,
    distance_mm,
    *,
    thickness_mm,
    start_c=20.0,
    melting_c=MELTING_C,
    heat_capacity_j_mm3k=4.4e-3,
):
    """Peak temperature at a distance from the fusion boundary, deg C.

    1 / (Tp - T0) = sqrt(2 pi e) rho c t Y / (Q / L) + 1 / (Tm - T0)

    Parameters
    ----------
    heat_input_j_mm : net heat input, J/mm
    distance_mm : Y from the FUSION BOUNDARY, mm, 0 or more

    Source
    ------
    Adams, Welding Journal 37 (1958) 210-s; AWS Welding Handbook vol. 1, 8th
    ed. 1987, ch. 3, with its 0.0044 J/(mm³ K) (value from memory).
    """
    mass = heat_capacity_j_mm3k * thickness_mm * np.asarray(distance_mm, float)
    return (
        start_c + 1 / ((2 * pi * e) ** 0.5 * mass / heat_input_j_mm + 1 / (melting_c - start_c))
    )[()]


def haz_width(
    heat_input_j_mm,
    *,
    thickness_mm,
    start_c=20.0,
    peak_c=HAZ_PEAK_C,
    melting_c=MELTING_C,
    heat_capacity_j_mm3k=4.4e-3,
):
    """Width from the fusion boundary to where the peak was `peak_c`, mm (Adams solved for Y).

    730 degC bounds the heat-affected zone, 430 degC the zone in which a
    hardened sheet is tempered.  Source as `peak_temperature_from_fusion_boundary`.
    """
    return (
        (1 / (np.asarray(peak_c, float) - start_c) - 1 / (melting_c - start_c))
        * heat_input_j_mm
        / ((2 * pi * e) ** 0.5 * heat_capacity_j_mm3k * thickness_mm)
    )[()]


def distance_to_temperature(
    temperature_c,
    heat_input_j_mm,
    *,
    thickness_mm,
    start_c=20.0,
    heat_capacity_j_mm3k=HEAT_CAPACITY_J_MM3K,
):
    """Distance from the weld line within which paint or sealer passes a temperature, mm.

    y = (Q / L) / (sqrt(2 pi e) rho c t (T - T0)): both faces of a thin sheet alike

    Parameters
    ----------
    temperature_c : what the coating bears, deg C, above start_c
    heat_input_j_mm : net heat input, J/mm

    Validity: one continuous run in an unbroken sheet without loss, so on the
    safe side far away; heat of earlier runs comes on top through start_c.
    Source as `peak_temperature_from_weld_line`.
    """
    rise = np.asarray(temperature_c, float) - start_c
    check("temperature_c above start_c", rise, 1e-6, 1e4, "K")
    return (heat_input_j_mm / ((2 * pi * e) ** 0.5 * heat_capacity_j_mm3k * thickness_mm * rise))[
        ()
    ]


def distance_to_temperature_of_spot(
    temperature_c,
    energy_j,
    *,
    thickness_mm,
    start_c=20.0,
    heat_capacity_j_mm3k=HEAT_CAPACITY_J_MM3K,
):
    """The same for one tack, plug or short stitch: r = sqrt(Q / (pi e rho c t (T - T0))), mm.

    Source: peak of `instantaneous_line_source` without loss.
    """
    rise = np.asarray(temperature_c, float) - start_c
    check("temperature_c above start_c", rise, 1e-6, 1e4, "K")
    return np.sqrt(energy_j / (pi * e * heat_capacity_j_mm3k * thickness_mm * rise))[()]


def burn_through_ratio(heat_input_j_mm, thickness_mm, *, threshold_j_mm2=BURN_THROUGH_J_MM2):
    """Heat input against thickness as a share of what sheet is known to bear, 1: Q / (t x 150).

    Parameters
    ----------
    heat_input_j_mm : net heat input, J/mm
    thickness_mm : mm, 0.3 to 6
    threshold_j_mm2 : J/mm of seam and mm of thickness

    Returns
    -------
    float or array: above 1 a hole is likely even without a gap; from about 0.7
    take care where the gap is open.

    Source
    ------
    The threshold is the hot end of a power-source maker's table of settings,
    not a limit from a standard: common practice, no source.
    """
    check("thickness_mm", thickness_mm, 0.3, 6, "mm")
    return (np.asarray(heat_input_j_mm, float) / (thickness_mm * threshold_j_mm2))[()]
