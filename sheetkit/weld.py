"""Welding arithmetic: arc energy, filler, arc time, gas.

Each function is one formula on plain numbers (or numpy arrays of one shape):
its name is the figure it gives, its parameters are the figures it needs, and
its single return expression is what `explain` shows.  Ranges are kept by the
job; NaN in, NaN out.
"""

from __future__ import annotations

from math import pi

STEEL_G_PER_MM3 = 7.85e-3
LESNEWICH_DIAMETER_MM = 1.2
"""Wire diameter the melting-rate constants in the tables are given for."""
REFERENCE_BAR = 1.01325
"""Free gas is counted at 15 degC and 1.01325 bar."""


def arc_energy_kj_per_mm(voltage_v, current_a, travel_mm_min):
    """Arc energy per length of seam, kJ/mm: U I / v.

    Parameters
    ----------
    voltage_v, current_a : V, A
    travel_mm_min : travel speed, mm/min, > 0

    Source
    ------
    ISO/TR 18491:2015, the way for welding without waveform control.
    """
    return voltage_v * current_a * 60 / (1000 * travel_mm_min)


def arc_energy_from_power_kj_per_mm(power_w, travel_mm_min):
    """Arc energy from the instantaneous power a machine shows, kJ/mm: IP / v.

    Source: ISO/TR 18491:2015, by instantaneous power (value from memory).
    """
    return power_w * 60 / (1000 * travel_mm_min)


def heat_input_kj_per_mm(thermal_efficiency, arc_energy_kj_per_mm):
    """Heat input: the part of the arc energy that goes into the sheet, kJ/mm: k U I / v.

    Source: EN 1011-1:2009 and ISO/TR 17671-1:2002, Table 1 for k (clause
    from memory).  United States codes call the gross arc energy "heat input".
    """
    return thermal_efficiency * arc_energy_kj_per_mm


def wire_g_per_m(wire_diameter_mm):
    """Mass of a metre of solid steel wire, g/m: pi/4 d² x 7.85 g/cm³.

    A flux-cored wire is up to a fifth lighter.
    """
    return pi / 4 * wire_diameter_mm**2 * STEEL_G_PER_MM3 * 1000


def wire_feed_m_min(current_a, wire_diameter_mm, electrode_extension_mm, melt_alpha, melt_beta):
    """Wire-feed speed a current melts, m/min: a I + b L I², scaled from 1.2 mm wire.

    Parameters
    ----------
    current_a : A
    wire_diameter_mm : mm; the constants scale with 1/d² and 1/d⁴ (derived)
    electrode_extension_mm : mm
    melt_alpha : mm/(A s), for 1.2 mm wire
    melt_beta : 1/(A² s), for 1.2 mm wire

    Source
    ------
    Lesnewich, Welding Journal 37 (1958) 343-s and 418-s; constants as in
    Norrish, Advanced Welding Processes, 2006 (values from memory).
    """
    return 0.06 * (
        melt_alpha * (LESNEWICH_DIAMETER_MM / wire_diameter_mm) ** 2 * current_a
        + melt_beta
        * (LESNEWICH_DIAMETER_MM / wire_diameter_mm) ** 4
        * electrode_extension_mm
        * current_a**2
    )


def butt_section_mm2(gap_mm, thickness_mm, face_cap_mm, root_cap_mm):
    """Weld metal in a square butt joint, mm²: gap x thickness + caps on both faces.

    The caps are parabolas (2/3 of width x height) over the gap and one
    thickness of melted edge on each side.  The width is common practice, no source.
    """
    return gap_mm * thickness_mm + 2 / 3 * (gap_mm + 2 * thickness_mm) * (face_cap_mm + root_cap_mm)


def fillet_section_mm2(leg_mm, fillet_allowance):
    """Weld metal in a lap joint's fillet, mm²: leg²/2 with an allowance for convexity.

    The leg is the sheet's thickness.  Source of the allowance: published
    filler tables for fillets, 1.09 to 1.21 times the bare triangle.
    """
    return leg_mm**2 / 2 * fillet_allowance


def plug_volume_mm3(hole_diameter_mm, thickness_mm, face_cap_mm):
    """Weld metal in one plug, mm³: the hole through the patch plus a crown half as thick
    as a bead's cap."""
    return pi / 4 * hole_diameter_mm**2 * (thickness_mm + face_cap_mm / 2)


def plug_effective_diameter_mm(visible_diameter_mm, thickness_mm):
    """Diameter of an arc plug at the faying surface, mm: 0.7 d - 1.5 t.

    Source: AWS D1.3:2008 clause 2.2.6 (as quoted by engineers), a building
    code; not a rule of body repair.
    """
    return 0.7 * visible_diameter_mm - 1.5 * thickness_mm


def seam_deposit_g(section_mm2, welded_length_mm):
    """Weld metal in the seam, g: section x length x 7.85 g/cm³."""
    return section_mm2 * welded_length_mm * STEEL_G_PER_MM3


def plug_deposit_g(plug_volume_mm3, plug_count):
    """Weld metal in all plugs, g."""
    return plug_volume_mm3 * plug_count * STEEL_G_PER_MM3


def weld_metal_g(plug_deposit_g):
    """Weld metal in the joint, g: that of the plugs."""
    return 1 * plug_deposit_g


def wire_g(deposit_g, deposition_efficiency):
    """Wire by the joint's volume, g: weld metal / deposition efficiency."""
    return deposit_g / deposition_efficiency


def wire_m(wire_g, wire_g_per_m):
    """Length of wire, m: mass / mass per metre."""
    return wire_g / wire_g_per_m


def stitch_time_s(welded_length_mm, travel_mm_min):
    """Arc time of the stitches, s: length / travel speed."""
    return welded_length_mm / travel_mm_min * 60


def dots_time_s(dot_count, dot_time_s):
    """Arc time of the dots, s: number x time of one."""
    return dot_count * dot_time_s


def plugs_time_s(plug_count, plug_time_s):
    """Arc time of all plugs, s: number x time of one."""
    return plug_count * plug_time_s


def rod_plug_time_s(plug_count, hole_diameter_mm, travel_mm_min):
    """Arc time of plugs welded with a rod, s: once round each hole at travel speed.

    Common practice, no source.
    """
    return plug_count * pi * hole_diameter_mm / travel_mm_min * 60


def arc_time_s(fill_time_s, tack_count, tack_time_s):
    """Arc time of tacks and fill together, s."""
    return fill_time_s + tack_count * tack_time_s


def wire_by_feed_m(wire_feed_m_min, arc_time_s):
    """Length of wire by the second route, m: wire-feed speed x arc time."""
    return wire_feed_m_min * arc_time_s / 60


def wire_by_feed_g(wire_by_feed_m, wire_g_per_m):
    """Mass of wire by the second route, g."""
    return wire_by_feed_m * wire_g_per_m


def gas_arc_l(flow_l_min, arc_time_s):
    """Gas while the arc burns, litres: flow x arc time."""
    return flow_l_min * arc_time_s / 60


def gas_real_l(gas_arc_l, starts, flow_l_min, pre_flow_s, post_flow_s, start_surge_l):
    """Gas the job really takes, litres: the arc's, and each start's pre-flow, post-flow and surge.

    The surge is what the hose stores at regulator pressure between starts:
    hose volume x gauge pressure / atmospheric pressure at most.
    """
    return gas_arc_l + starts * ((pre_flow_s + post_flow_s) / 60 * flow_l_min + start_surge_l)


def hose_surge_l(bore_mm, length_m, pressure_bar):
    """Gas a hose stores above atmospheric pressure, litres: volume x p / 1.01325 bar."""
    return pi / 4 * bore_mm**2 * length_m / 1000 * pressure_bar / REFERENCE_BAR


def cylinder_content_l(water_volume_l, pressure_bar, compressibility):
    """Free gas in a cylinder at 15 degC and 1.01325 bar, litres: V p / (Z p0).

    Parameters
    ----------
    water_volume_l : l
    pressure_bar : gauge pressure, bar
    compressibility : Z of the gas at that pressure and 15 degC, 1
    """
    return water_volume_l * (pressure_bar + REFERENCE_BAR) / (compressibility * REFERENCE_BAR)


def cylinder_left_l(cylinder_content_l, gas_real_l):
    """Gas left in the cylinder after the job, litres; below zero is what is missing."""
    return cylinder_content_l - gas_real_l


def duty_cycle_current_a(current_a, duty_cycle, wanted_duty_cycle):
    """Current a machine bears at another duty cycle, A: I² D is constant.

    Duty cycles are shares of ten minutes.  Source: AWS glossary (ten
    minutes); the I² D law as in power-source makers' manuals.
    """
    return current_a * (duty_cycle / wanted_duty_cycle) ** 0.5
