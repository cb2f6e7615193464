"""Cautions that follow from a job: what is told before the first cut.

Each caution has a topic and one or two sentences.  They warn and defer; none
says that a weld passes an inspection or that a panel stays flat.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import shapely
from shapely import Polygon

from ..base import amounts
from ..base.tables import limit
from ..base.units import MM_PER_INCH
from ..formulas.gas import CO2_L_PER_KG
from ..job.job import Job
from .bend_cautions import bend_cautions
from .caution import Caution
from .formed_cautions import formed_cautions
from .patches import PatchResult
from .place_cautions import drawing, far_side, flammable, near, place, structure
from .weld_cautions import weld_cautions


def helmet(lens_shade: int) -> str:
    """Return which shades to begin with and the least: 9 at first (common practice)."""
    first = max(lens_shade, 9)
    return f"shade {first} or {first + 1} to begin with (common practice), never below {lens_shade}"


def cautions(
    job: Job,
    patches: Sequence[PatchResult],
    values: Mapping[str, float],
    *,
    continuous: bool,
    lens_shade: int,
    gas_left_l: float | None,
    display: str = "mm",
) -> list[Caution]:
    """Return the cautions of a job: fire and structure first, then the place, metal and joint.

    Parameters
    ----------
    job : Job
    patches : its cuts and patches
    values : the estimate's figures
    continuous : whether the fill closes the whole seam
    lens_shade : minimum shade number
    gas_left_l : what can still be drawn after the job, l; None where no gauge tells
    display : "mm" or "in", for the lengths in the texts
    """
    cuts = [patch.cut_line for patch in patches]
    lines = shapely.union_all([run for patch in patches for run in patch.seam])
    return [
        *_short_of_gas(gas_left_l),
        *_fire(job),
        *far_side(job, values, display),
        *structure(job, lines, cuts, continuous, display),
        *near(job, lines, values, display),
        *drawing(job, patches, display),
        *bend_cautions(job, patches, display),
        *formed_cautions(job, patches, display),
        *_vehicle(display),
        *_person(job, lens_shade),
        *_metal(job, display),
        *_joint(job, cuts, values, display),
        *place(job, cuts, values, display),
        Caution(
            "local rules",
            "rules for repairs differ by place; where the part carries load, "
            "leave it to licensed practice.",
        ),
        *_no_gauge(values),
    ]


def _short_of_gas(left_l: float | None) -> Iterator[Caution]:
    if left_l is not None and left_l < 0:
        yield Caution(
            "gas",
            f"the cylinder lacks {-left_l:.0f} l for this job, left at "
            f"{limit('residual_pressure').value:g} bar: have another at hand before you start.",
        )


def _no_gauge(values: Mapping[str, float]) -> Iterator[Caution]:
    if "gas_real_l" in values and "cylinder_content_l" not in values:
        yield Caution(
            "gas",
            "CO2 is liquid in its cylinder and its gauge does not show what is left: "
            f"weigh the cylinder ({CO2_L_PER_KG:g} l a kg).",
        )


def _length(value: float, display: str) -> str:
    return amounts.show(value, "length", units=display)


def _fire(job: Job) -> Iterator[Caution]:
    named = [item.name for item in job.panel.protect if flammable(item.name)]
    yield Caution(
        "fuel",
        "drain and take off the fuel tank, filler and lines before grinding or welding, whatever "
        "the distance: vapour travels and lights from a spark."
        + (f" Here: {', '.join(named)}." if named else ""),
    )
    watch, clear = limit("fire_watch"), limit("fire_distance")
    feet = clear.value * 1000 / (12 * MM_PER_INCH)
    yield Caution(
        "fire watch",
        f"nothing that burns within {clear.value:g} m ({feet:.0f} ft), a look at the far side, an "
        f"extinguisher at hand, and a watch of at least {watch.value:g} min after the last spark "
        "(29 CFR 1910.252; 60 min in NFPA 51B from 2019, value from memory: keep to the longer).",
    )
    yield Caution(
        "cleaners",
        "never clean with chlorinated solvent (some brake cleaners): the arc turns its vapour "
        "into phosgene, which can kill. Let any solvent dry and take rags away before the arc.",
    )


def _metal(job: Job, display: str) -> Iterator[Caution]:
    yield Caution(
        "clean metal",
        "grind both faces and the spot under the work clamp to clean bright metal: rust, paint, "
        "zinc and sealer do not weld.",
    )
    if job.sheet.coating == "zinc":
        yield Caution(
            "zinc",
            "grind the zinc back on both faces; its fume gives metal fume fever hours later "
            "(limit 5 mg/m³ over a shift, 29 CFR 1910.1000). Ventilate and wear a respirator.",
        )
    yield Caution(
        "paint and sealer",
        "strip paint, sealer, underseal, wax and foam from both faces well beyond the seam; look "
        "inside closed sections. Heated, they burn and give off poisonous fumes (isocyanates from "
        "polyurethane). Old paint and body solder can hold lead, old underseal asbestos: don't "
        "dry-grind or burn them; have them tested.",
    )
    pitted = [rust for rust in job.rust if rust.grade == "pitted"]
    if pitted:
        thin = amounts.show(limit("min_thickness_pitted").value, "thickness", units=display)
        small = job.patch.margin < limit("margin").value
        yield Caution(
            "thin edge",
            "probe the pitted metal at the cut line: under about "
            f"{thin} ({limit('min_thickness_pitted').status}) it burns through. Cut to full "
            "thickness; no source gives a margin for pitting."
            + (f" Yours, {_length(job.patch.margin, display)}, is small." if small else ""),
        )


def _joint(
    job: Job, cuts: Sequence[Polygon], values: Mapping[str, float], display: str
) -> Iterator[Caution]:
    yield from weld_cautions(job, cuts, values, display)
    least = limit("corner_radius").low or 0.0
    if job.patch.corner_radius < least:
        yield Caution(
            "corners",
            f"corners under {_length(least, display)} gather heat and stress; round them.",
        )


def _person(job: Job, lens_shade: int) -> Iterator[Caution]:
    yield Caution(
        "eyes",
        f"a welding helmet, {helmet(lens_shade)} (29 CFR 1910.133, by the high end of the current).",
    )
    yield Caution(
        "hands and sleeves",
        "leather gauntlets; sleeves of leather, wool or heavy cotton, nothing synthetic; ear "
        "protection and a face shield for grinding. Metal under the limit still burns skin: "
        "measure it, don't touch it.",
    )
    if job.weld.process != "114":
        yield Caution(
            "gas in pits",
            "argon and CO2 are heavier than air and gather in pits and "
            "footwells: ventilate, 19.5 % oxygen at least.",
        )


def _vehicle(display: str) -> Iterator[Caution]:
    away = limit("control_unit_distance")
    yield Caution(
        "vehicle",
        "disconnect both battery leads, negative first; work clamp close to the weld; control "
        f"units out if within {_length(away.value, display)}. Airbags and belt tensioners: follow "
        "the maker's manual and its waiting time. Hybrid or electric: leave the high-voltage "
        "battery to licensed people. Never heat a charged air-conditioning line or a gas strut; "
        "never weld magnesium.",
    )
