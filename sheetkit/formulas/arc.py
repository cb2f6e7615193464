"""Arc energy, heat input, and how long the arc burns."""

from __future__ import annotations

from math import pi

from .chain import formula

TRAVEL_MM_MIN = (1.0, 20_000.0)
"""Travel speeds an arc is led at: from a standing rod to the quickest machine (our own limits)."""


@formula(
    valid={"voltage_v": (0, 100), "current_a": (0, 1000), "travel_mm_min": TRAVEL_MM_MIN},
    source="ISO/TR 18491:2015, the way for welding without waveform control.",
)
def arc_energy_kj_per_mm(voltage_v, current_a, travel_mm_min):
    """Arc energy per length of seam, kJ/mm: U I / v.

    Parameters
    ----------
    voltage_v, current_a : V, A
    travel_mm_min : travel speed, mm/min
    """
    return voltage_v * current_a * 60 / (1000 * travel_mm_min)


@formula(
    valid={"voltage_v": (0, 100), "current_a": (0, 1000)},
    source="ISO/TR 18491:2015, the way for welding without waveform control.",
)
def dots_energy_kj_per_mm(voltage_v, current_a, dot_count, dot_time_s, welded_length_mm):
    """Arc energy per length of seam closed by dots, kJ/mm: U I / v.

    v is the seam's length over the time the arc burns on it.
    """
    return voltage_v * current_a * dot_count * dot_time_s / (1000 * welded_length_mm)


@formula(
    valid={"voltage_v": (0, 100), "current_a": (0, 1000)},
    source="ISO/TR 18491:2015: arc energy is U I t.",
)
def plug_arc_energy_kj(voltage_v, current_a, fill_time_s, plug_count):
    """Arc energy of one plug, kJ: U I t."""
    return voltage_v * current_a * fill_time_s / (1000 * plug_count)


@formula(
    valid={"thermal_efficiency": (0, 1)},
    source="EN 1011-1:2009 and ISO/TR 17671-1:2002, Table 1 for k (clause from memory).",
)
def plug_heat_input_kj(thermal_efficiency, plug_arc_energy_kj):
    """Heat input of one plug, kJ: k U I t."""
    return thermal_efficiency * plug_arc_energy_kj


@formula()
def plugs_energy_kj_per_mm(plug_arc_energy_kj, plug_count, seam_length_mm):
    """Arc energy of all plugs over the length of their line, kJ/mm.

    No line is welded: the figure only says how much heat a length of the lap takes.
    """
    return plug_arc_energy_kj * plug_count / seam_length_mm


@formula(
    valid={"thermal_efficiency": (0, 1)},
    source="EN 1011-1:2009 and ISO/TR 17671-1:2002, Table 1 for k (clause from memory). "
    'United States codes call the gross arc energy "heat input".',
)
def heat_input_kj_per_mm(thermal_efficiency, arc_energy_kj_per_mm):
    """Heat input: the part of the arc energy that goes into the sheet, kJ/mm: k U I / v.

    United States codes call the gross arc energy "heat input".
    """
    return thermal_efficiency * arc_energy_kj_per_mm


@formula()
def fill_length_mm(welded_length_mm, tacked_length_mm):
    """Length the fill has to close, mm: the seam without what its tacks have closed already."""
    return welded_length_mm - tacked_length_mm


@formula(valid={"travel_mm_min": TRAVEL_MM_MIN})
def stitch_time_s(fill_length_mm, travel_mm_min):
    """Arc time of the stitches, s: length / travel speed."""
    return fill_length_mm / travel_mm_min * 60


@formula()
def fill_dots(dot_count, fill_length_mm, welded_length_mm):
    """Dots that are left to weld between the tacks, a number."""
    return dot_count * fill_length_mm / welded_length_mm


@formula()
def dots_time_s(fill_dots, dot_time_s):
    """Arc time of the dots, s: number x time of one."""
    return fill_dots * dot_time_s


@formula()
def plugs_time_s(plug_count, plug_time_s):
    """Arc time of all plugs, s: number x time of one."""
    return plug_count * plug_time_s


@formula(valid={"travel_mm_min": TRAVEL_MM_MIN})
def rod_plug_time_s(plug_count, hole_diameter_mm, travel_mm_min):
    """Arc time of plugs welded with a rod, s: once round each hole at travel speed.

    Common practice, no source.
    """
    return plug_count * pi * hole_diameter_mm / travel_mm_min * 60


@formula()
def arc_time_s(fill_time_s, tack_count, tack_time_s):
    """Arc time of tacks and fill together, s."""
    return fill_time_s + tack_count * tack_time_s


@formula(
    valid={"duty_cycle": (0.01, 1), "wanted_duty_cycle": (0.01, 1)},
    source="AWS glossary (ten minutes); the I² D law as in power-source makers' manuals.",
)
def duty_cycle_current_a(current_a, duty_cycle, wanted_duty_cycle):
    """Current a machine bears at another duty cycle, A: I² D is constant.

    Duty cycles are shares of ten minutes.
    """
    return current_a * (duty_cycle / wanted_duty_cycle) ** 0.5
