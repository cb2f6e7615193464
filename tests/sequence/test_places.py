"""Places that must stay cool: none is lost, none holds a plan that waits can't help."""

from dataclasses import replace

import numpy as np
import pytest
from seams import runs_on
from shapely import LineString, Point

from sheetkit.heat.grid import GridChoice
from sheetkit.heat.rules import Rules
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.workpiece import Workpiece
from sheetkit.sequence.alternatives import families_of
from sheetkit.sequence.orders import skip_order, van_der_corput_order
from sheetkit.sequence.places import CoolPlace
from sheetkit.sequence.plan import plan_sequence, retimed
from sheetkit.sequence.planner import Planner, SearchChoice
from sheetkit.sequence.responses import Tables
from sheetkit.sequence.search import Search

SEAM = LineString([(0, 0), (160, 0), (160, 100), (0, 100), (0, 0)])
PIECE = Workpiece(None, [SEAM], 1.0, runs_on(SEAM, 8, 5), runs_on(SEAM, 13, 20))
QUICK = SearchChoice(effort=0.1)
AWAY = Point(80, -35)


def planned(*places):
    return plan_sequence(PIECE, places, choice=QUICK)


@pytest.fixture(scope="module")
def free():
    return planned(CoolPlace("pipe", AWAY, 300.0))


def highest(plan, places):
    """Return the highest temperature at each place by an own run at half the cell."""
    piece = replace(PIECE, protect=[one.place for one in places])
    model = SheetModel(piece, GridChoice(cell_mm=plan.grid_mm / 2))
    return model.play(*plan.schedule()).points_peak_c


def test_two_places_of_one_name_keep_their_own_heat():
    places = [
        CoolPlace("fuel line", Point(80, -3), 80.0),
        CoolPlace("fuel line", Point(900, 900), 80.0),
    ]
    for order in (places, places[::-1]):
        plan = planned(*order)
        assert [place.name for place in plan.protected] == ["fuel line", "fuel line"]
        near, far = plan.protected if order is places else plan.protected[::-1]
        assert near.over and near.peak_c > 150
        assert not far.over and far.peak_c < 25


def test_a_place_one_weld_alone_takes_over_its_limit_holds_nothing(free):
    hopeless = CoolPlace("wiring", Point(80, -6), 60.0)
    plan = planned(hopeless)
    (place,) = plan.protected
    assert place.over and place.beyond_waiting and not place.held
    assert place.alone_c > 60
    assert plan.total_s == pytest.approx(free.total_s, rel=0.05)


def test_a_place_that_is_taken_off_holds_nothing_but_is_followed(free):
    (there,) = free.protected
    limit = (there.peak_c + 2 * there.alone_c) / 3
    held = planned(CoolPlace("pipe", AWAY, limit))
    off = planned(CoolPlace("pipe", AWAY, limit, held=False))
    assert held.protected[0].held and not held.protected[0].over
    assert held.total_s > 1.2 * free.total_s and held.unheld_total_s < held.total_s / 1.1
    assert off.unheld_total_s == off.total_s
    assert off.total_s == pytest.approx(free.total_s, rel=0.05)
    assert off.protected[0].over and not off.protected[0].beyond_waiting
    own = retimed(held, held.order)
    assert own.start_s == pytest.approx(held.start_s, abs=1.0)
    assert not own.protected[0].over


def test_peaks_hold_on_a_finer_grid():
    places = [CoolPlace("pipe", AWAY, 45.0), CoolPlace("seam sealer", Point(80, -14), 140.0)]
    plan = planned(*places)
    found = highest(plan, places)
    told = np.array([place.peak_c for place in plan.protected])
    assert (told >= found - 0.05).all()
    for place, peak in zip(plan.protected, found, strict=True):
        assert not place.held or peak <= place.limit_c + 0.5


def test_tacks_wait_for_a_place_too():
    """Without stitches' heat: a place beside a cluster of tacks that follow each other at once."""
    tacks = runs_on(LineString([(60, 0), (100, 0)]), 6, 6, joule_mm=300)
    piece = Workpiece(None, [SEAM], 1.0, tacks, runs_on(SEAM, 4, 5, joule_mm=20))
    spot = Point(80, -15)
    loose = plan_sequence(piece, [CoolPlace("clip", spot, 300)], choice=QUICK)
    limit = (loose.protected[0].alone_c + loose.protected[0].peak_c) / 2
    held = plan_sequence(piece, [CoolPlace("clip", spot, limit)], choice=QUICK)
    assert held.protected[0].held and held.protected[0].peak_c <= limit + 0.5
    assert held.tack_s > loose.tack_s


BESIDE = LineString([(-40, -27), (200, -27)])


def beside_planner(limit_c=85.0):
    places = [CoolPlace("fuel line", BESIDE, limit_c)]
    piece = replace(PIECE, protect=[BESIDE])
    models = tuple(SheetModel(piece, GridChoice(cell_mm=k * 4.0)) for k in (1.0, 2.0, 0.5))
    return Planner(models, Rules(), places, range(8), QUICK)


def test_orders_are_searched_for_where_starts_wait_for_a_line():
    """A line beside one side of the seam that one stitch alone heats to nearly its limit."""
    run = beside_planner()
    plan = planned(CoolPlace("fuel line", BESIDE, 85.0))
    (line,) = plan.protected
    assert line.held and line.limit_c - line.alone_c < 10 and not line.over
    assert plan.total_s < 0.7 * plan.loop_total_s
    assert plan.total_s > 1.3 * plan.unheld_total_s, "the line decides"
    for order in families_of(13).values():
        assert run.fill(order, cutoff_s=plan.total_s).total_s >= plan.total_s - 1e-6


def test_the_estimate_knows_what_a_line_takes():
    run = beside_planner()
    held, free = (
        Search.of(run.fine, run.rules, run.held, tables, run.last)
        for tables in (
            Tables(run.fine, run.tacked, 20.0, lambda *_: False, held=lines) for lines in ([0], [])
        )
    )
    ratios = []
    for order in (*(skip_order(13, k) for k in (2, 3, 5)), van_der_corput_order(13)):
        timing = run.fill(order)
        assert free.estimate(order) < 0.7 * timing.total_s
        ratios.append(held.estimate(order) / timing.total_s)
        own = Search(held.kernel, held.calibrated(order, timing.start_s - run.tacked.clock,
                     timing.peak_before_start_c - 20.0, timing.wait_s))  # fmt: skip
        assert own.estimate(order) == pytest.approx(timing.total_s, rel=0.05)
    assert ratios == pytest.approx(np.ones(4), abs=0.25)


def test_what_a_weld_sends_to_a_long_line_is_told_part_by_part():
    model = SheetModel(replace(PIECE, protect=[BESIDE, AWAY]))
    assert model.line_of_row.tolist() == [0, 0, 1]
    times = np.cumsum(0.6 * 1.2 ** np.arange(18))
    closed = model.cold()
    model.close(closed, 9)
    rises = model.responses(closed.copy(), 9, times)[:, 13:, 0]
    state = model.play([9], [0.0], state=closed).state
    for n, span in enumerate(np.diff(times, prepend=0.0)):
        model.cool(state, span)
        read = model.read(state)[-2:] - model.ambient_c
        assert rises[n, :2].max() == pytest.approx(read[0], rel=0.02, abs=0.05)
        assert rises[n, 2] == pytest.approx(np.full(3, read[1]), rel=0.02, abs=0.05)
    assert rises[10, :2].max() > 5 * rises[10, :2].min(), "parts differ along the line"
