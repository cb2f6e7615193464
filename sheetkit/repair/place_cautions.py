"""Cautions that follow from where things are drawn: load, heat, folds, the panel's own shape."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import shapely
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..base import amounts, tables
from ..base.tables import limit
from ..base.units import MM_PER_INCH
from ..formulas.shrinkage import along_kn
from ..geometry.fold import Fold
from ..heat.closed_forms import distance_to_temperature
from ..job.job import Job
from ..job.model import Protected
from .caution import Caution
from .patches import PatchResult, fold_as_drawn

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


def _length(value: float, display: str) -> str:
    return amounts.show(value, "length", units=display)


def _about(value: float, display: str) -> str:
    """Return a length no finer than it is known: to 10 mm or half an inch."""
    if display == "in":
        return f"about {round(2 * value / MM_PER_INCH) / 2:g} in"
    return f"about {round(value, -1):.0f} mm"


def _drawn(item: Protected) -> BaseGeometry:
    return Point(item.at) if item.at is not None else LineString(item.line)


def structure(
    job: Job, lines: BaseGeometry, cuts: Sequence[Polygon], continuous: bool, display: str
) -> Iterator[Caution]:
    """Yield what concerns parts that carry load."""
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


def near(
    job: Job, lines: BaseGeometry, values: Mapping[str, float], display: str
) -> Iterator[Caution]:
    """Yield what lies too near to the seam's heat."""
    for item in job.panel.protect:
        shape = _drawn(item)
        away = shapely.distance(lines, shape)
        reach, least = too_near_mm(job, values, item.limit)
        name = item.name or "the protected part"
        if away < least and not flammable(name):
            yield Caution(
                "too near",
                f"{name} is {_about(away, display)} from the seam; one pass can take the sheet "
                f"above {amounts.show(item.limit, 'temperature', units=display)} up to "
                f"{_about(reach, display)} away (derived, by a closed formula; the heat of earlier "
                "passes comes on top). Take it off or move it.",
            )


def too_near_mm(job: Job, values: Mapping[str, float], limit_c: float) -> tuple[float, float]:
    """Return how far from the seam one run takes the sheet over a place's limit, and how near is too near, mm."""
    heat = values["heat_input_kj_per_mm"] * 1000
    reach = float(distance_to_temperature(limit_c, heat, thickness_mm=job.sheet.thickness))
    return reach, max(reach, limit("protect_distance").low or 0.0)


def reach_mm(job: Job, values: Mapping[str, float], level: str) -> float:
    """Return how far from the seam one continuous run takes the sheet over a level, mm, each side.

    level : row of the table "limits", such as "heat_sealer"
    """
    heat = values["heat_input_kj_per_mm"] * 1000
    at, air = limit(level).value, job.surroundings.ambient
    return float(distance_to_temperature(at, heat, thickness_mm=job.sheet.thickness, start_c=air))


def far_side(job: Job, values: Mapping[str, float], display: str) -> Iterator[Caution]:
    """Yield what the heat does behind the sheet, and how far to strip and mask."""
    paint = _length(values["paint_burns_mm"], display)
    if values["strip_over_line_source"] == 1.0:
        sealer, wax = (
            _length(reach_mm(job, values, level), display) for level in ("heat_sealer", "heat_wax")
        )
        what = (
            f"paint burns to {paint} from the seam, sealer and foam break down to {sealer}, wax, "
            f"underseal, trim and glass suffer to {wax} (each side; derived, for one continuous "
            "run: an order with waits keeps it narrower, and gives its own figures)"
        )
    else:
        what = f"paint burns to {paint} from the seam (each side; derived, by this job's order)"
    hidden = (
        " No hand reaches the back here: look in with a mirror or a camera before the first arc."
        if job.rusty_faces.open_share < 1
        else ""
    )
    yield Caution(
        "far side",
        f"both faces get as hot: {what}. Strip to the first, mask beyond; what burns behind the "
        f"sheet comes out, and somebody watches there.{hidden}",
    )


WHAT_TO_DRAW = "as panel outline or hole"


def no_outline(display: str) -> str:
    """Return what a job without the panel's outline is planned for, and what to draw."""
    beyond = _about(limit("sheet_beyond_cut").value, display)
    return (
        f"no outline of the panel is drawn: the order is planned for {beyond} of sheet beyond the "
        f"cut (guess). If an edge, a hole or the end of a flange lies nearer, draw it {WHAT_TO_DRAW}: "
        "the waits would be too short, and the order says by how much. If the sheet goes on, draw "
        "that: they get shorter."
    )


def drawing(job: Job, patches: Sequence[PatchResult], display: str) -> Iterator[Caution]:
    """Yield what was drawn to no purpose: folds beside every patch, places off the panel's metal."""
    bent: set[Fold] = {fold for patch in patches for fold in patch.folds}
    for number, fold in enumerate(job.patch.folds, 1):
        if fold_as_drawn(fold) not in bent:
            yield Caution(
                "fold",
                f"fold {number} crosses no patch: nothing is bent there, and blank and template "
                "leave it out. Draw its line across the patch, or delete it.",
            )
    metal = job.panel_shape
    if metal is None:
        yield Caution("no outline", no_outline(display))
        return
    for item in job.panel.protect:
        off = shapely.distance(metal, _drawn(item))
        if off > 0:
            yield Caution(
                "off the panel",
                f"{item.name or 'a protected place'} is drawn {_where(metal, off, display)}: "
                "the heat that reaches it there (hot gas, spatter, radiation) is not reckoned. "
                "Check the drawing; take it off or shield it.",
            )
    for mounting in job.panel.mountings:
        off = shapely.distance(metal, Point(mounting.at))
        if off > 0:
            yield Caution(
                "off the panel",
                f"{mounting.name or 'a mounting'} is drawn {_where(metal, off, display)}, where "
                "nothing can be bolted to it: check the drawing.",
            )


def _where(metal: Polygon, off: float, display: str) -> str:
    return f"{amounts.show(off, 'length', units=display)} off the panel's metal, in a hole or beyond its edge"


def place(
    job: Job, cuts: Sequence[Polygon], values: Mapping[str, float], display: str
) -> Iterator[Caution]:
    """Yield what follows from where the seam lies on its panel."""
    if job.rusty_faces.open_share < 1:
        yield Caution(
            "closed back",
            "no dolly reaches behind the seam, so it can't be planished; "
            "shrinkage stays. Plan an access hole or move the seam to a step or edge.",
        )
    if job.panel.outline is not None and job.sheet.role == "skin":
        flat = limit("middle_of_flat").value
        away = min(shapely.distance(job.panel.outline.polygon.exterior, cut) for cut in cuts)
        if away > flat:
            yield Caution(
                "middle of a flat area",
                f"the seam lies {_length(away, display)} from the "
                "nearest edge; flat metal buckles when the weld shrinks. Bring the seam "
                "to a step or edge if you can, "
                f"{_length(limit('step_clearance').value, display)} clear of a step, so that a hammer "
                "gets in (common practice).",
            )
    every = _length(limit("planish_every").value, display)
    stays = (
        f"is hammered out on a dolly, along a visible seam at least every {every} (common practice)"
        if job.rusty_faces.is_open
        else "stays where no dolly reaches"
    )
    per_heat = tables.row("shrinkage", "force", "per_heat_input")
    pull = along_kn(values["heat_input_kj_per_mm"], per_heat.value)
    yield Caution(
        "shrinkage",
        f"the weld shrinks as it cools and pulls along itself with about {pull:.0f} kN "
        f"({per_heat.status}), in whatever order it is welded. A spread order limits heat build-up; "
        f"it does not remove the shrinkage, which {stays}. No order makes a panel stay flat.",
    )
