"""Places that must stay cool: none is lost, none holds a plan that waits can't help."""

from dataclasses import replace

import numpy as np
import pytest
from seams import runs_on
from shapely import LineString, Point

from sheetkit.heat.grid import GridChoice
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.workpiece import Workpiece
from sheetkit.sequence.places import CoolPlace
from sheetkit.sequence.plan import plan_sequence, retimed
from sheetkit.sequence.planner import SearchChoice

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
