"""Welding arithmetic: arc energy, filler, arc time, gas.

Each function is one formula on plain numbers (or numpy arrays of one shape):
its name is the figure it gives, its parameters are the figures it needs, and
its single return expression is what `explain` shows.  NaN in, NaN out.
"""

from __future__ import annotations

from math import pi

import numpy as np

from ..base.steel import DENSITY_G_MM3
from .chain import formula

LESNEWICH_DIAMETER_MM = 1.2
"""Wire diameter the melting-rate constants in the tables are given for."""
WIRE_MM = (0.3, 6.4)
"""Diameters wires and rods are drawn to (our own limits)."""


@formula(valid={"wire_diameter_mm": WIRE_MM, "mass_share": (0.5, 1)})
def wire_g_per_m(wire_diameter_mm, mass_share=1.0):
    """Mass of a metre of wire, g/m: pi/4 d² x 7.85 g/cm³ x its share of solid wire's mass.

    A flux-cored wire is up to a fifth lighter than a solid one.
    """
    return pi / 4 * wire_diameter_mm**2 * DENSITY_G_MM3 * 1000 * mass_share


@formula(
    valid={
        "current_a": (0, 1000),
        "wire_diameter_mm": WIRE_MM,
        "electrode_extension_mm": (0, 100),
    },
    source="Lesnewich, Welding Journal 37 (1958) 343-s and 418-s; constants as in "
    "Norrish, Advanced Welding Processes, 2006 (values from memory).",
)
def wire_feed_m_min(current_a, wire_diameter_mm, electrode_extension_mm, melt_alpha, melt_beta):
    """Wire-feed speed a current melts, m/min: a I + b L I², scaled from 1.2 mm wire.

    Parameters
    ----------
    current_a : A
    wire_diameter_mm : mm; the constants scale with 1/d² and 1/d⁴ (derived)
    electrode_extension_mm : mm
    melt_alpha : mm/(A s), for 1.2 mm wire
    melt_beta : 1/(A² s), for 1.2 mm wire
    """
    return 0.06 * (
        melt_alpha * (LESNEWICH_DIAMETER_MM / wire_diameter_mm) ** 2 * current_a
        + melt_beta
        * (LESNEWICH_DIAMETER_MM / wire_diameter_mm) ** 4
        * electrode_extension_mm
        * current_a**2
    )


@formula()
def butt_section_mm2(gap_mm, thickness_mm, face_cap_mm, root_cap_mm):
    """Weld metal in a square butt joint, mm²: gap x thickness + caps on both faces.

    The caps are parabolas (2/3 of width x height) over the gap and one
    thickness of melted edge on each side.  The width is common practice, no source.
    """
    return gap_mm * thickness_mm + 2 / 3 * (gap_mm + 2 * thickness_mm) * (face_cap_mm + root_cap_mm)


@formula(
    valid={"fillet_allowance": (1, 2)},
    source="published filler tables for fillets, 1.09 to 1.21 times the bare triangle.",
)
def fillet_section_mm2(leg_mm, fillet_allowance):
    """Weld metal in a lap joint's fillet, mm²: leg²/2 with an allowance for convexity.

    On thin sheet the leg along the lower sheet is longer than the upper sheet is thick.
    """
    return leg_mm**2 / 2 * fillet_allowance


@formula()
def plug_volume_mm3(hole_diameter_mm, thickness_mm, face_cap_mm):
    """Weld metal in one plug, mm³: the hole through the patch plus a crown half as thick
    as a bead's cap."""
    return pi / 4 * hole_diameter_mm**2 * (thickness_mm + face_cap_mm / 2)


@formula(valid={"deposition_efficiency": (0.1, 1), "wire_g_per_m": (0.1, 1000)})
def plug_time_s(
    plug_volume_mm3, deposition_efficiency, wire_feed_m_min, wire_g_per_m, plug_start_s
):
    """Arc time of one plug, s: until the wire has filled the hole, and a start before.

    At the start the lower sheet is melted: wire-feed speed x time is not an
    independent route to a plug's wire, it adds the start alone.
    """
    return plug_start_s + (
        plug_volume_mm3
        * DENSITY_G_MM3
        / deposition_efficiency
        / (wire_feed_m_min * wire_g_per_m / 60)
    )


@formula()
def seam_deposit_g(section_mm2, welded_length_mm):
    """Weld metal in the seam, g: section x length x 7.85 g/cm³."""
    return section_mm2 * welded_length_mm * DENSITY_G_MM3


@formula()
def plug_deposit_g(plug_volume_mm3, plug_count):
    """Weld metal in all plugs, g."""
    return plug_volume_mm3 * plug_count * DENSITY_G_MM3


@formula()
def weld_metal_g(plug_deposit_g):
    """Weld metal in the joint, g: that of the plugs."""
    return 1 * plug_deposit_g


@formula(valid={"deposition_efficiency": (0.1, 1)})
def wire_g(deposit_g, deposition_efficiency):
    """Wire by the joint's volume, g: weld metal / deposition efficiency."""
    return deposit_g / deposition_efficiency


@formula(valid={"wire_g_per_m": (0.1, 1000)})
def wire_m(wire_g, wire_g_per_m):
    """Length of wire, m: mass / mass per metre."""
    return wire_g / wire_g_per_m


@formula()
def wire_by_feed_m(wire_feed_m_min, arc_time_s):
    """Length of wire by the second route, m: wire-feed speed x arc time."""
    return wire_feed_m_min * arc_time_s / 60


@formula()
def wire_by_feed_g(wire_by_feed_m, wire_g_per_m):
    """Mass of wire by the second route, g."""
    return wire_by_feed_m * wire_g_per_m


@formula()
def wire_bought_g(wire_g, wire_by_feed_g):
    """Wire to buy, g: the larger of the two routes."""
    return np.maximum(wire_g, wire_by_feed_g)


@formula()
def rod_bought_g(wire_g):
    """Filler rod to reckon with, g: what the joint's volume needs."""
    return 1 * wire_g
