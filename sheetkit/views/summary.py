"""An estimate and a sequence as lines of text: for the terminal and for plain reading."""

from __future__ import annotations

from ..base import amounts
from ..formulas import lens_shade
from ..geometry.patch import blank_size, mass
from ..repair.estimate import Estimate
from .words import minutes, thickness, totals

SUMMARY = ("what", "amount", "how far it can differ", "rests on")


def summary(result: Estimate, *, display: str = "mm") -> list[tuple[str, str, str, str]]:
    """Return a row under the heads `SUMMARY` for every result."""
    values, job = result.values, result.job

    def show(name: str, kind: str, digits: int | None = None) -> tuple[str, str, str]:
        low, high = result.spans[name]
        ends = (amounts.show(max(v, 0.0), kind, units=display, digits=digits) for v in (low, high))
        span = "" if high - low < 1e-9 else " to ".join(ends)
        shown = amounts.show(values[name], kind, units=display, digits=digits)
        return shown, span, result.rests_on(name)

    energy_unit = ("kJ/in", 25.4) if display == "in" else ("kJ/mm", 1.0)

    def energy(name: str) -> tuple[str, str, str]:
        unit, scale = energy_unit
        low, high = result.spans[name]
        return (
            f"{values[name] * scale:.3f} {unit}",
            f"{low * scale:.3f} to {high * scale:.3f} {unit}",
            result.rests_on(name),
        )

    def count(name: str, number: float) -> tuple[str, str, str]:
        return f"{number:.0f}", "", result.rests_on(name)

    size = amounts.show
    rows = [("Sheet", thickness(result, display), "", result.rests_on("thickness_mm"))]
    for number, patch in enumerate(result.patches, 1):
        sides = " × ".join(size(s, "length", units=display) for s in blank_size(patch.blank))
        rows.append(
            (
                f"Patch {number}: blank",
                f"{sides}, {size(mass(patch.blank.area, job.sheet.thickness), 'mass', units=display)}",
                "",
                result.rests_on("blank_mass_g"),
            )
        )
    rows += [
        ("Cut line", *show("cut_length_mm", "length")),
        ("Seam", *show("seam_length_mm", "length")),
        ("Tacks", *count("tack_count", len(result.tacks))),
    ]
    kinds = {"stitch": "Stitches", "dots": "Groups of dots", "plug": "Plug welds"}
    for kind in sorted({weld.kind for weld in result.welds}):
        number = sum(w.kind == kind for w in result.welds)
        rows.append((kinds[kind], *count("weld_count", number)))
    if values["dot_count"]:
        rows.append(("Dots", *count("dot_count", values["dot_count"])))
    rows += [
        ("Current", *show("current_a", "current", 0)),
        ("Voltage", *show("voltage_v", "voltage", 1)),
        ("Travel speed", *show("travel_mm_min", "speed")),
        ("Wire diameter", *show("wire_diameter_mm", "wire")),
    ]
    if "wire_feed_m_min" in values:
        rows.append(("Wire-feed speed", *show("wire_feed_m_min", "feed")))
    rows += [
        ("Arc energy (U I / v)", *energy("arc_energy_kj_per_mm")),
        ("Heat input (k U I / v)", *energy("heat_input_kj_per_mm")),
        (
            "Arc time",
            minutes(values["arc_time_s"]),
            " to ".join(minutes(v) for v in result.spans["arc_time_s"]),
            result.rests_on("arc_time_s"),
        ),
        ("Weld metal", *show("deposit_g", "mass")),
        ("Wire, by the joint's volume", *show("wire_g", "mass")),
    ]
    if "wire_by_feed_g" in values:
        rows.append(("Wire, by wire-feed speed × arc time", *show("wire_by_feed_g", "mass")))
    if "gas_real_l" in values:
        rows += [
            ("Gas, arc alone", *show("gas_arc_l", "volume")),
            ("Gas, with pre-flow, post-flow, surge", *show("gas_real_l", "volume")),
        ]
    if "cylinder_left_l" in values:
        rows.append(
            (
                "Left in the cylinder",
                *show("cylinder_left_l", "volume", 0 if display == "mm" else 1),
            )
        )
    rows += [(words, *shown, result.rests_on(name)) for words, name, *shown in totals(result)]
    shade = lens_shade.lens_shade(job.weld.process, values["current_a"])
    rows.append(("Lens shade, at least", f"{result.lens_shade_min}", "", shade.status))
    return rows


ROUTES = (
    "The two wire figures differ because they ask different questions: the joint's volume gives "
    "what a joint of just this gap and cap holds; wire-feed speed × arc time gives what the machine "
    "feeds at this current and travel, into a bigger bead, spatter and tacks. Buy by the larger."
)
