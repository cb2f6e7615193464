"""Plans that must reach set figures, and how long planning takes."""

import itertools
import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import LineString

from sheetkit.heat.rules import Rules
from sheetkit.heat.weld_source import WeldRun
from sheetkit.heat.workpiece import Workpiece
from sheetkit.sequence import orders
from sheetkit.sequence.plan import plan_sequence
from sheetkit.sequence.planner import SearchChoice


def ring(width, height):
    return LineString(shapely.box(0, 0, width, height).exterior.coords)


def rounded(length_mm):
    """Return a ring of 300 corners, three to two, of about this length."""
    box = shapely.box(0, 0, 0.3 * length_mm, 0.2 * length_mm)
    return LineString(box.buffer(-60).buffer(60, quad_segs=75).exterior.coords)


def runs_on(line, count, length=None, joule_mm=100.0):
    pitch = line.length / count
    each = length or pitch
    result = []
    for n in range(count):
        at = n * pitch + (pitch - each) / 2 + np.linspace(0, each, 33)
        points = shapely.get_coordinates(shapely.line_interpolate_point(line, at % line.length))
        result.append(WeldRun(points, joule_mm * each, each / 6.667))
    return result


@pytest.fixture(scope="module", autouse=True)
def compiled():
    piece = Workpiece(None, [ring(60, 60)], 1.0, stitches=runs_on(ring(60, 60), 12))
    plan_sequence(piece, choice=SearchChoice(effort=0.02))


def timed_plan(seam, tacks, stitches, limit_c=60.0, **choice):
    begin = time.process_time()
    piece = Workpiece(None, [seam], 1.0, tacks, stitches)
    plan = plan_sequence(piece, rules=Rules(limit_c), choice=SearchChoice(**choice))
    seconds = time.process_time() - begin
    print(
        f"\n{len(stitches)} stitches, limit {plan.interpass_limit_c:.0f}: {plan.method}, fill"
        f" {plan.total_s:.0f} s, loop {plan.loop_total_s:.0f} s ({plan.gain:.2f} times), no wait"
        f" {plan.no_wait_bound_s:.0f} s ({plan.total_s / plan.no_wait_bound_s:.3f}), over the"
        f" limit at half the cell {plan.verified_excess_c:.2f} K, planned in {seconds:.1f} s of the processor"
    )
    return plan, seconds


@pytest.fixture(scope="module")
def sixty():
    seam = ring(300, 200)
    return seam, runs_on(seam, 40, 5), runs_on(seam, 60)


def test_sixty_stitches_at_60_degrees(sixty):
    plan, seconds = timed_plan(*sixty, limit_c=60)
    assert plan.gain >= 7
    assert plan.verified_excess_c <= 3
    assert seconds < 5


def test_sixty_stitches_at_80_degrees(sixty):
    plan, seconds = timed_plan(*sixty, limit_c=80)
    assert plan.total_s <= 1.25 * plan.least_total_s, "no order at all is quicker by more"
    assert plan.verified_excess_c <= 3
    assert seconds < 5


def test_two_hundred_stitches():
    seam = ring(1000, 670)
    plan, seconds = timed_plan(seam, runs_on(seam, 130, 5), runs_on(seam, 200))
    assert plan.verified_excess_c <= 3
    assert seconds < 30


@pytest.mark.parametrize(("length_mm", "limit_c"), [(25.0, 60.0), (25.0, 40.0), (10.0, 40.0)])
def test_three_hundred_stitches_take_a_minute_and_400_megabytes(length_mm, limit_c):
    """Along a seam of hundreds of corners; seconds of processor time, of all threads."""
    code = (
        "import resource, time, test_planner as t, numpy as np;"
        "t.plan_sequence(t.Workpiece(None, [t.ring(60, 60)], 1.0,"
        " stitches=t.runs_on(t.ring(60, 60), 12)), choice=t.SearchChoice(effort=0.02));"
        f"seam = t.rounded({300 * length_mm});"
        "begin = time.process_time();"
        f"plan, _ = t.timed_plan(seam, t.runs_on(seam, 190, 5), t.runs_on(seam, 300), {limit_c});"
        "print(time.process_time() - begin,"
        " resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, plan.verified_excess_c)"
    )
    done = subprocess.run([sys.executable, "-c", code], text=True, capture_output=True, check=True,
                          cwd=Path(__file__).parent)  # fmt: skip
    seconds, megabytes, excess_k = map(float, done.stdout.splitlines()[-1].split())
    print(f"\n300 of {length_mm:g} mm at {limit_c:g} °C: {seconds:.0f} s, {megabytes:.0f} MB")
    assert seconds <= 60 and megabytes <= 400 and excess_k <= 1


def test_no_skip_order_of_sixty_is_quicker(sixty):
    plan, _ = timed_plan(*sixty, limit_c=60)
    model, tacks = plan.model, len(plan.tack_order)
    tacked = plan.tacked()
    for step, order_of in itertools.product(
        range(2, 31), (orders.skip_order, orders.skip_round_order)
    ):
        timing = model.time(
            tacks + np.array(order_of(60, step)), plan.rules, state=tacked,
            after=plan.last_tack, cutoff_s=plan.total_s,
        )  # fmt: skip
        assert timing.total_s >= plan.total_s - 1e-6


@pytest.mark.parametrize(
    ("size", "count"), [((40, 40), 7), ((100, 80), 7), ((300, 200), 7), ((60, 60), 8)]
)
def test_few_stitches_are_within_a_hundredth_of_the_exact_optimum(size, count):
    """Every order marched on the plan's own grid; by symmetry of none, all are tried."""
    seam = ring(*size)
    stitches = runs_on(seam, count, min(25.0, seam.length / count))
    plan, _ = timed_plan(seam, runs_on(seam, 8, 5), stitches, grid_mm=6)
    model = plan.model
    tacked = plan.tacked()
    best = plan.total_s
    for order in itertools.permutations(range(count)):
        timing = model.time(
            8 + np.array(order), plan.rules, state=tacked, after=plan.last_tack,
            held=plan.held, cutoff_s=best,
        )  # fmt: skip
        if np.isfinite(timing.start_s).all():
            best = min(best, timing.total_s)
    print(
        f"exact optimum {best:.1f} s: the plan takes {100 * (plan.total_s / best - 1):.2f} % more"
    )
    assert plan.total_s <= 1.01 * best


def test_first_use_compiles_within_a_quarter_of_a_minute(tmp_path):
    """Everything compiled from nothing, then loaded from the cache by another process."""
    code = (
        "import time, numpy as np, shapely; from shapely import LineString;"
        "from sheetkit.heat.weld_source import WeldRun;"
        "from sheetkit.heat.workpiece import Workpiece;"
        "from sheetkit.sequence.plan import plan_sequence, SearchChoice;"
        "r = LineString(shapely.box(0, 0, 60, 60).exterior.coords);"
        "w = [WeldRun(np.array([[5.0 * n, 0], [5 * n + 4, 0]]), 400, 0.6) for n in range(12)];"
        "told = []; t = time.perf_counter();"
        "plan_sequence(Workpiece(None, [r], 1.0, stitches=w), choice=SearchChoice(effort=0.02),"
        " progress=lambda *a: told.append(a));"
        "print(time.perf_counter() - t, told[0][0])"
    )
    environment = os.environ | {"NUMBA_CACHE_DIR": str(tmp_path)}
    taken = []
    for _ in range(2):
        done = subprocess.run([sys.executable, "-c", code], env=environment, text=True,
                              capture_output=True, check=True)  # fmt: skip
        seconds, words = done.stdout.strip().split(" ", 1)
        assert ("compiled" in words) == (not taken), "said the first time, and then no more"
        taken.append(float(seconds))
    print(f"\nfirst use {taken[0]:.1f} s, from the cache {taken[1]:.1f} s")
    assert taken[0] < 15
    assert taken[1] < 4
