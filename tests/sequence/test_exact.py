"""Few stitches: no order of all is quicker, by marches of every one of them."""

import itertools

import numpy as np
import pytest
import shapely
from seams import SQUARE, runs_on
from shapely import LineString, Polygon

from sheetkit.heat.grid import GridChoice
from sheetkit.heat.rules import Rules
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.workpiece import Workpiece
from sheetkit.sequence.exact import Exact
from sheetkit.sequence.plan import plan_sequence, retimed
from sheetkit.sequence.planner import Planner, SearchChoice
from sheetkit.sequence.responses import Tables
from sheetkit.sequence.search import Search

AT = np.linspace(0, 2 * np.pi, 241)
OVAL = LineString(np.column_stack([90 * np.cos(AT), 45 * np.sin(AT)]))
ELL = LineString(
    Polygon([(0, 0), (140, 0), (140, 60), (60, 60), (60, 140), (0, 140)])
    .buffer(-15).buffer(15).exterior.coords
)  # fmt: skip
STRIP = LineString(shapely.box(0, 0, 150, 25).exterior.coords)


def planner(seam, count, tacks, cell_mm=4.0, limit_c=60.0):
    piece = Workpiece(None, [seam], 1.0, runs_on(seam, tacks, 5),
                      runs_on(seam, count, min(25.0, seam.length / count)))  # fmt: skip
    models = tuple(SheetModel(piece, GridChoice(cell_mm=k * cell_mm)) for k in (1.0, 2.0, 0.5))
    return Planner(models, Rules(limit_c), [], range(tacks), SearchChoice())


@pytest.mark.parametrize(
    ("seam", "count", "limit_c"), [(OVAL, 6, 60.0), (ELL, 6, 45.0), (STRIP, 5, 80.0)]
)
def test_no_order_is_quicker_by_a_hundredth(seam, count, limit_c):
    """Every order is marched; those that come out quicker must fail the finer grid's check."""
    run = planner(seam, count, 5, limit_c=limit_c)
    plan = plan_sequence(run.fine.piece, rules=run.rules, tack_order=run.tack_order)
    quicker = []
    for order in itertools.permutations(range(count)):
        timing = run.fill(order, cutoff_s=0.99 * plan.total_s)
        if np.isfinite(timing.start_s).all() and timing.total_s < 0.99 * plan.total_s:
            quicker.append((timing.total_s, order))
    for _, order in sorted(quicker)[:20]:
        assert run.checked_fill(order).timing.total_s >= 0.99 * plan.total_s, order
    least = min([plan.total_s, *(total_s for total_s, _ in quicker)])
    assert 0.99 * least <= plan.least_total_s <= least
    assert plan.total_s > 1.05 * plan.no_wait_bound_s, "the case is too easy"


def test_what_is_left_never_ends_before_its_bound():
    run = planner(SQUARE, 5, 6, cell_mm=6.0)
    tables = Tables(run.fine, run.tacked, 20.0, lambda *_: False)
    rules = Search.of(run.fine, run.rules, run.held, tables, run.last).rules
    exact = Exact(run, rules, lambda *_: False)
    exact.proven = False
    bounds = exact.bounds((), run.tacked, range(5), within_s=1000.0)
    totals = {order: run.fill(order).total_s for order in itertools.permutations(range(5))}
    soonest = [min(s for order, s in totals.items() if order[0] == n) for n in range(5)]
    assert (bounds <= 1.002 * np.array(soonest)).all()
    assert min(bounds) > 1.3 * run.no_wait_s(range(5)), "the heat is in it"
    begun = run.fine.time([6 + 3], run.rules, state=run.tacked, after=run.last)
    after = exact.bounds((3,), begun.state, (0, 1, 2, 4), within_s=1000.0)
    for first, bound in zip((0, 1, 2, 4), after, strict=True):
        rest = min(s for order, s in totals.items() if order[:2] == (3, first)) - begun.total_s
        assert bound <= 1.002 * rest


def test_a_wait_before_the_first_stitch_counts():
    """Tacked hot, the sheet has to cool first; the clock runs from the end of tacking."""
    piece = Workpiece(None, [SQUARE], 1.0, runs_on(SQUARE, 40, 8), runs_on(SQUARE, 4, 25))
    plan = plan_sequence(piece, rules=Rules(45.0))
    turned = [retimed(plan, np.roll(range(4), n)) for n in range(4)]
    assert max(one.wait_s[0] for one in turned) > 5
    for one in (plan, *turned):
        last = piece.stitches[one.order[-1]].duration_s
        assert one.total_s == pytest.approx(one.start_s[-1] + last)
        assert one.total_s - one.no_wait_bound_s == pytest.approx(sum(one.wait_s))
        assert one.total_s >= plan.total_s - 1e-6


@pytest.mark.parametrize("tacks", [0, 6])
def test_no_order_is_quicker_than_what_is_proven_without_heat(tacks):
    """The shortest of all 120 orders with no limit at all; moves at 20 mm/s weigh something."""
    piece = Workpiece(None, [SQUARE], 1.0, runs_on(SQUARE, tacks, 5) if tacks else (),
                      runs_on(SQUARE, 5, 20))  # fmt: skip
    models = tuple(SheetModel(piece, GridChoice(cell_mm=cell)) for cell in (8.0, 16.0, 4.0))
    run = Planner(models, Rules(400.0, move_mm_s=20.0), [], range(tacks), SearchChoice())
    shortest = min(run.no_wait_s(order) for order in itertools.permutations(range(5)))
    assert 0.8 * shortest < run.least_s <= shortest + 1e-9
    assert (
        min(run.fill(order).total_s for order in ([0, 1, 2, 3, 4], [4, 3, 2, 1, 0])) >= run.least_s
    )
