"""Job -> the inputs of the formulas, each a row with its range, status and source."""

from __future__ import annotations

from ..base import tables
from ..base.tables import Row, chosen, derived, given, limit, renamed
from ..formulas import gas, labour
from ..formulas.settings import gap_row, gas_group, lap_leg, settings
from ..job.job import Job

PRICES = {
    "wire_price_per_kg": ("wire_spool", 1000, "/kg"),
    "gas_price_per_m3": ("gas", 1000, "/m³"),
    "cutting_disc_price": ("cutting_disc", 1, ""),
    "flap_disc_price": ("flap_disc", 1, ""),
    "sealer_price_per_ml": ("seam_sealer", 1, "/ml"),
    "primer_price_per_ml": ("epoxy_primer", 1, "/ml"),
    "strip_disc_price": ("strip_disc", 1, ""),
    "wax_price_per_ml": ("cavity_wax", 1, "/ml"),
    "lap_primer_price_per_ml": ("weld_through_primer", 1, "/ml"),
    "filter_price": ("respirator_filter", 1, ""),
    "glove_price": ("nitrile_gloves", 1, ""),
    "sheet_price_per_kg": ("sheet", 1, "/kg"),
}
"""Input -> (item of the table "consumables", how many of its pack's unit are paid, for what)."""

USES = {
    "cutting_disc_per_m": ("cutting_disc", "per_metre"),
    "flap_disc_per_m": ("flap_disc", "per_metre"),
    "strip_disc_per_m": ("strip_disc", "per_metre"),
    "sealer_ml_per_m": ("seam_sealer", "per_metre"),
    "primer_ml_per_m": ("epoxy_primer", "per_metre"),
    "wax_ml_per_m": ("cavity_wax", "per_metre"),
    "lap_primer_ml_per_m": ("weld_through_primer", "per_metre"),
    "filters_per_h": ("respirator_filter", "per_hour"),
    "gloves_per_h": ("nitrile_gloves", "per_hour"),
}
"""Input -> (item, quantity) of the table "consumables"."""


def gather(job: Job) -> dict[str, Row]:
    """Return the inputs that don't need the geometry."""
    sheet = job.sheet
    return {
        **_settings(job),
        **_cylinder(job),
        **_joint(job),
        **_bared(job),
        **{name: _price(job, name) for name in PRICES},
        **_money(job),
        **labour.inputs(
            joint=job.patch.joint,
            role=sheet.role,
            process=job.weld.process,
            position=sheet.position,
            coating=sheet.coating,
            back_access=sheet.back_access,
            skill=job.shop.skill,
            gas_group=gas_group(job.weld.process, job.weld.gas),
        ),
        **{name: renamed(tables.row("consumables", *of), name) for name, of in USES.items()},
        **_no_lap(job),
    }


def _settings(job: Job) -> dict[str, Row]:
    weld, sheet = job.weld, job.sheet
    inputs = settings(
        weld.process,
        sheet.thickness,
        joint=job.patch.joint,
        beneath_mm=sheet.beneath,
        position=sheet.position,
        gas=weld.gas,
        wire=weld.wire,
        current=weld.current,
        voltage=weld.voltage,
        travel=weld.travel,
        flow=weld.flow,
        pre_flow=weld.pre_flow,
        post_flow=weld.post_flow,
    )
    inputs["wire_diameter_mm"] = chosen(inputs["wire_diameter_mm"])
    if weld.fill == "dots" and job.patch.joint != "plug":
        inputs.pop("travel_mm_min", None)  # dots stand still
    return inputs


def _cylinder(job: Job) -> dict[str, Row]:
    """Return what is known of a cylinder whose gauge tells what is in it."""
    group = gas_group(job.weld.process, job.weld.gas)
    if group in ("none", "C1"):
        return {}
    cylinder, mixture = job.shop.cylinder, job.weld.gas or group
    z = gas.compressibility(mixture, min(cylinder.pressure + gas.REFERENCE_BAR, 300.0), 15.0)
    source = f"real-gas table at 15 degC, {gas.mixture_in_words(mixture)}"
    size = {
        "water_volume_l": (cylinder.water_volume, "l"),
        "pressure_bar": (cylinder.pressure, "bar"),
    }
    usual = "a middle-size cylinder, full"
    return {
        **{
            name: given(name, *of) if job.given("shop.cylinder") else _assumed(name, *of, usual)
            for name, of in size.items()
        },
        "compressibility": derived("compressibility", z, "1", source),
    }


def _joint(job: Job) -> dict[str, Row]:
    """Return what is known of sheet and joint."""
    weld, thickness = job.weld, job.sheet.thickness

    def plug(name: str, value: float | None, quantity: str) -> Row:
        if value is not None:
            return given(name, value, "mm")
        return chosen(renamed(tables.plug_hole(quantity, thickness), name))

    gap = gap_row(weld.process, thickness)
    return {
        "thickness_mm": given("thickness_mm", thickness, "mm"),
        "leg_mm": lap_leg(thickness),
        "gap_mm": given("gap_mm", job.gap, "mm") if job.given("patch.gap") else gap,
        "face_cap_mm": renamed(limit("cap_face_height"), "face_cap_mm"),
        "root_cap_mm": renamed(limit("cap_root_height"), "root_cap_mm"),
        "fillet_allowance": renamed(limit("fillet_allowance"), "fillet_allowance"),
        "hole_diameter_mm": plug("hole_diameter_mm", weld.plug_hole, "hole_diameter"),
        "plug_pitch_mm": plug("plug_pitch_mm", weld.plug_pitch, "pitch"),
    }


def _bared(job: Job) -> dict[str, Row]:
    """Return what the strip bared along the seam hangs on."""
    air, reached = "air_c", 2.0 if job.sheet.back_access else 1.0
    return {
        "paint_burns_c": renamed(limit("heat_paint"), "paint_burns_c"),
        air: given(air, job.surroundings.ambient, "C")
        if job.given("surroundings.ambient")
        else _assumed(
            air, job.surroundings.ambient, "C", "a mild day unless surroundings.ambient is given"
        ),
        "strip_over_line_source": derived(
            "strip_over_line_source",
            1.0,
            "1",
            "as wide as one continuous run's; a plan has its own",
        ),
        "bright_metal_mm": chosen(renamed(limit("bright_metal"), "bright_metal_mm")),
        "usual_strip_mm": chosen(renamed(limit("usual_strip"), "usual_strip_mm")),
        "faces_reached": derived("faces_reached", reached, "1", "sheet.back_access"),
    }


def _price(job: Job, name: str) -> Row:
    """Return a price, a choice: a pack's, by how much of what is paid for a pack holds."""
    item, paid, per = PRICES[name]
    packs = paid / tables.row("consumables", item, "pack").value
    unit = f"{job.shop.currency}{per}"
    if item in job.shop.prices:
        return given(name, job.shop.prices[item] * packs, unit)
    return chosen(renamed(tables.row("consumables", item, "price"), name, packs, unit))


def _money(job: Job) -> dict[str, Row]:
    shop, rate = job.shop, "labour_rate_per_h"
    return {
        rate: given(rate, shop.labour_rate, f"{shop.currency}/h")
        if shop.labour_rate is not None
        else chosen(renamed(tables.row("labour", "labour_rate", "rate"), rate)),
        "tax_share": given("tax_share", shop.tax / 100, "1")
        if job.given("shop.tax")
        else _assumed("tax_share", 0.0, "1", "none unless a tax is given"),
    }


def _no_lap(job: Job) -> dict[str, Row]:
    name = "lap_primer_ml_per_m"
    if job.patch.joint != "butt":
        return {}
    return {name: derived(name, 0.0, "ml/m", "a butt seam has no lap to prime")}


def _assumed(name: str, value: float, unit: str, source: str) -> Row:
    return Row("job", name, name, None, value, None, unit, f"assumed: {source}", "guess", "")
