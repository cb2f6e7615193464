"""Job -> the inputs of the formulas, each a row with its range, status and source; and the chain."""

from __future__ import annotations

from ..base import tables
from ..base.tables import Row, chosen, derived, given, limit, renamed
from ..formulas import gas, hours
from ..formulas.settings import gap_row, gas_group, lap_leg, settings
from ..job.job import Job


def _choice(job: Job, path: str, name: str, value: float, unit: str, row: Row) -> Row:
    """Return a chosen input as given by the user, or as the table's default."""
    return given(name, value, unit) if job.given(path) else renamed(row, name)


def _price(job: Job, item: str, name: str, per: float, unit: str) -> Row:
    """Return the price of one `unit`, a choice: a pack's price over `per` units a pack."""
    if item in job.shop.prices:
        return given(name, job.shop.prices[item] / per, unit)
    return chosen(renamed(tables.row("consumables", item, "price"), name, 1 / per, unit))


def gather(job: Job) -> dict[str, Row]:
    """Return the inputs that don't need the geometry."""
    weld_choice, sheet, shop, money = job.weld, job.sheet, job.shop, job.shop.currency
    inputs = settings(
        weld_choice.process,
        sheet.thickness,
        joint=job.patch.joint,
        beneath_mm=sheet.beneath,
        position=sheet.position,
        gas=weld_choice.gas,
        wire=weld_choice.wire,
        current=weld_choice.current,
        voltage=weld_choice.voltage,
        travel=weld_choice.travel,
        flow=weld_choice.flow,
        pre_flow=weld_choice.pre_flow,
        post_flow=weld_choice.post_flow,
    )
    inputs["wire_diameter_mm"] = chosen(inputs["wire_diameter_mm"])
    if weld_choice.fill == "dots" and job.patch.joint != "plug":
        inputs.pop("travel_mm_min", None)  # dots stand still
    group = gas_group(weld_choice.process, weld_choice.gas)
    if group != "none" and group != "C1":
        pressure = shop.cylinder.pressure
        origin = given if job.given("shop.cylinder") else _assumed
        inputs["water_volume_l"] = origin("water_volume_l", shop.cylinder.water_volume, "l")
        inputs["pressure_bar"] = origin("pressure_bar", pressure, "bar")
        inputs["compressibility"] = derived(
            "compressibility",
            gas.compressibility(
                weld_choice.gas or group, min(pressure + gas.REFERENCE_BAR, 300.0), 15.0
            ),
            "1",
            f"real-gas table at 15 degC, {gas.mixture_in_words(weld_choice.gas or group)}",
        )
    at = tables.interpolate("plug_holes", "hole_diameter", min(max(sheet.thickness, 0.6), 2.4))
    pitch = tables.interpolate("plug_holes", "pitch", min(max(sheet.thickness, 0.6), 2.4))
    inputs |= {
        "thickness_mm": given("thickness_mm", sheet.thickness, "mm"),
        "leg_mm": lap_leg(sheet.thickness),
        "gap_mm": _choice(
            job, "patch.gap", "gap_mm", job.gap, "mm", gap_row(weld_choice.process, sheet.thickness)
        ),
        "face_cap_mm": renamed(limit("cap_face_height"), "face_cap_mm"),
        "root_cap_mm": renamed(limit("cap_root_height"), "root_cap_mm"),
        "fillet_allowance": renamed(limit("fillet_allowance"), "fillet_allowance"),
        "hole_diameter_mm": given("hole_diameter_mm", weld_choice.plug_hole, "mm")
        if weld_choice.plug_hole
        else chosen(renamed(at, "hole_diameter_mm")),
        "plug_pitch_mm": given("plug_pitch_mm", weld_choice.plug_pitch, "mm")
        if weld_choice.plug_pitch
        else chosen(renamed(pitch, "plug_pitch_mm")),
        "labour_rate_per_h": given("labour_rate_per_h", shop.labour_rate, f"{money}/h")
        if shop.labour_rate is not None
        else chosen(renamed(tables.row("labour", "labour_rate", "rate"), "labour_rate_per_h")),
        "wire_price_per_kg": _price(job, "wire_spool", "wire_price_per_kg", 0.7, f"{money}/kg"),
        "gas_price_per_m3": _price(job, "gas", "gas_price_per_m3", 2.0, f"{money}/m³"),
        "cutting_disc_price": _price(job, "cutting_disc", "cutting_disc_price", 1, money),
        "flap_disc_price": _price(job, "flap_disc", "flap_disc_price", 1, money),
        "sealer_price_per_ml": _price(
            job, "seam_sealer", "sealer_price_per_ml", 300, f"{money}/ml"
        ),
        "primer_price_per_ml": _price(
            job, "epoxy_primer", "primer_price_per_ml", 400, f"{money}/ml"
        ),
        "strip_disc_price": _price(job, "strip_disc", "strip_disc_price", 1, money),
        "wax_price_per_ml": _price(job, "cavity_wax", "wax_price_per_ml", 500, f"{money}/ml"),
        "lap_primer_price_per_ml": _price(
            job, "weld_through_primer", "lap_primer_price_per_ml", 400, f"{money}/ml"
        ),
        "filter_price": _price(job, "respirator_filter", "filter_price", 1, money),
        "glove_price": _price(job, "nitrile_gloves", "glove_price", 50, money),
        "sheet_price_per_kg": _price(job, "sheet", "sheet_price_per_kg", 1, f"{money}/kg"),
        "tax_share": given("tax_share", shop.tax / 100, "1")
        if job.given("shop.tax")
        else _assumed("tax_share", 0.0, "1", "none unless shop.tax is given"),
    }
    inputs |= hours.inputs(
        joint=job.patch.joint,
        role=sheet.role,
        fill=weld_choice.fill,
        position=sheet.position,
        back_access=sheet.back_access,
        skill=shop.skill,
        gas_group=group,
    )
    for item, quantity, name in (
        ("cutting_disc", "per_metre", "cutting_disc_per_m"),
        ("flap_disc", "per_metre", "flap_disc_per_m"),
        ("strip_disc", "per_metre", "strip_disc_per_m"),
        ("seam_sealer", "per_metre", "sealer_ml_per_m"),
        ("epoxy_primer", "per_metre", "primer_ml_per_m"),
        ("cavity_wax", "per_metre", "wax_ml_per_m"),
        ("weld_through_primer", "per_metre", "lap_primer_ml_per_m"),
        ("respirator_filter", "per_hour", "filters_per_h"),
        ("nitrile_gloves", "per_hour", "gloves_per_h"),
    ):
        inputs[name] = renamed(tables.row("consumables", item, quantity), name)
    if job.patch.joint == "butt":
        inputs["lap_primer_ml_per_m"] = derived(
            "lap_primer_ml_per_m", 0.0, "ml/m", "a butt seam has no lap to prime"
        )
    return inputs


def _assumed(
    name: str, value: float, unit: str, source: str = "a middle-size cylinder, full"
) -> Row:
    return Row(
        "job",
        name,
        name,
        None,
        value,
        None,
        unit,
        f"assumed: {source}",
        "guess",
        "",
    )
