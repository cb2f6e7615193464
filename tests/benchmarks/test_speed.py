"""Speed as ratios within one run: `pytest tests/benchmarks` (left out of the usual run)."""

import statistics
import time

import numpy as np
import pytest
import shapely

import sheetkit

MARGIN, RADIUS, GAP, WEB = 25.0, 25.0, 0.9, 20.0
MOST_TIMES = 3.0
MOST_MORE_S = 0.100


def ring(n, noise, seed=1):
    at = 2 * np.pi * np.arange(n) / n
    chance = np.random.default_rng(seed)
    r = 100 + 8 * np.sin(3 * at) + 3 * np.cos(7 * at) + chance.uniform(-noise, noise, n)
    return np.column_stack([200 + r * np.cos(at), 200 + r * np.sin(at)])


PANEL = [[0, 0], [600, 0], [600, 400], [0, 400]]


def make(job, points):
    return job(rust=[{"ring": points.tolist()}], panel={"outline": PANEL}, patch={"gap": GAP})


def median_s(function, rounds=15):
    function()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def bare(rust, panel):
    """The shapely calls an estimate can't do without, and nothing else."""
    whole = shapely.union_all([rust])
    grown = whole.buffer(MARGIN, quad_segs=32)
    closed = grown.buffer(RADIUS, quad_segs=32).buffer(-RADIUS, quad_segs=32)
    cut = closed.intersection(panel)
    cut.buffer(0.001).covers(grown.intersection(panel))
    patch = cut.buffer(-GAP, quad_segs=32)
    seam = cut.buffer(-GAP / 2, quad_segs=32).exterior
    seam.interpolate(np.linspace(0, seam.length, 80))
    return patch.minimum_rotated_rectangle


def test_estimate_costs_little_more_than_its_geometry(job):
    """A rust-out of 60 vertices: at most 3 times the bare shapely calls."""
    one = make(job, ring(60, 4.0))
    rust, panel = one.rust[0].ring.polygon, shapely.Polygon(PANEL)
    ratios = [
        median_s(lambda: sheetkit.estimate(one)) / median_s(lambda: bare(rust, panel))
        for _ in range(5)
    ]
    print(f"\nestimate / bare shapely: {statistics.median(ratios):.2f} of {MOST_TIMES:g} allowed")
    assert statistics.median(ratios) <= MOST_TIMES


@pytest.mark.parametrize("noise", [0.2, 0.6])
def test_ten_thousand_vertices_cost_at_most_a_tenth_of_a_second_more(job, noise):
    """Against the same ring simplified to 0.5 mm."""
    points = ring(10_000, noise)
    simple = np.asarray(shapely.Polygon(points).simplify(0.5).exterior.coords)[:-1]
    drawn, simplified = make(job, points), make(job, simple)
    more = median_s(lambda: sheetkit.estimate(drawn), 7) - median_s(
        lambda: sheetkit.estimate(simplified), 7
    )
    print(f"\n10,000 vertices against {len(simple)}: {1000 * more:.0f} ms more")
    assert more <= MOST_MORE_S
