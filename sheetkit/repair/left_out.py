"""What a job leaves out, and what the estimate takes for it."""

from __future__ import annotations

from collections.abc import Iterator

from ..base import amounts
from ..base.errors import plain
from ..base.tables import Row, limit
from ..formulas.settings import gas_group
from ..job.titles import choice
from .estimate import Estimate

_WORDS = (
    "sheet.coating",
    "sheet.position",
    "sheet.role",
    "patch.joint",
    "patch.shape",
    "weld.process",
    "shop.skill",
)

_QUANTITIES = (
    ("patch.margin", "length", "margin"),
    ("patch.corner_radius", "length", "corner_radius"),
    ("patch.web", "length", "web"),
    ("weld.interpass_limit", "temperature", "interpass_limit"),
)
"""Field, kind of quantity, row of the table "limits"."""

_SETTINGS = (
    ("weld.wire", "wire", "wire_diameter_mm"),
    ("weld.current", "current", "current_a"),
    ("weld.voltage", "voltage", "voltage_v"),
    ("weld.travel", "speed", "travel_mm_min"),
    ("weld.flow", "flow", "flow_l_min"),
    ("weld.pre_flow", "time", "pre_flow_s"),
    ("weld.post_flow", "time", "post_flow_s"),
)
"""Field, kind of quantity, input of the estimate."""


def assumed(result: Estimate, *, display: str = "mm") -> list[tuple[str, str, str]]:
    """Return a row for every setting of sheet, patch, weld and shop that the job leaves out.

    Prices are not among them: those taken from the tables stand in the quote and the shopping list.

    Parameters
    ----------
    result : Estimate
    display : "mm" or "in"

    Returns
    -------
    list of (field, value with its unit, status)
        The field as the job file names it, such as ``patch.margin``; `titles.title` says what it
        is called where people read.
    """
    return [row for row in _rows(result, display) if not result.job.given(row[0])]


def _rows(result: Estimate, display: str) -> Iterator[tuple[str, str, str]]:
    job, inputs = result.job, result.inputs

    def show(field: str, kind: str, row: Row) -> tuple[str, str, str]:
        return field, amounts.show(row.value, kind, units=display), row.status

    thick = amounts.show(job.sheet.thickness, "thickness", units=display)
    profile = job.panel.profile
    for field in _WORDS:
        part, name = field.split(".")
        if field == "sheet.position" and profile and profile.positions:
            continue
        yield field, choice(field, getattr(getattr(job, part), name)), "guess"
    if not (profile and profile.closed):
        yield "sheet.back_access", choice("sheet.back_access", job.sheet.back_access), "guess"
    around, back = job.surroundings, "open" if job.rusty_faces.is_open else "a closed section"
    yield (
        "panel.outline",
        f"{show('', 'length', limit('sheet_beyond_cut'))[1]} beyond the cut",
        "guess",
    )
    air = amounts.show(around.ambient, "temperature", units=display)
    yield "surroundings.ambient", air, "guess"
    yield "surroundings.air", around.air, "guess"
    yield "surroundings.front", around.front, "guess"
    yield "surroundings.back", f"{back}, as its back is", "guess"
    for field, kind, name in _QUANTITIES:
        yield show(field, kind, limit(name))
    if job.patch.joint == "butt":
        yield show("patch.gap", "thickness", inputs["gap_mm"])
    else:
        yield show("patch.overlap", "length", limit("overlap"))
        yield "sheet.beneath", f"as the sheet, {thick}", "guess"
    if job.patch.joint == "plug":
        yield show("weld.plug_hole", "length", inputs["hole_diameter_mm"])
        yield show("weld.plug_pitch", "length", inputs["plug_pitch_mm"])
    else:
        yield "weld.fill", choice("weld.fill", job.weld.fill), "guess"
        last = "tack_last" if job.weld.fill == "dots" else "tack_before_stitches"
        yield show("weld.tack", "length", limit(last))
        if job.weld.fill == "stitch":
            yield show("weld.stitch", "length", limit("stitch"))
    group = gas_group(job.weld.process, None)
    if group != "none":
        yield "weld.gas", f"{group} (ISO 14175)", "common practice"
    for field, kind, name in _SETTINGS:
        if name in inputs:
            yield show(field, kind, inputs[name])
    rate = inputs["labour_rate_per_h"]
    yield "shop.labour_rate", f"{rate.value:g} {plain(job.shop.currency)}/h", rate.status
    yield "shop.tax", f"{job.shop.tax:g} %", inputs["tax_share"].status
    if "pressure_bar" in inputs:
        pressure = amounts.show(inputs["pressure_bar"].value, "pressure", units=display)
        litres = inputs["water_volume_l"].value
        size = f"{litres:g} l" if display == "mm" else amounts.show(litres, "volume", units="in")
        yield "shop.cylinder", f"{size} at {pressure}", inputs["pressure_bar"].status
