"""The chief figures of an estimate: one list, told as text or given as numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..base import amounts
from ..base.errors import plain
from ..base.showing import Column, Listing, Range, counted
from ..base.tables import GIVEN
from ..formulas import lens_shade
from ..geometry.patch import blank_size, mass
from ..repair.estimate import Estimate
from .words import minutes, thickness

SUMMARY = ("what", "amount", "how far it can differ", "rests on")
KINDS_OF_WELD = {"stitch": "Stitches", "dots": "Groups of dots", "plug": "Plug welds"}
COUNT, CLOCK, HOURS, MONEY = "count", "clock", "hours", "money"
"""Kinds of amount beside those of `base.amounts`."""


@dataclass(frozen=True)
class Chief:
    """A figure worth a line: what it is called, its name in the estimate, its kind of amount."""

    what: str
    figure: str
    kind: str
    digits: int | None = None


def chief_figures(result: Estimate, display: str = "mm") -> list[Chief]:
    """Return the figures of an estimate worth a line, in the order they are told."""
    found = [
        Chief("Cut line", "cut_length_mm", "length"),
        Chief("Seam", "seam_length_mm", "length"),
        Chief("Tacks", "tack_count", COUNT),
        Chief(KINDS_OF_WELD[result.welds[0].kind], "weld_count", COUNT),
        Chief("Dots", "dot_count", COUNT),
        Chief("Current", "current_a", "current", 0),
        Chief("Voltage", "voltage_v", "voltage", 1),
        Chief("Travel speed", "travel_mm_min", "speed"),
        Chief("Wire diameter", "wire_diameter_mm", "wire"),
        Chief("Wire-feed speed", "wire_feed_m_min", "feed"),
        Chief("Arc energy (U I / v)", "arc_energy_kj_per_mm", "energy"),
        Chief("Heat input (k U I / v)", "heat_input_kj_per_mm", "energy"),
        Chief("Arc energy of one plug (U I t)", "plug_arc_energy_kj", "heat"),
        Chief("Heat input of one plug (k U I t)", "plug_heat_input_kj", "heat"),
        Chief("Arc time", "arc_time_s", CLOCK),
        Chief("Weld metal", "deposit_g", "filler"),
        Chief("Wire, by the joint's volume", "wire_g", "filler"),
        Chief("Wire, by wire-feed speed × arc time", "wire_by_feed_g", "filler"),
        Chief("Gas, arc alone", "gas_arc_l", "volume"),
        Chief("Gas, with pre-flow, post-flow, surge", "gas_real_l", "volume"),
        Chief("Left in the cylinder", "cylinder_left_l", "volume", 1 if display == "in" else 0),
        Chief("Hours", "hours_h", HOURS, 1),
        Chief("Cost", "cost", MONEY, 0),
    ]
    nothing = set() if "gas_real_l" in result.values else {"gas_arc_l"}
    nothing |= set() if result.values["dot_count"] else {"dot_count"}
    if "plug_heat_input_kj" in result.values:  # no line is welded
        nothing |= {"arc_energy_kj_per_mm", "heat_input_kj_per_mm"}
    return [one for one in found if one.figure in result.values and one.figure not in nothing]


def _shown(result: Estimate, chief: Chief, display: str) -> tuple[str, str]:
    """Return a chief figure as text, and its range, which is empty where there is none."""
    low, likely, high = result.spans[chief.figure]
    unit = plain(result.job.shop.currency) if chief.kind == MONEY else "h"

    def text(value: float) -> str:
        if chief.kind == COUNT:
            return f"{value:.0f}"
        if chief.kind == CLOCK:
            return minutes(value)
        if chief.kind in (HOURS, MONEY):
            return f"{value:.{chief.digits}f} {unit}"
        return amounts.show(value, chief.kind, units=display, digits=chief.digits)

    amount = text(likely)
    if chief.kind == COUNT or high - low < 1e-9:
        return amount, ""
    least, most = (text(end) for end in (low, high))
    if chief.kind != CLOCK:  # the unit is said once
        least = least.partition(" ")[0]
    return amount, f"{least} to {most}"


def _blanks(result: Estimate, display: str) -> Iterator[tuple[str, str]]:
    for number, patch in enumerate(result.patches, 1):
        sides = (amounts.show(side, "length", units=display) for side in blank_size(patch.blank))
        grams = mass(patch.blank.area, result.job.sheet.thickness)
        weight = amounts.show(grams, "mass", units=display)
        yield f"Patch {number}: blank", f"{' × '.join(sides)}, {weight}"


def _bent(result: Estimate, display: str) -> Iterator[tuple[str, str, str, str]]:
    """Yield what the unrolled section and the bends of each patch are."""
    section = result.job.section
    for number, patch in enumerate(result.patches, 1):
        for lip in patch.lips:
            wide = amounts.show(lip.developed_mm, "thickness", units=display)
            yield f"Patch {number}: lip {lip.number}, flat", f"{wide} wide", "", "derived"
            for what, share in (("stretches", lip.stretch), ("shrinks", lip.shrink)):
                if share:
                    yield f"  its edge {what} by at most", f"{share:.1%}", "", "derived"
    if section is None:
        return
    profile = result.job.panel.profile
    found = profile.measured_k(result.job.sheet.thickness) if profile is not None else None
    own_k = found is not None or result.job.given("panel.profile.k")
    rests = GIVEN if own_k else f"published from memory, {GIVEN}"
    length = amounts.show(section.unrolled_length_mm, "length", units=display, digits=1)
    yield "Section, unrolled", f"{length}, {counted(len(section.bends), 'bend')}", "", rests
    if found is not None:
        yield "K of this sheet, by test strips", str(found), "", f"derived, {GIVEN}"
    for number, patch in enumerate(result.patches, 1):
        bends = {bend.number: bend for bend in patch.bends}
        said = ", ".join(
            f"{b.number}: {b.angle_deg:.0f}° {b.toward or '?'}" for b in bends.values()
        )
        yield f"Patch {number}: bends", said or "none", "", GIVEN


def summary(result: Estimate, *, display: str = "mm") -> list[tuple[str, str, str, str]]:
    """Return a row under the heads `SUMMARY` for every result."""
    rows = [("Sheet", thickness(result, display), "", result.rests_on("thickness_mm"))]
    rows += [
        (what, size, "", result.rests_on("blank_mass_g")) for what, size in _blanks(result, display)
    ]
    rows += _bent(result, display)
    rows += [
        (one.what, *_shown(result, one, display), result.rests_on(one.figure))
        for one in chief_figures(result, display)
    ]
    shade = lens_shade.lens_shade(result.job.weld.process, result.lens_current_a)
    rows.append(("Lens shade, at least", f"{result.lens_shade_min}", "", shade.status))
    return rows


def in_display(span: Range, kind: str, display: str) -> Range:
    """Return a range of internal numbers in the unit it is shown in."""
    low, likely, high = (
        amounts.converted(end, kind, units=display) for end in (span.low, span.likely, span.high)
    )
    return Range(low[0], likely[0], high[0], likely[1])


def summary_numbers(result: Estimate, display: str = "mm") -> Listing:
    """Return the chief figures as numbers with their ranges, each with its unit and origin."""
    rows = []
    for one in chief_figures(result, display):
        span, unit = result.range(one.figure), ""
        if one.kind == MONEY:
            unit = result.job.shop.currency
        elif one.kind in (HOURS, CLOCK):
            unit = "h" if one.kind == HOURS else "s"
        elif one.kind != COUNT:
            span = in_display(span, one.kind, display)
            unit = span.unit
        rows.append((one.what, one.figure, span, unit, result.rests_on(one.figure)))
    return Listing(["what", "figure", Column("likely", "", None), "unit", "rests on"], rows)


ROUTES = (
    "Two routes to the wire: by the volume of gap and cap, and by wire-feed speed × arc time. They "
    "should agree within a factor of 2.5; where they don't, a caution says so: current, travel or "
    "gap is wrong for the sheet. Buy by the larger. For plugs the second only adds the start."
)
