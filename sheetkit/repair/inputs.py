"""Job -> the inputs of the formulas, each a row with its range, status and source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..base import tables
from ..base.tables import Row, chosen, derived, given, limit, renamed
from ..formulas import gas, labour
from ..formulas.settings import ends, gap_row, gas_group, lap_leg, settings
from ..job.faces import Faces
from ..job.job import Job
from ..job.profile import Position

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


def gather(job: Job, faces: Faces) -> dict[str, Row]:
    """Return the inputs that are not counted on the drawing.

    faces : the panel's flats, by the seam's length on each
    """
    sheet = job.sheet
    return {
        **_settings(job, faces),
        **_cylinder(job),
        **_joint(job),
        **_bared(job, faces),
        **{name: _price(job, name) for name in PRICES},
        **_money(job),
        **labour.inputs(
            joint=job.patch.joint,
            role=sheet.role,
            process=job.weld.process,
            position=faces.position,
            coating=sheet.coating,
            back_access=faces.is_open,
            skill=job.shop.skill,
            gas_group=gas_group(job.weld.process, job.weld.gas),
        ),
        **_by_face(faces),
        **_planishing(job, faces),
        **{name: renamed(tables.row("consumables", *of), name) for name, of in USES.items()},
        **_no_lap(job),
    }


def _planishing(job: Job, faces: Faces) -> dict[str, Row]:
    """Return by how much hammering the pull out lengthens dressing, against the usual settings.

    The pull goes with the heat input, so a butt seam welded hotter or colder than the tables
    have it takes a part of its dressing more or less, never beyond the dressing's own range.
    """
    name, set_here = "planishing_factor", ("weld.current", "weld.voltage", "weld.travel")
    if job.patch.joint != "butt" or not faces.is_open:
        return {name: derived(name, 1.0, "1", "a lap, or a seam no dolly reaches, isn't planished")}
    if not any(map(job.given, set_here)):
        return {name: derived(name, 1.0, "1", "heat input as the tables have it")}
    usual = job.weld.model_copy(update={"current": None, "voltage": None, "travel": None})
    plain = job.model_copy(update={"weld": usual})

    def heat(one: Job) -> float:
        rows = _settings(one, faces)
        led = rows["travel_mm_min"].value if "travel_mm_min" in rows else 1.0
        return rows["current_a"].value * rows["voltage_v"].value / led

    more = heat(job) / heat(plain) - 1
    known = tables.row("labour_steps", f"dressing butt {job.sheet.role}", "hours_per_metre")
    least, most = (end / known.value for end in ends(known))
    part = tables.row("shrinkage", "planishing", "share")
    found = [min(max(1 + share * more, least), most) for share in (*ends(part), part.value)]
    low, high = sorted(found[:2])
    source = "heat input over the usual one; " + part.source
    return {
        name: Row("shrinkage", name, name, low, found[2], high, "1", source, part.status, part.note)
    }


def _by_face(faces: Faces) -> dict[str, Row]:
    """Return the factors of hours that differ from flat to flat, by the seam's length on each."""
    backs = {"access open": faces.open_share, "access closed": 1 - faces.open_share}
    rows = {
        "position_factor": {f"position {name}": share for name, share in faces.by_position.items()},
        "access_factor": {name: share for name, share in backs.items() if share > 1e-9},
    }
    return {
        name: blended(
            [
                (share, renamed(tables.row("labour", of, "factor"), name))
                for of, share in shares.items()
            ]
        )
        for name, shares in rows.items()
    }


def blended(rows: Sequence[tuple[float, Row]]) -> Row:
    """Return the mean of rows by their shares of the seam; one alone stays as it is.

    Its status is the weakest of theirs.
    """
    if len(rows) == 1:
        return rows[0][1]
    ends_of = [ends(row) for _, row in rows]
    said = "; ".join(f"{share:.0%} of the seam: {row.name}, {row.origin}" for share, row in rows)
    return replace(
        rows[0][1],
        low=sum(share * low for (share, _), (low, _) in zip(rows, ends_of, strict=True)),
        value=sum(share * row.value for share, row in rows),
        high=sum(share * high for (share, _), (_, high) in zip(rows, ends_of, strict=True)),
        source=said,
        status=max((row.status for _, row in rows), key=tables.STATUSES.index),
    )


def _settings(job: Job, faces: Faces) -> dict[str, Row]:
    """Return the settings; where faces lie differently, the mean of their currents by the seam."""
    each = [(share, _settings_in(job, name)) for name, share in faces.by_position.items()]
    inputs = each[0][1]
    if job.weld.current is None:
        inputs["current_a"] = blended([(share, found["current_a"]) for share, found in each])
    return inputs


def currents(job: Job, faces: Faces) -> dict[Position, Row]:
    """Return the current of each position there is work in, A: the job's own, or the suggested."""
    return {name: _settings_in(job, name)["current_a"] for name in faces.by_position}


def _settings_in(job: Job, position: Position) -> dict[str, Row]:
    weld, sheet = job.weld, job.sheet
    inputs = settings(
        weld.process,
        sheet.thickness,
        joint=job.patch.joint,
        beneath_mm=sheet.beneath,
        position=position,
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


def _bared(job: Job, faces: Faces) -> dict[str, Row]:
    """Return what the strip bared along the seam hangs on."""
    air, reached = "air_c", 1.0 + faces.open_share
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
        "faces_reached": derived(
            "faces_reached", reached, "1", "sheet.back_access, panel.profile.closed"
        ),
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
