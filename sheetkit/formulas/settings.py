"""What is known of a process, gas and sheet: the inputs of the welding formulas.

What the user gave wins; the rest is suggested from the reference tables, each
row with its range, status and source.
"""

from __future__ import annotations

from dataclasses import replace

from ..base import tables
from ..base.tables import Row, given, renamed

_DEFAULT_GAS = {"135": "M21", "136": "M21", "114": "none", "141": "I1"}


def gas_group(process: str, gas: str | None) -> str:
    """Return the ISO 14175 main group in use: the given one's, or the process's usual; or "none"."""
    return gas.split("-")[0] if gas else _DEFAULT_GAS[process]


def settings(
    process: str,
    thickness_mm: float,
    *,
    gas: str | None = None,
    wire: float | None = None,
    current: float | None = None,
    voltage: float | None = None,
    travel: float | None = None,
    flow: float | None = None,
    pre_flow: float | None = None,
    post_flow: float | None = None,
) -> dict[str, Row]:
    """Return every input of the welding formulas for a process and sheet, by name.

    Parameters
    ----------
    process : {"135", "136", "114", "141"}
    thickness_mm : float
        0.4 to 4 mm.  Outside the tables' 0.6 to 2.0 mm the nearest row
        serves, and its note says so.
    gas : str or None
        ISO 14175 main group or full name; None: the process's usual.
    wire, current, voltage, travel, flow, pre_flow, post_flow : float or None
        What the user gave, in internal units; None is suggested.

    Returns
    -------
    dict of str to Row
    """
    table = f"settings_{'135' if process == '136' else process}"
    group = gas_group(process, gas)
    known = [float(name) for name in tables.names(table)]
    at = min(max(thickness_mm, min(known)), max(known))

    def suggested(quantity: str) -> Row:
        row = tables.interpolate(table, quantity, at)
        if at == thickness_mm:
            return row
        far = f"the table ends at {at:g} mm, the sheet has {thickness_mm:g} mm"
        return replace(row, status="guess", note="; ".join(filter(None, (far, row.note))))

    def take(name: str, quantity: str, value: float | None, unit: str) -> Row:
        return given(name, value, unit) if value is not None else renamed(suggested(quantity), name)

    def of_process(name: str, quantity: str | None = None) -> Row:
        return renamed(tables.row("processes", process, quantity or name), name)

    inputs = {
        "current_a": take("current_a", "current", current, "A"),
        "voltage_v": take("voltage_v", "voltage", voltage, "V"),
        "travel_mm_min": take("travel_mm_min", "travel", travel, "mm/min"),
        "wire_diameter_mm": take("wire_diameter_mm", "wire_diameter", wire, "mm"),
        "thermal_efficiency": of_process("thermal_efficiency"),
        "deposition_efficiency": of_process("deposition_efficiency"),
        "tack_time_s": of_process("tack_time_s", "tack_time"),
    }
    if wire is None:
        inputs["wire_diameter_mm"] = _sold(inputs["wire_diameter_mm"])
    if process != "141":
        inputs |= {
            "melt_alpha": of_process("melt_alpha"),
            "melt_beta": of_process("melt_beta"),
            "electrode_extension_mm": of_process("electrode_extension_mm", "electrode_extension"),
            "dot_time_s": of_process("dot_time_s", "dot_time"),
        }
    if group != "none":
        if process == "135":
            inputs["deposition_efficiency"] = renamed(
                tables.row("gases", group, "deposition_efficiency"), "deposition_efficiency"
            )
        inputs |= {
            "flow_l_min": given("flow_l_min", flow, "l/min")
            if flow is not None
            else renamed(tables.row("gases", group, "flow"), "flow_l_min"),
            "pre_flow_s": given("pre_flow_s", pre_flow, "s")
            if pre_flow is not None
            else of_process("pre_flow_s", "pre_flow"),
            "post_flow_s": given("post_flow_s", post_flow, "s")
            if post_flow is not None
            else of_process("post_flow_s", "post_flow"),
            "start_surge_l": of_process("start_surge_l", "start_surge"),
        }
    return inputs


def _sold(row: Row) -> Row:
    """Return the wire's row at the nearest diameter that is sold."""
    sizes = [float(name) for name in tables.names("wires")] + [1.6, 2.0, 2.4]
    return renamed(
        row, row.quantity, min(sizes, key=lambda size: abs(size - row.value)) / row.value
    )
