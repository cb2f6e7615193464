"""Working hours, step by step: from access to paint-ready.

Each function is one formula (see `weld`); its first word is the step.  The
hours of a repair are the sum of its steps, never one figure per metre.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import inf

from .chain import Formula, formula, stem

STEPS = {
    "access_h": "access and stripping",
    "cutting_h": "cutting out",
    "making_h": "making the patch",
    "fitting_h": "fit-up",
    "tacking_h": "tacking",
    "welding_h": "welding",
    "dressing_h": "dressing",
    "sealing_h": "sealing",
    "paint_ready_h": "paint-ready",
}
"""Figure -> what the step is called."""


@formula(valid={"thickness_mm": (0.1, 10)})
def thickness_factor(thickness_mm, thickness_exponent):
    """How much slower cutting, shaping and grinding go than in 0.9 mm sheet: (t / 0.9) to a power."""
    return (thickness_mm / 0.9) ** thickness_exponent


@formula()
def settle_s(move_time_s, process_factor, position_factor, skill_factor):
    """Settling at the next place, s: look, brush, take aim, lower the helmet.

    The sequence plan's moves take this time too.
    """
    return move_time_s * process_factor * position_factor * skill_factor


@formula()
def access_h(
    access_hours_per_job,
    stripping_hours_per_job,
    stripping_hours_per_metre,
    stripped_m,
    coating_factor,
    position_factor,
    skill_factor,
):
    """Access and stripping, h: trim, lines and battery out and back; paint, sealer, rust off.

    Common practice, no source: cleaning and access are the larger part of most repairs.
    """
    return (
        access_hours_per_job
        + (stripping_hours_per_job + stripping_hours_per_metre * stripped_m)
        * coating_factor
        * position_factor
    ) * skill_factor


@formula()
def cutting_h(
    cut_length_mm, cutting_hours_per_metre, thickness_factor, position_factor, skill_factor
):
    """Marking and cutting out, h: cut length x hours a metre."""
    return (
        cut_length_mm
        / 1000
        * cutting_hours_per_metre
        * thickness_factor
        * position_factor
        * skill_factor
    )


@formula()
def making_h(
    patch_count,
    making_hours_per_patch,
    cut_length_mm,
    making_hours_per_metre,
    thickness_factor,
    skill_factor,
):
    """Making the patches, h: a pattern each, and cutting, bending, deburring by the metre."""
    return (
        patch_count * making_hours_per_patch
        + cut_length_mm / 1000 * making_hours_per_metre * thickness_factor
    ) * skill_factor


@formula()
def making_bent_h(
    patch_count,
    making_hours_per_patch,
    further_bend_count,
    bending_hours_each,
    cut_length_mm,
    making_hours_per_metre,
    thickness_factor,
    skill_factor,
):
    """Making the patches of a bent panel, h: as flat ones, and every bend after a patch's first.

    The first is in the time by the metre; a lip counts as a bend.
    """
    return (
        patch_count * making_hours_per_patch
        + further_bend_count * bending_hours_each
        + cut_length_mm / 1000 * making_hours_per_metre * thickness_factor
    ) * skill_factor


@formula()
def fitting_h(
    metres_m,
    fitting_hours_per_metre,
    thickness_factor,
    position_factor,
    access_factor,
    skill_factor,
):
    """Fit-up, h: trimming to the gap, clamping, aligning; drilling where it is plugged."""
    return (
        metres_m
        * fitting_hours_per_metre
        * thickness_factor
        * position_factor
        * access_factor
        * skill_factor
    )


@formula(valid={"move_speed_m_s": (0.001, 10)})
def tack_moves_s(tack_count, settle_s, tack_distance_mm, move_speed_m_s):
    """Moves between tacks, s: settling at each, and the way there."""
    return tack_count * (settle_s + tack_distance_mm / 1000 / move_speed_m_s)


@formula()
def tacking_h(
    tack_count,
    tack_time_s,
    tack_moves_s,
    tack_aligning_s,
    process_factor,
    position_factor,
    skill_factor,
):
    """Tacking, h: each tack's arc, the move to it, and aligning the edges and knocking it level."""
    return (
        tack_count
        * (tack_time_s + tack_aligning_s * process_factor * position_factor * skill_factor)
        + tack_moves_s
    ) / 3600


@formula(valid={"move_speed_m_s": (0.001, 10)})
def fill_moves_s(weld_count, settle_s, move_distance_mm, move_speed_m_s):
    """Moves between welds of the fill, s: settling at each, and the way there."""
    return weld_count * (settle_s + move_distance_mm / 1000 / move_speed_m_s)


@formula(valid={"move_speed_m_s": (0.001, 10)})
def dots_moves_s(
    weld_count,
    settle_s,
    move_distance_mm,
    move_speed_m_s,
    starts,
    tack_count,
    dot_pause_s,
    position_factor,
    skill_factor,
):
    """Moves of a fill by dots, s: to each group, and the pause from one dot to the next in it."""
    return (
        weld_count * (settle_s + move_distance_mm / 1000 / move_speed_m_s)
        + (starts - tack_count - weld_count) * dot_pause_s * position_factor * skill_factor
    )


@formula()
def fill_waits_s(weld_count, cooling_wait_s):
    """Waits for the sheet to cool, beyond the moves, s; the sequence plan gives those of your job."""
    return weld_count * cooling_wait_s


@formula()
def welding_h(
    setting_up_hours_per_job,
    fill_time_s,
    fill_moves_s,
    fill_waits_s,
    process_factor,
    skill_factor,
):
    """Welding the fill, h: a test coupon; the arc, the moves and the waits of the fill."""
    return (
        setting_up_hours_per_job * process_factor * skill_factor
        + (fill_time_s + fill_moves_s + fill_waits_s) / 3600
    )


@formula()
def dressing_h(
    metres_m,
    dressing_hours_per_metre,
    thickness_factor,
    position_factor,
    access_factor,
    cleanup_factor,
    planishing_factor,
    skill_factor,
):
    """Dressing, h: knocking down, planishing where a dolly reaches, grinding, pinholes again."""
    return (
        metres_m
        * dressing_hours_per_metre
        * thickness_factor
        * position_factor
        * access_factor
        * cleanup_factor
        * planishing_factor
        * skill_factor
    )


@formula()
def sealing_h(metres_m, sealing_hours_per_metre, position_factor, skill_factor):
    """Sealing, h: degrease, seam sealer, and wax on the back."""
    return metres_m * sealing_hours_per_metre * position_factor * skill_factor


@formula()
def paint_ready_h(metres_m, paint_ready_hours_per_metre, position_factor, skill_factor):
    """Making it ready for paint, h: epoxy on both faces, filler and sanding where it is seen."""
    return metres_m * paint_ready_hours_per_metre * position_factor * skill_factor


@formula()
def hours_h(
    access_h,
    cutting_h,
    making_h,
    fitting_h,
    tacking_h,
    welding_h,
    dressing_h,
    sealing_h,
    paint_ready_h,
):
    """Working hours for the repair, h: the sum of its steps.

    Logged hours differ by a factor of two; your own log beats them.
    """
    return (
        access_h
        + cutting_h
        + making_h
        + fitting_h
        + tacking_h
        + welding_h
        + dressing_h
        + sealing_h
        + paint_ready_h
    )


@formula(valid={"hours_h": (1e-6, inf)})
def arc_on_share(arc_time_s, hours_h):
    """Share of the hours the arc burns, 1.

    Structural shops reach 0.15 to 0.45 at the station; a whole repair far less.
    """
    return arc_time_s / 3600 / hours_h


def chain(*, dots: bool, bent: bool = False) -> list[Formula]:
    """Return the formulas above in order; they need `metres_m`, `stripped_m` and the arc's times before them.

    bent : whether bends are counted
    """
    return [
        thickness_factor,
        settle_s,
        access_h,
        cutting_h,
        making_bent_h.named("making_h") if bent else making_h,
        fitting_h,
        tack_moves_s,
        tacking_h,
        dots_moves_s.named("fill_moves_s") if dots else fill_moves_s,
        fill_waits_s,
        welding_h,
        dressing_h,
        sealing_h,
        paint_ready_h,
        hours_h,
        arc_on_share,
    ]


def own_factor(figure: str) -> str:
    """Return the name of your own factor on a figure, such as a step's hours."""
    return f"own_{stem(figure)}_factor"


def by_step(
    parts: Mapping[str, float], spans: Mapping[str, tuple[float, float, float]]
) -> list[dict]:
    """Return one mapping a step: its hours with their range and its share of the whole.

    Parameters
    ----------
    parts : the steps' hours in the repairs whose hours are at their middle: they add up
    spans : (low, likely, high) of each step
    """
    return [
        {
            "step": title,
            "hours": parts[name],
            "low": spans[name][0],
            "high": spans[name][2],
            "share": parts[name] / parts["hours_h"],
        }
        for name, title in STEPS.items()
    ]
