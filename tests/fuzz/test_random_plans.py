"""Small jobs drawn at random through the planner; each start is looked at again on half the cell."""

import random
from dataclasses import dataclass, replace

import numpy as np
import random_jobs
import shapely
from guard import COUNT, check_faults
from shapely import LineString

from sheetkit import Job, estimate, plan
from sheetkit.base.errors import SheetkitError
from sheetkit.heat.grid import GridChoice
from sheetkit.heat.sheet_model import SheetModel

PLANNED = max(2, COUNT // 333)
LONGEST_SEAM_MM, MOST_WELDS = 400, 24
TOLD_K = 1.0
"""What is over its limit by more than this on the finer grid must be told."""
NEAR_K = 0.5
"""How near the plan's own look at the finer grid must come to this one."""


@dataclass(frozen=True)
class Looked:
    """What one plan's starts look like on half the cell."""

    starts: int
    over_k: np.ndarray
    """How far each start is over the limit, K; below 0: under it."""
    told_k: float
    wrong: tuple[str, ...]


def places_near(rng: random.Random, data: dict) -> list[dict]:
    """Return places that must stay cool round the rust; two may have one name."""
    x, y = data["rust"][0]["ring"][0]

    def at() -> list[float]:
        return [x + rng.uniform(-150, 150), y + rng.uniform(-150, 150)]

    def place() -> dict:
        where = {"at": at()} if rng.random() < 0.6 else {"line": [at(), at()]}
        return {"name": rng.choice(("pipe", "wiring")), "limit": rng.uniform(30, 200)} | where

    return [place() for _ in range(rng.randint(0, 3))]


def small(number: int):
    """Return the estimate of a random job with a short seam; None for another one."""
    rng = random.Random(f"plan {number}")
    data = random_jobs.job_data(rng)
    data["rust"] = data["rust"][:1]
    data["panel"]["protect"] = places_near(rng, data)
    data["patch"]["margin"] = rng.uniform(0, 15)
    try:
        result = estimate(Job.from_data(data))
    except SheetkitError as refused:
        check_faults(refused.faults)
        return None
    welds = len(result.tacks), len(result.welds)
    short = result.values["seam_length_mm"] <= LONGEST_SEAM_MM and max(welds) <= MOST_WELDS
    return result if short else None


def looked_at(result) -> Looked | None:
    """Plan, and play the plan's own starts again on half the cell; None if no plan can be."""
    try:
        found = plan(result)
    except SheetkitError as refused:
        check_faults(refused.faults)
        return None
    asked = result.job.panel.protect
    shapes = [shapely.Point(one.at) if one.at else LineString(one.line) for one in asked]
    piece = replace(found.model.piece, protect=shapes)
    model = SheetModel(piece, GridChoice(cell_mm=found.grid_mm / 2))
    again = model.play(*found.schedule(), look_ahead_s=found.rules.look_ahead_s)
    over = again.peak_before_start_c - found.interpass_limit_c
    wrong = [
        f"start {n} is {k:.1f} K over and the plan says {found.verified_excess_c:.1f}"
        for n, k in enumerate(over)
        if k > max(TOLD_K, found.verified_excess_c + NEAR_K)
    ]
    if [(p.name, p.limit_c) for p in found.protected] != [(a.name, a.limit) for a in asked]:
        wrong.append("places are not those of the job, in their order")
    for n, (told, own) in enumerate(zip(found.protected, again.points_peak_c, strict=True)):
        if own > told.peak_c + NEAR_K + 0.02 * (own - 20):
            wrong.append(f"place {n} gets {own:.1f} °C, the plan says {told.peak_c:.1f}")
        if own > told.limit_c + TOLD_K and not told.over:
            wrong.append(
                f"place {n} gets {own:.1f} °C, over {told.limit_c:.1f}, and nothing is said"
            )
    welds = len(result.tacks), len(result.welds)
    if (sorted(found.tack_order), sorted(found.order)) != tuple(map(list, map(range, welds))):
        wrong.append("not each weld once")
    times = np.array([*found.start_s, *found.wait_s, found.total_s, found.tack_s])
    if not (np.isfinite(times).all() and times.min() >= -1e-6):
        wrong.append("a time that is none")
    return Looked(len(over), over, found.verified_excess_c, tuple(wrong))


def test_random_plans_hold_on_half_the_cell():
    planned, number, wrong = 0, 0, []
    while planned < PLANNED:
        result = small(number)
        seen = looked_at(result) if result else None
        planned += seen is not None
        wrong += [f"job {number}: {one}" for one in (seen.wrong if seen else ())]
        number += 1
    assert wrong == []
