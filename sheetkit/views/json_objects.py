"""Estimate and sequence as the command line's JSON objects: keys and units are a contract."""

from __future__ import annotations

import math

from shapely import MultiLineString, Polygon

from ..base.showing import Range
from ..base.tables import limit
from ..formulas import hours
from ..geometry.fold import Bend
from ..geometry.patch import blank_size, mass
from ..repair.estimate import Estimate
from ..repair.known_heat import KnownHeat, known_heat
from ..repair.machine_load import MachineLoad, machine_load
from ..repair.plan import surroundings
from ..sequence.hot_strips import all_ends_s, reached
from ..sequence.plan import SequencePlan
from .heat_words import checked_line
from .place_words import told_apart
from .shop_words import UNVALIDATED
from .words import waits


def _ring(shape: Polygon) -> list[list[float]]:
    """Return an outline to 0.001 mm, or closer where a neck is so narrow that it would cross itself."""
    for digits in (3, 6, 9):
        ring = [[round(x, digits), round(y, digits)] for x, y in shape.exterior.coords]
        if Polygon(ring).is_valid:
            break
    return ring


def estimate_object(result: Estimate, *, display: str = "mm") -> dict:
    """Return the estimate as the command line's JSON object (keys and units are a contract).

    Single figures have every input at its own value; `ranges` gives what is likely
    of them (the middle of the draws) with the one-in-ten ends.
    """
    job, values = result.job, result.values

    def number(name: str, digits: int = 4) -> float | None:
        value = values.get(name)
        return None if value is None else round(float(value), digits)

    plug = job.patch.joint == "plug"
    return {
        "title": job.title,
        "hand": job.hand,
        "single_figures": "with every input at its usual value; `ranges` has what is likely",
        "hours_stand": waits(result),
        "patches": [
            {
                "cut_line": _ring(patch.cut_line),
                "outline": _ring(patch.outline),
                "blank_outline": _ring(patch.blank),
                "area_mm2": round(patch.outline.area, 3),
                "perimeter_mm": round(patch.outline.length, 4),
                "blank_mm": [round(side, 2) for side in blank_size(patch.blank)],
                "mass_g": round(mass(patch.blank.area, job.sheet.thickness), 3),
                "seam_length_mm": round(patch.seam_length_mm, 4),
                "covers_rust": patch.covers_rust,
                "bends": [_bend(bend) for bend in patch.bends],
                "lips": [
                    {
                        "number": lip.number,
                        "bend": lip.bend.number,
                        "developed_mm": round(lip.developed_mm, 3),
                        "stretch_share": round(lip.stretch, 4),
                        "shrink_share": round(lip.shrink, 4),
                        "reliefs": lip.reliefs,
                    }
                    for lip in patch.lips
                ],
            }
            for patch in result.patches
        ],
        "section": _section(result),
        "seam_length_mm": number("seam_length_mm"),
        "tack_count": len(result.tacks),
        "stitch_count": len(result.welds),
        "dot_count": int(values["dot_count"]),
        "plug_count": int(values["plug_count"]),
        "arc_energy_kj_per_mm": number("arc_energy_kj_per_mm", 6),
        "heat_input_kj_per_mm": number("heat_input_kj_per_mm", 6),
        "plug_arc_energy_kj": number("plug_arc_energy_kj"),
        "plug_heat_input_kj": number("plug_heat_input_kj"),
        "deposit_g": number("deposit_g"),
        "wire_g": number("wire_g"),
        "wire_m": number("wire_m"),
        "wire_by_feed_g": number("wire_by_feed_g"),
        "wire_by_feed_m": number("wire_by_feed_m"),
        "arc_time_s": number("arc_time_s"),
        "gas_arc_l": number("gas_arc_l") or 0.0,
        "gas_real_l": number("gas_real_l") or 0.0,
        "cylinder_left_l": number("cylinder_left_l"),
        "hours": _total(result, "hours_h"),
        "hours_by_step": {
            step: _rounded(Range(row["low"], row["hours"], row["high"]))
            for step, row in zip(
                hours.STEPS, hours.by_step(result.parts("hours_h"), result.spans), strict=True
            )
        },
        "arc_on_share": number("arc_on_share"),
        "cost": _total(result, "cost") | {"currency": job.shop.currency},
        "ranges": {name: _rounded(result.range(name), 4) for name in _RANGED if name in values},
        "continuous_seam": result.is_continuous and not plug,
        "cautions": [str(caution) for caution in result.cautions(display)],
        "lens_shade_min": result.lens_shade_min,
        "known_heat": _heat(known_heat(job, values)),
        "machine": _machine(machine_load(result)),
    }


def _bend(bend: Bend) -> dict:
    """Return a bend with its line on the blank."""
    return {
        "number": bend.number,
        "angle_deg": round(bend.angle_deg, 4),
        "radius_mm": round(bend.radius_mm, 4),
        "toward": bend.toward,
        "line": [[round(x, 3), round(y, 3)] for x, y in bend.line.coords],
    }


def _section(result: Estimate) -> dict | None:
    """Return the unrolled section and where the seam lies on it; None for a flat panel."""
    section = result.job.section
    if section is None:
        return None
    faces = result.job.faces(MultiLineString(result.runs))
    return {
        "unrolled_length_mm": round(section.unrolled_length_mm, 4),
        "run_deg": section.way_deg,
        "flats": [
            {
                "start_mm": round(start, 4), "end_mm": round(end, 4), "position": position,
                "closed": closed, "seam_share": round(share, 4),
            }
            for (start, end), position, closed, share in zip(
                section.flats, faces.positions, faces.closed, faces.shares, strict=True
            )
        ],
        "bends": [
            {
                "number": bend.number, "angle_deg": round(bend.angle_deg, 4),
                "radius_mm": round(bend.radius_mm, 4), "toward": bend.toward,
                "start_mm": round(bend.start_mm, 4), "end_mm": round(bend.end_mm, 4),
            }
            for bend in section.bends
        ],
    }  # fmt: skip


_RANGED = (
    "deposit_g", "wire_g", "wire_m", "wire_by_feed_g", "wire_by_feed_m", "arc_time_s", "gas_arc_l",
    "gas_real_l", "cylinder_left_l",
)  # fmt: skip


def _rounded(span: Range, digits: int = 2) -> dict[str, float]:
    return {key: round(getattr(span, key), digits) for key in ("low", "likely", "high")}


def _total(result: Estimate, name: str) -> dict[str, float]:
    """Return a total: its range, the most it can be, and the sum if every step goes as usual."""
    return _rounded(result.range(name)) | {
        "worst": round(result.worst(name)[1], 2),
        "as_usual": round(float(result.values[name]), 2),
    }


def _machine(load: MachineLoad) -> dict[str, float]:
    return {
        "busiest_ten_minutes_arc_share": round(load.busiest_share, 4),
        "rated_share": load.rated_share,
        "rated_a": round(load.rated_a, 1),
        "mains_power_va": round(load.power_va),
    }


def _heat(found: KnownHeat) -> dict[str, float | str | None]:
    """Return the heat given beside that of known settings, in J/mm² or a plug's A."""
    return {
        "given": round(float(found.given), 1),
        "least_known": None if found.low is None else round(found.low, 1),
        "most_known": None if found.high is None else round(found.high, 1),
        "unit": "A" if found.unit == "A" else "J/mm²",
        "status": found.status,
    }


def _afterwards(order: SequencePlan) -> dict:
    """Return how far from the seam what suffers, and the clock of cooling and fire watch."""
    found, ends, watch = reached(order), all_ends_s(order), limit("fire_watch")
    return {
        "hot_strips": [
            {
                "name": strip.level.name,
                "level_c": strip.level.value,
                "mean_mm": round(strip.mean_mm, 1),
                "widest_mm": round(strip.widest_mm, 1),
                "origin": strip.level.origin,
            }
            for strip in found.strips
        ],
        "welding_ends_s": round(ends, 1),
        "cool_to_touch_s": None if found.touch_s is None else round(ends + found.touch_s, 1),
        "fire_watch_until_s": [
            round(ends + 60 * minutes, 1) for minutes in (watch.value, watch.high or watch.value)
        ],
    }


def planned_with(result: Estimate, order: SequencePlan) -> dict:
    """Return what an order was reckoned with: heat, air, what the faces lose, the sheet."""
    lying = surroundings(result.job)
    faces = {
        name: {
            "low": round(row.low or 0.0, 2), "planned": round(row.value, 2),
            "high": round(row.high or row.value, 2), "lies": what, "origin": row.origin,
        }
        for name, what, row in zip(
            ("front_loss_w_m2k", "back_loss_w_m2k"), (lying.front, lying.back), lying.sides,
            strict=True,
        )
    }  # fmt: skip
    return {
        "heat_over_estimate": round(order.heat_share, 4),
        "ambient_c": lying.ambient_c,
        **faces,
        "outline_drawn": result.job.panel_shape is not None,
        "near_edge": _near_edge(order),
        "validity": UNVALIDATED,
        "verified_excess_is": checked_line(order),
    }


def _near_edge(order: SequencePlan) -> dict | None:
    """Return what an edge that nobody drew would do; None: the outline is drawn, or not reckoned."""
    near = order.band.on_least
    if near is None:
        return None
    known, waits = limit("sheet_beyond_cut"), near.total_s - order.no_wait_bound_s
    return {
        "beyond_cut_mm": known.low or known.value,
        "planned_beyond_cut_mm": known.value,
        "waits_s": None if math.isinf(waits) else round(waits, 1),
        "total_s": None if math.isinf(waits) else round(near.total_s, 1),
        "over_limit_by_the_clock_k": round(near.excess_k, 1),
    }


def sequence_object(result: Estimate, order: SequencePlan) -> dict:
    """Return a sequence as the command line's JSON object (keys and units are a contract)."""
    return {
        "title": result.job.title,
        "tack_order": list(order.tack_order),
        "tack_s": round(order.tack_s, 1),
        "order": list(order.order),
        "start_s": [round(s, 1) for s in order.start_s],
        "wait_s": [round(s, 1) for s in order.wait_s],
        "total_s": round(order.total_s, 1),
        "loop_total_s": round(order.loop_total_s, 1),
        "no_wait_bound_s": round(order.no_wait_bound_s, 1),
        "least_total_s": round(order.least_total_s, 1),
        "peak_before_start_c": [round(c, 2) for c in order.peak_before_start_c],
        "patch": list(order.patch),
        "method": order.method,
        "grid_mm": round(order.grid_mm, 3),
        "heat_imbalance_mm": round(order.heat_imbalance_mm, 1),
        "robust_total_s": [None if math.isnan(s) else round(s, 1) for s in order.robustness],
        "waits_s": {
            key: None if math.isnan(value) else round(value, 1)
            for key, value in (
                ("low", order.waits.low),
                ("planned", order.waits.likely),
                ("high", order.waits.high),
            )
        },
        "wait_band_s": [[round(low, 1), round(high, 1)] for low, high in order.band.waits_s],
        "planned_with": planned_with(result, order),
        **_afterwards(order),
        "verified_excess_c": round(order.verified_excess_c, 2),
        "own_heat": _own_heat(order),
        "machine": _machine(machine_load(result, order)),
        "protected_peak_c": {
            name: {"peak": round(place.peak_c, 1), "limit": place.limit_c}
            for name, place in zip(
                told_apart(place.name for place in order.protected), order.protected, strict=True
            )
        },
        "total_unheld_s": round(order.unheld_total_s, 1),
        "protected": [
            {
                "name": place.name,
                "peak_c": round(place.peak_c, 1),
                "limit_c": place.limit_c,
                "over": place.over,
                "alone_c": round(place.alone_c, 1),
                "waited_for": place.held,
            }
            for place in order.protected
        ],
        "alternatives": [
            {
                "method": one.method,
                "total_s": round(one.total_s, 1),
                "heat_imbalance_mm": round(one.heat_imbalance_mm, 1),
                "peak_c": round(one.peak_c, 1),
                "on_front": one.on_front,
            }
            for one in order.alternatives
        ],
    }


def _own_heat(order: SequencePlan) -> dict | None:
    """Return the shop's own ratios to the book that a plan was made with; None: the book's."""
    own = order.own
    if own is None:
        return None
    heat, loss = order.taken
    return {
        "heat_ratio": _rounded(own.heat_range, 3),
        "loss_ratio": _rounded(own.loss_range, 3),
        "planned_heat_ratio": round(heat, 3),
        "planned_loss_ratio": round(loss, 3),
        "readings": own.readings,
        "jobs": own.jobs,
    }
