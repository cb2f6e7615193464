"""Orders and waits, re-checked by a superposition written here from the closed form."""

import math
from itertools import pairwise

import numpy as np
import pytest

import sheetkit
from sheetkit import OutOfRange, sequence
from sheetkit.heat import WeldRun

K, RHO_C, LOSS, AMBIENT = 0.040, 7850e-9 * 600, 10e-6, 20.0
"""W/(mm K), J/(mm³ K), W/(mm² K) from each face, degC."""
LIMIT, THICKNESS, STITCH_S, POWER = 60.0, 1.0, 3.0, 560.0


def seam(n, side=200.0):
    """Return n stitches round a square, as runs."""
    corners = np.array([[0, 0], [side, 0], [side, side], [0, side], [0, 0]], float)
    at = np.linspace(0, 4 * side, n + 1)
    marks = np.arange(5) * side

    def point(s):
        return np.array([np.interp(s, marks, corners[:, k]) for k in (0, 1)])

    return [
        WeldRun(
            np.array([point(a), *(point(m) for m in marks if a < m < b), point(b)]),
            POWER * STITCH_S,
            STITCH_S,
        )
        for a, b in pairwise(at)
    ]


def thirds(path):
    """Return the middles of a path's thirds."""
    steps = np.hypot(*np.diff(path, axis=0).T)
    along = np.concatenate([[0], np.cumsum(steps)])
    places = along[-1] * np.array([1, 3, 5]) / 6
    return [(np.interp(p, along, path[:, 0]), np.interp(p, along, path[:, 1])) for p in places]


def temperature(place, when, fired, thickness):
    """Return degC at a place and time: each earlier stitch as three sources at its middle time.

    dT = Q/(4 pi k h t) exp(-r²/(4 a t) - b t), Carslaw and Jaeger section 10.3 (from memory).
    """
    a, b = K / RHO_C, 2 * LOSS / (RHO_C * thickness)
    rise = 0.0
    for run, middle in fired:
        age = when - middle
        for x, y in thirds(run.path):
            r2 = (place[0] - x) ** 2 + (place[1] - y) ** 2
            strength = run.energy_j / 3 / (4 * math.pi * K * thickness * age)
            rise += strength * math.exp(-r2 / (4 * a * age) - b * age)
    return AMBIENT + rise


def hottest_before(runs, order, starts, thickness, step=0.5):
    """Return for each turn the highest temperature along it from its start to 20 s later."""
    found, fired = [], []
    for i, start in zip(order, starts, strict=True):
        moments = np.arange(start, start + 20 + step / 2, step)
        places = thirds(runs[i].path)
        found.append(
            max((temperature(p, m, fired, thickness) for p in places for m in moments), default=0)
            if fired
            else AMBIENT
        )
        fired.append((runs[i], start + runs[i].duration_s / 2))
    return found


@pytest.fixture(scope="module")
def planned():
    runs = seam(16)
    return runs, sequence.plan_sequence(
        [], runs, tack_round=[], thickness_mm=THICKNESS, interpass_limit_c=LIMIT
    )


def test_no_start_is_earlier_than_the_rule_allows(planned):
    runs, plan = planned
    hottest = hottest_before(runs, plan.order, plan.start_s, THICKNESS)
    assert max(hottest) <= LIMIT + 0.5
    told = [plan.peak_before_start_c[i] for i in plan.order]
    assert told == pytest.approx(hottest, abs=0.5)


def test_waits_are_needed(planned):
    """A second earlier, a stitch that waited would be over the limit."""
    runs, plan = planned
    assert max(plan.wait_s) > 0
    for turn, wait in enumerate(plan.wait_s):
        if wait < 3:
            continue
        starts = list(plan.start_s)
        starts[turn] -= 2.0
        before = hottest_before(runs, plan.order[: turn + 1], starts[: turn + 1], THICKNESS)
        assert before[-1] > LIMIT - 0.5


def test_times_add_up(planned):
    """Start + welding + 3 s + distance / 0.1 m/s + wait = the next start; bound without waits."""
    runs, plan = planned
    moves = []
    for a, b in pairwise(plan.order):
        moves.append(3 + np.hypot(*(runs[b].path[0] - runs[a].path[-1])) / 100)
    for turn, move in enumerate(moves):
        end = plan.start_s[turn] + STITCH_S
        assert plan.start_s[turn + 1] == pytest.approx(end + move + plan.wait_s[turn + 1])
    assert plan.start_s[0] == plan.wait_s[0] == 0
    assert plan.total_s == pytest.approx(plan.start_s[-1] + STITCH_S)
    assert plan.no_wait_bound_s == pytest.approx(sum(moves) + 16 * STITCH_S)
    assert plan.total_s >= plan.no_wait_bound_s


def test_best_is_never_worse_than_once_round(planned):
    _, plan = planned
    assert plan.total_s <= plan.loop_total_s
    totals = {name: total for name, total, _ in plan.alternatives}
    assert totals["once round"] == plan.loop_total_s
    assert plan.total_s == min(totals.values())
    assert sorted(plan.order) == list(range(16))


@pytest.mark.parametrize("limit", [45.0, 60.0, 100.0, 250.0])
def test_higher_limit_is_never_slower(limit):
    runs = seam(8)
    slow, fast = (
        sequence.plan_sequence(
            [], runs, tack_round=[], thickness_mm=1.0, interpass_limit_c=c, order=range(8)
        )
        for c in (limit, limit + 40)
    )
    assert fast.total_s <= slow.total_s
    assert slow.method == "your own"


@pytest.mark.parametrize("n", [0, 1, 2, 3])
def test_few_stitches(n):
    plan = sequence.plan_sequence([], seam(16)[:n], tack_round=[], thickness_mm=1.0)
    assert sorted(plan.order) == list(range(n))
    assert len(plan.start_s) == len(plan.wait_s) == n


@pytest.mark.parametrize("order", [[0, 1], [0, 1, 1], [0, 1, 3], [0, 1, 2, 3]])
def test_own_order_must_name_each_once(order):
    with pytest.raises(OutOfRange, match="each of 0 to 2 once"):
        sequence.plan_sequence([], seam(16)[:3], tack_round=[], thickness_mm=1.0, order=order)


@pytest.mark.parametrize(
    ("choice", "words"),
    [
        ({"interpass_limit_c": 21.0}, "interpass_limit"),
        ({"interpass_limit_c": 301.0}, "interpass_limit"),
        ({"thickness_mm": 0.1}, "thickness"),
        ({"interpass_limit_c": math.nan}, "interpass_limit"),
    ],
)
def test_limits(choice, words):
    with pytest.raises(OutOfRange, match=words):
        sequence.plan_sequence([], seam(4), tack_round=[], **({"thickness_mm": 1.0} | choice))


@pytest.mark.parametrize("n", [1, 2, 3, 7, 8, 16, 45])
@pytest.mark.parametrize(
    "order",
    [
        sequence.loop_order,
        sequence.halving_order,
        sequence.back_step_order,
        lambda n: sequence.skip_order(n, 3),
    ],
)
def test_orders_name_each_stitch_once(order, n):
    assert sorted(order(n)) == list(range(n))


def test_orders_by_hand():
    assert sequence.skip_order(7, 3) == [0, 3, 6, 1, 4, 2, 5]
    assert sequence.halving_order(8) == [0, 4, 2, 6, 1, 5, 3, 7]
    assert sequence.back_step_order(7) == [2, 1, 0, 5, 4, 3, 6]


def test_tacks_go_round_by_round():
    rounds = [0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 2]
    order = sequence.tack_rounds(rounds)
    assert sorted(order) == list(range(16))
    assert [rounds[i] for i in order] == sorted(rounds)
    assert order[:4] == [0, 2, 1, 3]


@pytest.mark.parametrize("name", ["trunk_floor", "wheel_arch", "footwell"])
def test_demo_sequence_keeps_the_rule(told, demo, name):
    """Re-checked from the printed starts alone, with the tacks' heat left out of the sum."""
    job = sheetkit.Job.from_data(demo(name))
    result = sheetkit.estimate(job)
    plan = sheetkit.plan(result)
    printed = told("sequence", name)
    assert printed["order"] == list(plan.order)
    assert printed["total_s"] <= printed["loop_total_s"]
    from sheetkit.stitches import paths

    power = result.values["voltage_v"] * result.values["current_a"] * 0.8
    if name == "footwell":
        seconds = [2.0] * len(result.welds)
    elif name == "wheel_arch":
        seconds = [w.dots * 0.5 for w in result.welds]
    else:
        seconds = [w.length / result.values["travel_mm_min"] * 60 for w in result.welds]
    runs = [
        WeldRun(np.asarray(path), power * s, s)
        for path, s in zip(paths(result.welds, result.runs), seconds, strict=True)
    ]
    # the printed times are rounded to 0.1 s; later turns repeat what the first ones show
    turns = slice(0, 16)
    hottest = hottest_before(
        runs, printed["order"][turns], printed["start_s"][turns], job.sheet.thickness, step=1.0
    )
    assert max(hottest) <= job.weld.interpass_limit + 1.0
