"""Jobs drawn at random through the estimate: covered, in order, finite, complete; or refused in words."""

import json
import math
import random
import re

import pytest
import random_jobs
import shapely
from guard import COUNT, check_faults
from shapely import Polygon

from sheetkit import Job, estimate
from sheetkit.base.errors import SheetkitError
from sheetkit.repair.rust_extent import with_extent
from sheetkit.views.json_objects import estimate_object

DRAWN = COUNT // 5
EXTENTS = 50
"""One job in so many is also worked out with hidden rust: seven estimates each."""
LEAST_UNCOVERED_MM2 = 0.02
SPAN = ("low", "likely", "high")
TOTAL = (*SPAN, "worst", "as_usual")
KEYS = {
    *("title", "patches", "seam_length_mm", "tack_count", "stitch_count", "dot_count"),
    *("plug_count", "arc_energy_kj_per_mm", "heat_input_kj_per_mm", "plug_arc_energy_kj"),
    *("plug_heat_input_kj", "deposit_g", "wire_g", "wire_m", "wire_by_feed_g", "wire_by_feed_m"),
    *("arc_time_s", "gas_arc_l", "gas_real_l", "cylinder_left_l", "hours", "hours_by_step"),
    *("arc_on_share", "cost", "ranges", "continuous_seam", "cautions", "lens_shade_min"),
    *("single_figures", "hours_stand", "known_heat", "machine", "section", "hand"),
}
"""These must be there; others may come."""
PATCH_KEYS = {
    *("cut_line", "outline", "blank_outline", "area_mm2", "perimeter_mm", "blank_mm", "mass_g"),
    *("seam_length_mm", "covers_rust", "bends", "lips"),
}
STEPS = {
    *("access_h", "cutting_h", "making_h", "fitting_h", "tacking_h", "welding_h", "dressing_h"),
    *("sealing_h", "paint_ready_h"),
}
FIGURES = ("hours_h", "cost", "wire_g", "gas_real_l", "arc_time_s")
MAY_BE_NULL = {
    *("cylinder_left_l", "plug_arc_energy_kj", "plug_heat_input_kj"),
    *(
        "section",
        "hand",
        "patches[].bends[].toward",
        "wire_by_feed_g",
        "wire_by_feed_m",
        "known_heat.least_known",
        "known_heat.most_known",
    ),
}
MAY_BE_NEGATIVE = {"cylinder_left_l"}


def uncovered_mm2(data: dict, cuts: list) -> float:
    """Return how much of the rust on the panel no cut takes out, by shapely alone."""
    rust = shapely.union_all([Polygon(one["ring"]) for one in data["rust"]])
    if "outline" in data["panel"]:
        rust = rust.intersection(Polygon(data["panel"]["outline"]))
    return rust.difference(shapely.union_all([Polygon(cut) for cut in cuts]).buffer(2e-3)).area


def not_finite(part: object, where: str = "") -> list[str]:
    """Return where a JSON object holds a number that is none, or nothing where a number must be."""
    if isinstance(part, dict):
        return [w for key, value in part.items() for w in not_finite(value, f"{where}.{key}")]
    if isinstance(part, list):
        return [w for n, value in enumerate(part) for w in not_finite(value, f"{where}[{n}]")]
    if part is None:
        anyone = re.sub(r"\[\d+\]", "[]", where[1:])
        return [] if anyone in MAY_BE_NULL else [f"{where} is null"]
    return [] if isinstance(part, str) or math.isfinite(part) else [f"{where} is {part}"]


def not_ordered(name: str, *rising: float) -> list[str]:
    pairs = zip(rising, rising[1:], strict=False)
    return [] if all(a <= b for a, b in pairs) else [f"{name} falls: {rising}"]


def wrong_in_json(found: dict) -> list[str]:
    """Return what breaks the contract of `estimate --json`."""
    wrong = not_finite(found)
    wrong += [f"keys are missing: {KEYS - set(found)}"] * (not set(found) >= KEYS)
    wrong += [f"keys of a patch differ: {p}" for p in map(set, found["patches"]) if p != PATCH_KEYS]
    wrong += [f"steps differ: {set(found['hours_by_step'])}"] * (
        set(found["hours_by_step"]) != STEPS
    )
    totals = {name: {key: found[name][key] for key in TOTAL} for name in ("hours", "cost")}
    for name, span in (found["ranges"] | found["hours_by_step"] | totals).items():
        wrong += not_ordered(name, *(span[key] for key in (*SPAN, "worst") if key in span))
        if min(span.values()) < 0 and name not in MAY_BE_NEGATIVE:
            wrong.append(f"{name} is negative: {span}")
    if not all(patch["area_mm2"] > 0 and patch["mass_g"] > 0 for patch in found["patches"]):
        wrong.append("a patch of nothing")
    counts = found["stitch_count"], found["seam_length_mm"], found["hours"]["low"]
    wrong += [f"nothing to weld: {counts}"] * (min(counts) <= 0)
    return wrong


def wrong_in(data: dict, result, worst_of: str) -> list[str]:
    """Return which invariants an estimate breaks; the worst case of one figure is long work."""
    found = json.loads(json.dumps(estimate_object(result)))
    wrong = wrong_in_json(found)
    wrong += [] if found["patches"] else ["no patch"]
    wrong += [] if all(patch["covers_rust"] for patch in found["patches"]) else ["rust not covered"]
    left = uncovered_mm2(data, [patch["cut_line"] for patch in found["patches"]])
    wrong += [f"{left:.3g} mm² of rust in no cut"] * (left > LEAST_UNCOVERED_MM2)
    for number, patch in enumerate(result.patches):
        sound = patch.outline.is_valid and patch.blank.is_valid and patch.cut_line.is_valid
        wrong += [] if sound else [f"patch {number} has an unsound outline"]
    for name, value in result.values.items():
        span, worst = result.range(name), result.worst(name) if name == worst_of else ()
        wrong += not_ordered(name, *worst[:1], span.low, span.likely, span.high, *worst[1:])
        if not all(map(math.isfinite, (value, span.low, span.likely, span.high, *worst))):
            wrong.append(f"{name} is {value}, {span}")
    return wrong


def wrong_with_extent(result) -> list[str]:
    """Return what is wrong once hidden rust is among what is uncertain."""
    extent = with_extent(result)
    wrong = []
    for name in ("seam_length_mm", "hours_h", "cost"):
        found = extent.spread(name)
        wrong += not_ordered(name, found.low, found.p10, found.p50, found.p90, found.high)
        wrong += [] if math.isfinite(found.mean + found.deviation) else [f"{name} is {found}"]
        ends = [one.values["seam_length_mm"] for one in (extent.low, extent.likely, extent.high)]
        wrong += [] if min(ends) > 0 else [f"a seam of {ends}"]
        wrong += not_ordered(f"hidden rust adds to {name}", 0, *extent.added(name))
    return wrong


def tried(number: int) -> list[str] | None:
    """Return what is wrong with the job of a number; None if it is refused in words."""
    data = random_jobs.job_data(random.Random(number))
    try:
        result = estimate(Job.from_data(data))
    except SheetkitError as refused:
        check_faults(refused.faults)
        return None
    wrong = wrong_in(data, result, FIGURES[number % len(FIGURES)])
    return wrong + (wrong_with_extent(result) if number % EXTENTS == 0 else [])


@pytest.mark.filterwarnings("error")
def test_random_jobs_are_covered_ordered_finite_and_complete():
    found, number, wrong = 0, 0, []
    while found < DRAWN:
        told = tried(number)
        found += told is not None
        wrong += [f"job {number}: {one}" for one in told or ()]
        number += 1
    assert wrong == []
    assert found > 0.8 * number, "most jobs drawn here are valid"


@pytest.mark.filterwarnings("error")
def test_a_cut_run_out_to_the_edge_over_slits_of_rounding_is_sound_and_quiet():
    assert tried(3650) == []


@pytest.mark.filterwarnings("error")
def test_a_cut_with_a_neck_narrower_than_the_last_digit_is_printed_sound():
    assert tried(13389) == []
