"""One repair done several ways, side by side: metres, hours, gas, money, heat."""

from __future__ import annotations

from collections.abc import Mapping

from ..base import tables
from ..base.errors import SheetkitError
from ..job.job import Job
from ..repair.estimate import Estimate, estimate

SHAPES = {shape: {"patch__shape": shape} for shape in ("follow", "hull", "box")}
JOINTS = {joint: {"patch__joint": joint} for joint in ("butt", "lap")}


def line(name: str, result: Estimate) -> dict:
    """Return one way of doing it as a mapping: what to compare, with units in the keys.

    `heat_kj` is the heat that goes into the sheet: k U I x arc time.
    """
    values = result.values
    power_w = values["thermal_efficiency"] * values["voltage_v"] * values["current_a"]
    return {
        "way": name,
        "seam_m": float(values["metres_m"]),
        "hours_h": result.hours.likely,
        "hours_low_h": result.hours.low,
        "hours_high_h": result.hours.high,
        "gas_l": float(values.get("gas_real_l", 0.0)),
        "wire_g": float(values["wire_bought_g"]),
        "cost": result.cost.likely,
        "cost_low": result.cost.low,
        "cost_high": result.cost.high,
        "heat_kj": float(power_w * values["arc_time_s"] / 1000),
        "refused": "",
    }


def ways(job: Job, changes: Mapping[str, Mapping]) -> list[dict]:
    """Return one mapping a way; a way that can't be done says why under `refused`.

    `changes` maps a way's name to what `Job.changed` takes.
    """
    rows = []
    for name, change in changes.items():
        try:
            rows.append(line(name, estimate(job.changed(**change))))
        except SheetkitError as error:
            rows.append({"way": name, "refused": str(error.faults[0])})
    return rows


def whole_panel(
    job: Job,
    *,
    panel_price: float | None = None,
    hours_h: float | None = None,
    hours_factor: float | None = None,
) -> dict:
    """Return the whole panel put in, as a line beside the patch's.

    The seam is the panel's outline; every step by the metre is reckoned as for
    a patch of that size in the job's own joint.  The metal is the panel bought.

    Parameters
    ----------
    panel_price : float, optional
        What the panel costs, in the job's currency; default the table's guess.
    hours_h : float, optional
        Hours somebody quoted for it; wins over the reckoning.
    hours_factor : float, optional
        Hours by the metre against a patch's: a panel comes shaped.  Default the
        table's guess.
    """
    if job.panel.outline is None:
        return {"way": "whole panel", "refused": "panel.outline: draw the panel first"}
    data = job.data
    data["rust"] = [{"ring": data["panel"]["outline"]}]
    data.pop("panel")
    data["patch"] = data.get("patch", {}) | {"margin": 0, "corner_radius": 0, "folds": []}
    result = estimate(Job.from_data(data))
    found = line("whole panel", result)
    factor = tables.row("labour", "whole panel", "factor")
    price = tables.row("consumables", "whole_panel", "price")
    scale = factor.value if hours_factor is None else hours_factor
    spans = [(hours_h,) * 3] if hours_h is not None else []
    if not spans:
        ends = (factor.low, factor.value, factor.high) if hours_factor is None else (scale,) * 3
        spans = [
            tuple(h * f for h, f in zip(
                (found["hours_low_h"], found["hours_h"], found["hours_high_h"]), ends, strict=True))
        ]  # fmt: skip
    metal = (price.low, price.value, price.high) if panel_price is None else (panel_price,) * 3
    rate, tax = result.values["labour_rate_per_h"], 1 + result.values["tax_share"]
    other = result.values["materials_cost"] - result.values["sheet_cost"]
    low, likely, high = ((h * rate + other + m) * tax for h, m in zip(spans[0], metal, strict=True))
    return found | {
        "hours_low_h": spans[0][0],
        "hours_h": spans[0][1],
        "hours_high_h": spans[0][2],
        "cost_low": float(low),
        "cost": float(likely),
        "cost_high": float(high),
    }


def patch_or_panel(job: Job, **panel) -> list[dict]:
    """Return the patch as planned and the whole panel (see `whole_panel`), side by side."""
    return [line("patch as planned", estimate(job)), whole_panel(job, **panel)]
