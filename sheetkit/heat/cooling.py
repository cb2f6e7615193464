"""How fast a weld in thin sheet cools: the closed forms of EN 1011-2 and the AWS handbook."""

from __future__ import annotations

from math import pi

import numpy as np

from ..base.errors import check

MELTING_C = 1510.0
"""Liquidus of steel in the AWS Welding Handbook's examples (value from memory)."""
LATENT_J_MM3 = 2.0


def cooling_time_8_5(
    heat_input_kj_mm, thickness_mm, *, start_c=20.0, weld_factor_2d=1.0, weld_factor_3d=1.0
):
    """Cooling time from 800 to 500 deg C, s: the longer of two- and three-dimensional heat flow.

    2D: (4300 - 4.3 T0) 1e5 (Q/d)² [(1/(500 - T0))² - (1/(800 - T0))²] F2
    3D: (6700 - 5 T0) Q [1/(500 - T0) - 1/(800 - T0)] F3

    Parameters
    ----------
    heat_input_kj_mm : net heat input, kJ/mm
    thickness_mm : mm
    start_c : preheat or interpass temperature, deg C, below 500
    weld_factor_2d, weld_factor_3d : 0.45 to 1, shape factors of Table D.1

    Source
    ------
    EN 1011-2:2001 clause D.6, as SEW 088 (clause from memory).
    """
    check("start_c", start_c, -40, 450, "degC")
    q, t0 = np.asarray(heat_input_kj_mm, float), np.asarray(start_c, float)
    at_500, at_800 = 1 / (500 - t0), 1 / (800 - t0)
    flat = (4300 - 4.3 * t0) * 1e5 * (q / thickness_mm) ** 2 * (at_500**2 - at_800**2)
    deep = (6700 - 5 * t0) * q * (at_500 - at_800)
    return np.maximum(flat * weld_factor_2d, deep * weld_factor_3d)[()]


def transition_thickness(heat_input_kj_mm, *, start_c=20.0):
    """Thickness below which heat flow is two-dimensional, mm.  Source as `cooling_time_8_5`."""
    t0 = np.asarray(start_c, float)
    ratio = (4300 - 4.3 * t0) * 1e5 / (6700 - 5 * t0) * heat_input_kj_mm
    return np.sqrt(ratio * (1 / (500 - t0) + 1 / (800 - t0)))[()]


def cooling_rate_thin(
    heat_input_j_mm,
    *,
    thickness_mm,
    at_c,
    start_c=20.0,
    conductivity_w_mk=28.0,
    heat_capacity_j_mm3k=4.4e-3,
):
    """Cooling rate on the weld line of a thin plate, K/s: 2 pi k rho c (t / (Q/L))² (T - T0)³.

    Validity: `relative_thickness` below 0.6 (above 0.9 the plate is thick).
    Source: AWS Welding Handbook vol. 1, 8th ed. 1987, ch. 3 (value from memory).
    """
    rise = np.asarray(at_c, float) - start_c
    k = conductivity_w_mk / 1000
    return (2 * pi * k * heat_capacity_j_mm3k * (thickness_mm / heat_input_j_mm) ** 2 * rise**3)[()]


def relative_thickness(
    heat_input_j_mm, *, thickness_mm, at_c, start_c=20.0, heat_capacity_j_mm3k=4.4e-3
):
    """Thickness against heat input, 1: t sqrt(rho c (T - T0) / (Q/L)).  Source as above."""
    rise = np.asarray(at_c, float) - start_c
    return (thickness_mm * np.sqrt(heat_capacity_j_mm3k * rise / heat_input_j_mm))[()]


def solidification_time(
    heat_input_j_mm,
    *,
    start_c=20.0,
    melting_c=MELTING_C,
    conductivity_w_mk=28.0,
    heat_capacity_j_mm3k=4.4e-3,
):
    """Time the weld metal takes to set, s: L Q / (2 pi k rho c (Tm - T0)²).  Source as above."""
    k = conductivity_w_mk / 1000
    rise = melting_c - np.asarray(start_c, float)
    return (LATENT_J_MM3 * heat_input_j_mm / (2 * pi * k * heat_capacity_j_mm3k * rise**2))[()]
