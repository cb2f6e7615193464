"""What the labour formulas start from: a kind of job's rows, and which of them one shop shares."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from ..base import tables
from ..base.tables import Row, chosen, limit, renamed
from .hours import STEPS, own_factor


@cache
def _shop_correlation() -> Row:
    row = tables.row("labour", "one shop", "correlation")
    return chosen(renamed(row, "shop_correlation"))


@cache
def inputs(
    *,
    joint: str,
    role: str,
    process: str,
    position: str,
    coating: str,
    back_access: bool,
    skill: str,
    gas_group: str,
) -> Mapping[str, Row]:
    """Return the labour formulas' inputs for a kind of job, by name, from the tables.

    Parameters
    ----------
    joint : {"butt", "lap", "plug"}
    role : {"skin", "floor", "structural"}
    process : {"135", "136", "114", "141"}
    position : {"flat", "vertical", "overhead"}
    coating : {"bare", "zinc", "painted"}
    back_access : bool
    skill : {"first", "practised", "trade"}
    gas_group : ISO 14175 main group, or "none"
    """

    def step(name: str, quantity: str, called: str) -> Row:
        return renamed(tables.row("labour_steps", name, quantity), called)

    def factor(table: str, name: str, quantity: str, called: str) -> Row:
        return renamed(tables.row(table, name, quantity), called)

    return {
        "access_hours_per_job": factor("labour", "access", "hours_per_job", "access_hours_per_job"),
        "stripping_hours_per_job": step("stripping", "hours_per_job", "stripping_hours_per_job"),
        "stripping_hours_per_metre": step(
            "stripping", "hours_per_metre", "stripping_hours_per_metre"
        ),
        "cutting_hours_per_metre": step("cutting", "hours_per_metre", "cutting_hours_per_metre"),
        "making_hours_per_patch": step("making", "hours_per_patch", "making_hours_per_patch"),
        "making_hours_per_metre": step("making", "hours_per_metre", "making_hours_per_metre"),
        "fitting_hours_per_metre": step(
            f"fit-up {joint} {role}", "hours_per_metre", "fitting_hours_per_metre"
        ),
        "tack_aligning_s": step("aligning a tack", "seconds_each", "tack_aligning_s"),
        "move_time_s": renamed(limit("move_time"), "move_time_s"),
        "move_speed_m_s": renamed(limit("move_speed"), "move_speed_m_s"),
        "move_distance_mm": renamed(limit("move_distance"), "move_distance_mm"),
        "tack_distance_mm": renamed(limit("tack_distance"), "tack_distance_mm"),
        "dot_pause_s": step("pause between dots", "seconds_each", "dot_pause_s"),
        "setting_up_hours_per_job": step("setting up", "hours_per_job", "setting_up_hours_per_job"),
        "cooling_wait_s": step("cooling", "seconds_each", "cooling_wait_s"),
        "dressing_hours_per_metre": step(
            f"dressing {joint} {role}", "hours_per_metre", "dressing_hours_per_metre"
        ),
        "sealing_hours_per_metre": step(
            f"sealing {joint}", "hours_per_metre", "sealing_hours_per_metre"
        ),
        "paint_ready_hours_per_metre": step(
            f"paint-ready {role}", "hours_per_metre", "paint_ready_hours_per_metre"
        ),
        "skill_factor": factor("labour", f"skill {skill}", "factor", "skill_factor"),
        "process_factor": factor("labour", f"process {process}", "factor", "process_factor"),
        "coating_factor": factor("labour", f"coating {coating}", "factor", "coating_factor"),
        "thickness_exponent": factor("labour", "thickness", "exponent", "thickness_exponent"),
        "position_factor": factor("labour", f"position {position}", "factor", "position_factor"),
        "access_factor": factor(
            "labour", "access open" if back_access else "access closed", "factor", "access_factor"
        ),
        "cleanup_factor": factor("gases", gas_group, "cleanup_factor", "cleanup_factor"),
        "shop_correlation": _shop_correlation(),
    }


SHARED = frozenset(
    inputs(
        joint="butt", role="floor", process="135", position="flat", coating="painted",
        back_access=True, skill="trade", gas_group="M21",
    )
) - {"shop_correlation"} | {"bending_hours_each"} | {own_factor(step) for step in STEPS}  # fmt: skip
"""The inputs of the labour steps, by name: one shop's err together, by `shop_correlation`."""
