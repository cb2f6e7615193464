"""Orders polished by marches: every neighbour once, none worse than where it began."""

import itertools
import math
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from seams import runs_on
from shapely import LineString, Point

from sheetkit.heat.grid import GridChoice
from sheetkit.heat.rules import Rules
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.workpiece import Workpiece
from sheetkit.sequence.orders import loop_order, skip_order
from sheetkit.sequence.plan import plan_sequence
from sheetkit.sequence.planner import Planner, SearchChoice
from sheetkit.sequence.polish import Polish, neighbours
from sheetkit.sequence.responses import Tables
from sheetkit.sequence.search import Search

DISC = LineString(Point(0, 0).buffer(60, quad_segs=40).exterior.coords)
COUNT = 10


@pytest.fixture(scope="module")
def run():
    piece = Workpiece(None, [DISC], 1.0, runs_on(DISC, 8, 5), runs_on(DISC, COUNT, 25))
    models = tuple(SheetModel(piece, GridChoice(cell_mm=k * 4.0)) for k in (1.0, 2.0, 0.5))
    return Planner(models, Rules(60.0), [], range(8), SearchChoice())


@pytest.fixture(scope="module")
def search(run):
    tables = Tables(run.fine, run.tacked, 20.0, lambda *_: False)
    return Search.of(run.fine, run.rules, run.held, tables, run.last)


def test_neighbours_differ_only_between_two_places_and_come_once():
    order = [3, 0, 4, 1, 2]
    found = list(neighbours(order))
    assert len({tuple(other) for _, _, other in found}) == len(found)
    for i, j, other in found:
        assert sorted(other) == sorted(order) and other != order
        assert other[:i] == order[:i] and other[j + 1 :] == order[j + 1 :]
        assert other[i] != order[i] and other[j] != order[j]
    swapped = sum(1 for _, _, other in found if np.count_nonzero(np.subtract(other, order)) == 2)
    assert swapped == math.comb(5, 2)


def test_a_polished_order_stands_and_is_quicker_than_all_its_swaps(run, search):
    begun = run.fill(loop_order(COUNT)).total_s
    chain = Polish(run, search, lambda *_: False, 3000)
    total_s, order = chain.best(loop_order(COUNT), np.random.default_rng(1))
    assert sorted(order) == list(range(COUNT)) and total_s < 0.6 * begun
    assert 3000 <= chain.marches < 3000 + 3 * COUNT
    settled = run.checked_fill(order)
    assert settled.stands and settled.timing.total_s == total_s and settled.excess_k <= 1
    soonest_s = run.fill(order).total_s
    for a, b in itertools.combinations(range(COUNT), 2):
        other = list(order)
        other[a], other[b] = order[b], order[a]
        quick = run.fill(other, cutoff_s=0.98 * soonest_s)
        assert (
            not np.isfinite(quick.start_s).all()
            or run.checked_fill(other).timing.total_s >= total_s
        )


def test_prefixes_are_marched_once_and_give_the_same_times(run, search):
    chain = Polish(run, search, lambda *_: False, 10**6)
    order = skip_order(COUNT, 3)
    whole = chain._march(order, 0, COUNT, None, math.inf)
    assert whole.total_s == pytest.approx(run.fill(order).total_s, abs=1e-6)
    begin, end, other = next(
        one for one in neighbours(order)
        if one[0] >= 3 and run.fill(one[2]).total_s < whole.total_s
    )  # fmt: skip
    found = chain._march(other, begin, end, whole, whole.total_s)
    same = [a is b for a, b in zip(found.states, whole.states, strict=True)]
    assert same == [True] * (begin + 1) + [False] * (COUNT - begin)
    assert found.total_s == pytest.approx(run.fill(other).total_s, abs=1e-6)
    assert chain._march(other, begin, end, whole, 0.9 * found.total_s) is None


def test_polishing_stops_where_it_is_told_to(run, search):
    calls = itertools.count()
    chain = Polish(run, search, lambda *_: next(calls) > 20, 10**6)
    order = skip_order(COUNT, 2)
    _, found = chain.best(order, np.random.default_rng(1))
    assert sorted(found) == list(range(COUNT)) and next(calls) < 40
    stopped = Polish(run, search, lambda *_: True, 10**6)
    assert stopped.best(order, np.random.default_rng(1)) == (math.inf, order)
    assert stopped.marches == 0


def test_an_order_left_unchecked_is_checked_when_more_time_is_given(run):
    """A start over the limit on the finer grid: given up where the order takes too long already."""
    count = 13
    seam = LineString(
        shapely.affinity.scale(Point(0, 0).buffer(1, quad_segs=60), 90, 45).exterior.coords
    )
    piece = Workpiece(None, [seam], 1.0, runs_on(seam, 10, 5), runs_on(seam, count, 25))
    models = tuple(SheetModel(piece, GridChoice(cell_mm=k * 4.0)) for k in (1.0, 2.0, 0.5))
    oval = Planner(models, Rules(60.0), [], range(10), SearchChoice())
    for order in (skip_order(count, step) for step in range(2, 7)):
        left = oval.checked_fill(order, enough_s=1.0)
        whole = oval.checked_fill(order)
        assert whole.stands and whole.excess_k <= 1
        if not left.stands:
            assert whole.timing.total_s > left.timing.total_s
            # only those found over are held to less, so that it costs little
            assert 0 < np.count_nonzero(whole.held.less_k) < count
            return
    pytest.fail("no order is over the limit on the finer grid")


def test_plans_are_polished():
    piece = Workpiece(None, [DISC], 1.0, runs_on(DISC, 8, 5), runs_on(DISC, COUNT, 25))
    plan = plan_sequence(piece, choice=SearchChoice(effort=0.5))
    assert plan.method == "polished"
    assert plan.total_s < 0.99 * min(one.total_s for one in plan.alternatives[1:])


@pytest.mark.parametrize(("each_s", "counted"), [(20.0, 1.0), (1000.0, 10.0)])
def test_a_long_wait_counts_as_several_marches(each_s, counted):
    timing = SimpleNamespace(total_s=each_s, state=None)
    run = SimpleNamespace(
        count=3, tacks=0, last=-1, tacked=None, rules=None, held=None,
        fine=SimpleNamespace(time=lambda *_, **__: timing),
    )  # fmt: skip
    search = SimpleNamespace(rules=SimpleNamespace(duration_s=np.ones(3), moves_s=np.ones((3, 3))))
    chain = Polish(run, search, lambda *_: False, 100)
    chain._march([0, 1, 2], 0, 3, None, math.inf)
    assert chain.marches == 3 * counted
