"""Cautions that follow from a job: what is told before the first cut.

Each caution has a topic and one or two sentences.  They warn and defer; none
says that a weld passes an inspection or that a panel stays flat.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely
from shapely import LineString, Point, Polygon

from ..base import amounts, tables
from ..base.units import MM_PER_INCH
from ..heat.closed_forms import distance_to_temperature
from ..job.job import Job
from .caution import Caution
from .weld_cautions import weld_cautions

STRUCTURE = (
    "Ask your inspector and follow the maker's repair manual, local rules and licensed practice"
)
FLAMMABLE = ("fuel", "petrol", "gasoline", "diesel", "gas tank", "filler", "brake")
"""What a protected place's name holds when no distance is safe."""


def flammable(name: str) -> bool:
    """Say whether a protected place must be taken off, whatever its distance."""
    return any(word in name.lower() for word in FLAMMABLE)


def off_or_shield(name: str) -> str:
    """Return what is done with a protected place, for its label on pictures."""
    return "take off" if flammable(name) else "shield"


def helmet(lens_shade: int) -> str:
    """Return which shades to begin with and the least: 9 at first (common practice)."""
    first = max(lens_shade, 9)
    return f"shade {first} or {first + 1} to begin with (common practice), never below {lens_shade}"


def cautions(
    job: Job,
    *,
    cuts: Sequence[Polygon],
    seam: Sequence[LineString],
    values: Mapping[str, float],
    continuous: bool,
    lens_shade: int,
    display: str = "mm",
) -> list[Caution]:
    """Return the cautions of a job: fire and structure first, then the place, metal and joint.

    Parameters
    ----------
    job : Job
    cuts, seam : polygons and lines, mm
    values : the estimate's figures
    continuous : whether the fill closes the whole seam
    lens_shade : minimum shade number
    display : "mm" or "in", for the lengths in the texts
    """
    lines = shapely.union_all(list(seam))
    return [
        *_fire(job),
        *_structure(job, lines, cuts, continuous, display),
        *_near(job, lines, values, display),
        *_vehicle(display),
        *_person(job, values, lens_shade),
        *_metal(job, display),
        *_joint(job, cuts, values, display),
        *_place(job, cuts, lines, display),
        Caution(
            "local rules",
            "rules for repairs differ by place; where the part carries load, "
            "leave it to licensed practice.",
        ),
    ]


def _length(value: float, display: str) -> str:
    return amounts.show(value, "length", units=display)


def _fire(job):
    named = [item.name for item in job.panel.protect if flammable(item.name)]
    yield Caution(
        "fuel",
        "drain and take off the fuel tank, filler and lines before grinding or welding, whatever "
        "the distance: vapour travels and lights from a spark."
        + (f" Here: {', '.join(named)}." if named else ""),
    )
    watch = tables.row("limits", "fire_watch", "value")
    yield Caution(
        "fire watch",
        "nothing that burns within 10.7 m (35 ft), a look at the far side, an extinguisher at "
        f"hand, and a watch of at least {watch.value:g} min after the last spark "
        "(29 CFR 1910.252; 60 min in NFPA 51B from 2019, value from memory: keep to the longer).",
    )
    yield Caution(
        "cleaners",
        "never clean with chlorinated solvent (some brake cleaners): the arc turns its vapour "
        "into phosgene, which can kill. Let any solvent dry and take rags away before the arc.",
    )


def _about(value: float, display: str) -> str:
    """Return a length no finer than it is known: to 10 mm or half an inch."""
    if display == "in":
        return f"about {round(2 * value / MM_PER_INCH) / 2:g} in"
    return f"about {round(value, -1):.0f} mm"


def _structure(job, lines, cuts, continuous, display):
    zone = shapely.union_all([lines, *cuts])
    for mounting in job.panel.mountings:
        away = shapely.distance(zone, Point(mounting.at))
        if away <= mounting.ring:
            yield Caution(
                "mounting",
                f"the repair comes within {_length(away, display)} of {mounting.name or 'a mounting'}"
                f" (its ring is {_length(mounting.ring, display)}); metal there carries load. "
                f"{STRUCTURE}.",
            )
    if job.sheet.role == "structural":
        yield Caution(
            "structure",
            f"this part carries load. {STRUCTURE} before cutting. Support the body on stands and "
            "brace door openings before a sill, pillar or floor is cut.",
        )
    if not continuous:
        what = "plug welds" if job.patch.joint == "plug" else "stitches with gaps between them"
        yield Caution(
            "not continuous",
            f"{what} are not a continuous seam: not tight, and refused where an inspection asks "
            "for a seam all round. Ask your inspector.",
        )


def _near(job, lines, values, display):
    heat = values["heat_input_kj_per_mm"] * 1000
    for item in job.panel.protect:
        shape = Point(item.at) if item.at is not None else LineString(item.line)
        away = shapely.distance(lines, shape)
        reach = distance_to_temperature(item.limit, heat, thickness_mm=job.sheet.thickness)
        least = max(reach, tables.row("limits", "protect_distance", "value").low)
        name = item.name or "the protected part"
        if away < least and not flammable(name):
            yield Caution(
                "too near",
                f"{name} is {_about(away, display)} from the seam; one pass can take the sheet "
                f"above {amounts.show(item.limit, 'temperature', units=display)} up to "
                f"{_about(reach, display)} away (derived, by a closed formula; the heat of earlier "
                "passes comes on top). Take it off or move it.",
            )


def _metal(job, display):
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
        margin = tables.row("limits", "margin", "value")
        if job.patch.margin < margin.value:
            yield Caution(
                "thin edge",
                f"a margin of {_length(job.patch.margin, display)} from pitted rust may leave a thin edge that "
                "burns through; no source gives a margin for pitting. Probe the metal and cut to "
                "full thickness.",
            )
        else:
            yield Caution(
                "thin edge",
                "probe the pitted metal at the cut line: a thin edge left "
                "in place burns through. Cut to full thickness.",
            )


def _joint(job, cuts, values, display):
    yield from weld_cautions(job, cuts, values, display)
    least = tables.row("limits", "corner_radius", "value")
    if job.patch.corner_radius < (least.low or 0):
        yield Caution(
            "corners",
            f"corners under {_length(least.low, display)} gather heat and stress; round them.",
        )


def _place(job, cuts, lines, display):
    if not job.sheet.back_access:
        yield Caution(
            "closed back",
            "no dolly reaches behind the seam, so it can't be planished; "
            "shrinkage stays. Plan an access hole or move the seam to a step or edge.",
        )
    if job.panel.outline is not None and job.sheet.role == "skin":
        flat = tables.row("limits", "middle_of_flat", "value").value
        away = min(shapely.distance(job.panel.outline.polygon.exterior, cut) for cut in cuts)
        if away > flat:
            yield Caution(
                "middle of a flat area",
                f"the seam lies {_length(away, display)} from the "
                "nearest edge; flat metal buckles when the weld shrinks. Bring the seam "
                "to a step or edge if you can.",
            )
    stays = (
        "is hammered out on a dolly" if job.sheet.back_access else "stays where no dolly reaches"
    )
    yield Caution(
        "shrinkage",
        "the weld shrinks as it cools. A spread order limits heat build-up; it does not remove "
        f"the shrinkage, which {stays}. No order makes a panel stay flat.",
    )


def _person(job, values, lens_shade):
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


def _vehicle(display):
    away = tables.row("limits", "control_unit_distance", "value")
    yield Caution(
        "vehicle",
        "disconnect both battery leads, negative first; work clamp close to the weld; control "
        f"units out if within {_length(away.value, display)}. Airbags and belt tensioners: follow "
        "the maker's manual and its waiting time. Hybrid or electric: leave the high-voltage "
        "battery to licensed people. Never heat a charged air-conditioning line or a gas strut; "
        "never weld magnesium.",
    )
