"""Cautions that follow from joint, settings and machine: what is told before the first arc."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely
from shapely import Polygon

from ..base import amounts, tables
from ..base.tables import limit
from ..formulas import machine
from ..formulas.settings import LEAST_CORED_MM, ends, reckoned_mm, table_span
from ..geometry.cut_line import cut_lines
from ..job.job import Job
from .caution import Caution
from .known_heat import known_heat

ENLARGED_MM = 5.0
"""A cut line this far beyond the one without rounded corners is worth a word (guess)."""


def weld_cautions(
    job: Job, cuts: Sequence[Polygon], values: Mapping[str, float], display: str
) -> Iterator[Caution]:
    """Yield the cautions of joint, settings and machine.

    Parameters
    ----------
    job : Job
    cuts : polygons, mm
    values : the estimate's figures
    display : "mm" or "in", for the lengths in the texts
    """
    yield from _gap(job, display)
    yield from _beneath(job, display)
    yield from _plug_edge(job, display)
    yield from _settings(job, display)
    yield from _wire(job, values, display)
    yield from _heat(job, values)
    yield from _routes(values)
    yield from _machine(values)
    yield from _small_holes(job, display)
    yield from _margin(job, cuts, display)


def _thickness(value: float, display: str) -> str:
    return amounts.show(value, "thickness", units=display)


def _length(value: float, display: str) -> str:
    return amounts.show(value, "length", units=display)


def gap_word(gap_mm: float, thickness_mm: float) -> str:
    """Return how a butt joint's gap is: "fair", "doubtful" or "remake the piece".

    The worse of two verdicts: by mm (common practice) and by gap over thickness (guess).
    """
    share = gap_mm / thickness_mm
    for word, name in (("fair", "gap_fair"), ("doubtful", "gap_doubtful")):
        within = gap_mm <= limit(name).value + 1e-9
        if within and share <= limit(f"{name}_share").value + 1e-9:
            return word
    return "remake the piece"


def _gap(job: Job, display: str) -> Iterator[Caution]:
    if job.patch.joint != "butt":
        return
    gap, t = job.gap, job.sheet.thickness
    shown = (
        f"a gap of {_thickness(gap, display)} in {_thickness(t, display)} sheet "
        f"({gap / t:.2g} of its thickness)"
    )
    word = gap_word(gap, t)
    fair = min(limit("gap_fair").value, limit("gap_fair_share").value * t)
    closed = (
        " Published settings are for a closed gap: over an open one take less current and "
        "shorter runs."
    )
    if word == "fair":
        text = (
            f"{shown} is fair; a gap that opens beyond {_thickness(fair, display)} weakens the "
            "joint and lets water through."
        )
    elif word == "doubtful":
        text = (
            f"{shown} is doubtful: it burns through, weakens the joint and can leak. Fit the "
            "piece closer."
        )
    else:
        text = f"{shown}: remake the piece. A joint bridged over such a gap is weak and leaks."
    yield Caution("gap", text + ("" if word == "remake the piece" else closed))
    if gap > 0.5 * t and job.weld.process == "141":
        yield Caution("gap", "TIG wants the edges tight: at most half the sheet's thickness.")


def _beneath(job: Job, display: str) -> Iterator[Caution]:
    sheet, joint, below = job.sheet, job.patch.joint, job.sheet.beneath
    if joint == "butt":
        if below is not None:
            yield Caution("sheet beneath", "a butt joint has none: the one given is not used.")
        return
    yield Caution(
        "lap",
        "a lap holds water unless it is sealed: weld-through primer inside, "
        "seam sealer over primer outside, cavity wax last.",
    )
    at = reckoned_mm(joint, sheet.thickness, below)
    if below is None:
        text = (
            f"the sheet beneath is taken for as thick as the patch, "
            f"{_thickness(sheet.thickness, display)}; say how thick it is if it is not, since it "
            "must melt too."
        )
    else:
        text = (
            f"{_thickness(sheet.thickness, display)} on {_thickness(below, display)}: the settings "
            f"are those of {_thickness(at, display)} (our own rule: the mean of the two); hold the "
            "arc on the thicker sheet."
        )
    yield Caution("sheet beneath", text)


def _plug_edge(job: Job, display: str) -> Iterator[Caution]:
    if job.patch.joint != "plug":
        return
    row = tables.plug_hole("edge_distance", job.sheet.thickness)
    least, away = row.low or row.value, job.patch.overlap / 2
    if away < least:
        yield Caution(
            "plug edge",
            f"the plugs' centres lie {_length(away, display)} from the edges of the overlap; at "
            f"least {_length(least, display)} is usual ({row.status}), or the edge melts away. "
            f"Widen the overlap to {_length(2 * least, display)}.",
        )


def _settings(job: Job, display: str) -> Iterator[Caution]:
    process, joint = job.weld.process, job.patch.joint
    at = reckoned_mm(joint, job.sheet.thickness, job.sheet.beneath)
    if process == "136" and job.sheet.thickness < LEAST_CORED_MM:
        yield Caution(
            "wrong wire",
            "no gas-shielded flux-cored wire (136) runs on sheet under about "
            f"{_thickness(LEAST_CORED_MM, display)}: its thinnest, 0.9 mm, is published for 150 A "
            "and more. The settings shown are no real ones: take solid wire (135).",
        )
        return
    least, most = table_span(process, joint)
    if job.weld.current is None and not least <= at <= most:
        yield Caution(
            "settings",
            f"the settings for this joint are known from {_thickness(least, display)} to "
            f"{_thickness(most, display)} sheet; for {_thickness(at, display)} the current is "
            "reckoned in proportion (guess). Find your own on a coupon first.",
        )


def _wire(job: Job, values: Mapping[str, float], display: str) -> Iterator[Caution]:
    if job.weld.process != "135":
        return
    named = [row for row in tables.rows("wires") if row.quantity == "current"]
    size = next((row.name for row in named if float(row.name) == values["wire_diameter_mm"]), None)
    if size is None:
        return
    row, amperes = tables.row("wires", size, "current"), values["current_a"]
    low, high = ends(row)
    if not low <= amperes <= high:
        yield Caution(
            "wire",
            f"{amounts.show(float(size), 'wire', units=display)} wire is known to run from "
            f"{low:.0f} to {high:.0f} A ({row.status}), not at {amperes:.0f} A: "
            + ("take a thinner wire." if amperes < low else "take a thicker wire."),
        )


def _heat(job: Job, values: Mapping[str, float]) -> Iterator[Caution]:
    found = known_heat(job, values)
    if found.too_hot:
        yield Caution(
            "burn-through",
            f"{found.what} is more than the sheet is known to bear: {found.known}. It burns "
            "through; less current, shorter stitches or quicker travel.",
        )
    elif found.too_cold:
        yield Caution(
            "cold weld",
            f"{found.what} is little: {found.known}; {_COLD[job.patch.joint]}. Try it on a coupon.",
        )


_COLD = {
    "butt": "the edges may not melt through (cold, lack of fusion)",
    "lap": "the bead may lie on the lower sheet without melting it (a cold lap)",
    "plug": "the plug may sit on the lower sheet without melting it (a cold plug)",
}


def _routes(values: Mapping[str, float]) -> Iterator[Caution]:
    if not values.get("wire_by_feed_g"):
        return
    ratio = values["wire_by_feed_g"] / values["wire_g"]
    most = limit("route_ratio").value
    if not 1 / most <= ratio <= most:
        yield Caution(
            "wire routes",
            f"wire-feed speed × arc time gives {ratio:.2g} times the wire the joint's volume takes: "
            "current, travel, gap and sheet don't fit each other. Check them before you weld or "
            "buy.",
        )


def mains(values: Mapping[str, float]) -> tuple[float, float, float]:
    """Return apparent power, VA, and current at 230 V and at 120 V, A, while the arc burns."""
    power = machine.mains_power_va(
        values["voltage_v"],
        values["current_a"],
        limit("machine_efficiency").value,
        limit("power_factor").value,
    )
    amperes = [machine.mains_current_a(power, volts) for volts in (230.0, 120.0)]
    return power, *amperes


def _machine(values: Mapping[str, float]) -> Iterator[Caution]:
    power, at_230, at_120 = mains(values)
    if power > limit("mains_heavy").value:
        yield Caution(
            "machine",
            f"{values['current_a']:.0f} A at {values['voltage_v']:.0f} V draws about {at_230:.0f} A "
            f"from 230 V ({at_120:.0f} A from 120 V) while the arc burns: a socket of its own and "
            "a short thick cord, fully unrolled; on a long thin one the voltage falls and the "
            "weld goes cold (efficiency and power factor: common practice and guess).",
        )


def _small_holes(job: Job, display: str) -> Iterator[Caution]:
    small, large = limit("fill_small_hole").value, limit("insert_hole").value
    sizes = [
        2 * shapely.minimum_bounding_radius(rust.ring.polygon)
        for rust in job.rust
        if rust.grade == "holed"
    ]
    if sizes and min(sizes) < small:
        yield Caution(
            "small hole",
            f"a hole of {_length(min(sizes), display)} needs no patch where the metal round it is "
            f"sound: holes under {_length(small, display)} are filled over a copper backing; above "
            f"{_length(large, display)} new metal goes in (common practice).",
        )


def _margin(job: Job, cuts: Sequence[Polygon], display: str) -> Iterator[Caution]:
    choice = job.patch
    if choice.shape != "follow" or not choice.corner_radius:
        return
    without = cut_lines(
        job.rust_shape,
        margin=choice.margin,
        shape=choice.shape,
        corner_radius=0.0,
        web=choice.web,
        panel=job.panel_shape,
    )
    points = shapely.points(np.concatenate([shapely.get_coordinates(cut) for cut in cuts]))
    if job.panel_shape is not None:  # where the cut runs out to the panel's edge
        points = points[shapely.distance(points, job.panel_shape.exterior) > 0.1]
    more = points[shapely.distance(points, shapely.union_all(without)) > ENLARGED_MM]
    if len(more):
        widest = float(shapely.distance(more, job.rust_shape).max())
        yield Caution(
            "margin",
            f"a corner radius of {_length(choice.corner_radius, display)} takes more than the "
            f"margin: up to {_length(widest, display)} from the rust, not "
            f"{_length(choice.margin, display)}. A smaller corner radius cuts less.",
        )
