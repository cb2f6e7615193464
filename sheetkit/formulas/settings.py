"""What is known of a process, joint, position, gas and sheet: the inputs of the welding formulas.

What the user gave wins; the rest is suggested from the reference tables, each
row with its range, status and source.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache, lru_cache
from typing import TypedDict, Unpack

from ..base import tables
from ..base.tables import Row, given, limit, renamed
from ..base.tables import chosen as chosen_row

_DEFAULT_GAS = {"135": "M21", "136": "M21", "114": "none", "141": "I1"}
_RODS_MM = (1.6, 2.0, 2.4)
"""Filler rods thicker than the wires on spools."""

LEAST_CORED_MM = 2.0
"""Sheet thinner than this is no work for gas-shielded flux-cored wire: its thinnest, 0.9 mm,
burns steadily from about 100 A on."""


class Chosen(TypedDict, total=False):
    """What the user gave, in internal units; None is suggested."""

    wire: float | None
    current: float | None
    voltage: float | None
    travel: float | None
    flow: float | None
    pre_flow: float | None
    post_flow: float | None


def gas_group(process: str, gas: str | None) -> str:
    """Return the ISO 14175 main group in use: the given one's, or the process's usual; or "none"."""
    return gas.split("-")[0] if gas else _DEFAULT_GAS[process]


def reckoned_mm(joint: str, thickness_mm: float, beneath_mm: float | None = None) -> float:
    """Return the thickness whose rows serve for a joint, mm.

    A butt: the sheet's.  A plug: the mean of the two sheets.  A lap: the same,
    at most twice the sheet's, whose edge melts first.  Our own rule (guess).
    """
    if joint == "butt" or beneath_mm is None:
        return thickness_mm
    mean = (thickness_mm + beneath_mm) / 2
    return mean if joint == "plug" else min(mean, 2 * thickness_mm)


@cache
def table_span(process: str, joint: str) -> tuple[float, float]:
    """Return the least and greatest thickness a process and joint have rows for, mm."""
    found = [
        float(row.name)
        for row in tables.rows(f"settings_{process}")
        if row.quantity == f"{joint} current"
    ]
    return min(found), max(found)


@lru_cache(maxsize=4096)
def suggested(process: str, quantity: str, at_mm: float) -> Row:
    """Return a table's row at a thickness; beyond its ends one scaled from the nearest row.

    Current and leg go in proportion to the thickness there, as in 1 A per
    0.001 in; voltage, travel and wire stay.  Such a row is a guess and says so.
    """
    table = f"settings_{process}"
    known = [float(row.name) for row in tables.rows(table) if row.quantity == quantity]
    end = min(max(at_mm, min(known)), max(known))
    row = tables.interpolate(table, quantity, end)
    if end == at_mm:
        return row
    grows = quantity.endswith("current") or (quantity.endswith("leg") and at_mm > end)
    scaled = renamed(row, row.quantity, at_mm / end) if grows else row
    what = "in proportion to the thickness" if grows else "the end row's"
    far = f"the rows end at {end:g} mm, {at_mm:g} mm is reckoned with: {what}"
    return replace(scaled, status="guess", note="; ".join(filter(None, (far, row.note))))


def ends(row: Row) -> tuple[float, float]:
    """Return a row's low and high; its value where it has no range."""
    return row.value if row.low is None else row.low, row.value if row.high is None else row.high


@lru_cache(maxsize=1024)
def in_position(row: Row, position: str) -> Row:
    """Return the current's row lowered for vertical and overhead work (common practice)."""
    if position == "flat":
        return row
    factor = limit(f"current_{position}")
    weaker = max(row.status, factor.status, key=tables.STATUSES.index)
    (low, high), (least, most) = ends(row), ends(factor)
    return replace(
        row,
        low=low * least,
        value=row.value * factor.value,
        high=high * most,
        source=f"{row.source}; {position}: × {factor.value:g} ({factor.origin})",
        status=weaker,
    )


def settings(
    process: str,
    thickness_mm: float,
    *,
    joint: str = "butt",
    beneath_mm: float | None = None,
    position: str = "flat",
    gas: str | None = None,
    **chosen: Unpack[Chosen],
) -> dict[str, Row]:
    """Return every input of the welding formulas for a process, joint and sheet, by name.

    Parameters
    ----------
    process : {"135", "136", "114", "141"}
    thickness_mm : float
        0.4 to 4 mm; where no published row reaches, see `suggested`.
    joint : {"butt", "lap", "plug"}
    beneath_mm : float or None
        The sheet beneath a lap or plug, mm; None: as the sheet.
    position : {"flat", "vertical", "overhead"}
    gas : str or None
        ISO 14175 main group or full name; None: the process's usual.
    **chosen
        What the user gave: see `Chosen`.

    Returns
    -------
    dict of str to Row
        No "travel_mm_min" for plugs of a wire-feed process: they stand still.
    """
    group = gas_group(process, gas)
    at = reckoned_mm(joint, thickness_mm, beneath_mm)
    known = {key: float(x) for key, x in chosen.items() if isinstance(x, (int, float))}

    def take(name: str, key: str, unit: str, row: Row) -> Row:
        return given(name, known[key], unit) if key in known else renamed(row, name)

    def of_process(name: str, quantity: str | None = None) -> Row:
        return renamed(tables.row("processes", process, quantity or name), name)

    current = in_position(suggested(process, f"{joint} current", at), position)
    voltage = suggested(process, f"{joint} voltage", at)
    wire = _sold(suggested(process, "wire_diameter", at))
    table, name = ("gases", group) if process == "135" else ("processes", process)
    inputs = {
        "current_a": take("current_a", "current", "A", current),
        "voltage_v": take("voltage_v", "voltage", "V", voltage),
        "wire_diameter_mm": take("wire_diameter_mm", "wire", "mm", wire),
        "mass_share": of_process("mass_share"),
        # k is the standard's by definition; that shops measure others is no doubt about it
        "thermal_efficiency": chosen_row(of_process("thermal_efficiency")),
        "tack_time_s": of_process("tack_time_s", "tack_time"),
        "deposition_efficiency": tables.row(table, name, "deposition_efficiency"),
    }
    if joint != "plug" or process == "141":
        travel = suggested(process, f"{joint} travel", at)
        inputs["travel_mm_min"] = take("travel_mm_min", "travel", "mm/min", travel)
    if process != "141":
        inputs |= {
            "melt_alpha": of_process("melt_alpha"),
            "melt_beta": of_process("melt_beta"),
            "electrode_extension_mm": _extension(process, inputs["wire_diameter_mm"].value),
            "dot_time_s": of_process("dot_time_s", "dot_time"),
            "plug_start_s": renamed(limit("plug_start"), "plug_start_s"),
        }
    if group != "none":
        flow = tables.row("gases", group, "flow")
        inputs |= {
            "flow_l_min": take("flow_l_min", "flow", "l/min", flow),
            "pre_flow_s": take("pre_flow_s", "pre_flow", "s", of_process("pre_flow")),
            "post_flow_s": take("post_flow_s", "post_flow", "s", of_process("post_flow")),
            "start_surge_l": of_process("start_surge_l", "start_surge"),
        }
    return inputs


def lap_leg(thickness_mm: float) -> Row:
    """Return the fillet leg of a lap joint, mm, by the thickness of the upper sheet."""
    return renamed(suggested("135", "lap leg", thickness_mm), "leg_mm")


@lru_cache(maxsize=1024)
def gap_row(process: str, thickness_mm: float) -> Row:
    """Return a butt joint's usual gap, mm, with a range as wide as the sources disagree."""
    share = limit("gap_share_141" if process == "141" else "gap_share")
    least = 0.0 if process == "141" else limit("gap_fair").value
    row = renamed(share, "gap_mm", thickness_mm, "mm")
    return replace(row, high=max(least, row.high or 0.0))


@lru_cache(maxsize=1024)
def _extension(process: str, wire_mm: float) -> Row:
    """Return the free length of wire, mm: solid wire's goes by its diameter."""
    if process != "135":
        return renamed(
            tables.row("processes", process, "electrode_extension"), "electrode_extension_mm"
        )
    sizes = [row.name for row in tables.rows("wires") if row.quantity == "contact_tip_to_work"]
    nearest = min(sizes, key=lambda name: abs(float(name) - wire_mm))
    return renamed(tables.row("wires", nearest, "contact_tip_to_work"), "electrode_extension_mm")


@lru_cache(maxsize=1024)
def _sold(row: Row) -> Row:
    """Return the wire's row at the nearest diameter that is sold: a choice, so without a range."""
    sizes = [*map(float, tables.names("wires")), *_RODS_MM]
    size = min(sizes, key=lambda size: abs(size - row.value))
    return replace(row, low=None, value=size, high=None)
