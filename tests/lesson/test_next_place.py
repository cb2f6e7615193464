"""The heat of every place left, against the same schedule played through by another route."""

import numpy as np
import pytest
from lesson_pupils import hottest_c

from sheetkit.base.errors import OutOfRange
from sheetkit.lesson.next_place import Heat, Place, beside, moment_after, spacing_mm
from sheetkit.sequence.orders import skip_order


@pytest.mark.parametrize("done", [(), (0,), (0, 4, 2), (3, 4, 5, 6)])
def test_the_heat_ahead_is_that_of_the_schedule_played_through(small_plan, done):
    moment = moment_after(small_plan, done)
    assert sorted(place.stitch for place in moment.places) == sorted(set(range(8)) - set(done))
    ahead = [place.ahead_c for place in moment.places]
    assert ahead == sorted(ahead)
    for place in moment.places:
        now_c, ahead_c = hottest_c(moment, place.stitch)
        assert place.now_c == pytest.approx(now_c, abs=1.0)
        assert place.ahead_c == pytest.approx(ahead_c, rel=0.04, abs=1.0)
    assert moment.place(ahead.index(min(ahead)) and moment.places[0].stitch).ahead_c == min(ahead)


def test_beside_a_fresh_stitch_it_is_hot_and_one_waits(small_plan):
    moment = moment_after(small_plan, [0])
    next_along, opposite = moment.place(1), moment.place(4)
    assert next_along.ahead_c > 3 * opposite.ahead_c
    assert next_along.ready_s > 60 > opposite.ready_s
    assert moment.heat(1) is Heat.HOT_NOW and moment.heat(moment.places[0].stitch) is Heat.COOL
    assert 1 not in moment.coolest and moment.places[0].stitch in moment.coolest
    assert moment.ago_s == (0.0,)


def test_what_the_limit_says_of_a_place():
    assert Place(0, 90, 80, 9).heat(60) is Heat.HOT_NOW
    assert Place(0, 30, 80, 9).heat(60) is Heat.ON_ITS_WAY
    assert Place(0, 30, 50, 9).heat(60) is Heat.COOL
    assert Place(0, 64, 55, 9).heat(60) is Heat.COOL, "it has cooled by the time the arm is there"


def test_the_highest_field_covers_what_each_place_reaches(small_plan):
    moment = moment_after(small_plan, [0, 4])
    peak = moment.peak_field_k()
    assert (peak >= moment.state.field - 1e-3).all()
    state = moment.state.copy()
    state.field = peak
    there = small_plan.model.read(state)[len(small_plan.tack_order) :]
    for place in moment.places:
        assert there[place.stitch] >= place.ahead_c - 1.5


def test_neighbours(small_plan):
    assert beside(small_plan, 0, 1) and beside(small_plan, 0, 7) and not beside(small_plan, 0, 4)
    at = np.array([run.path.mean(axis=0) for run in small_plan.model.stitches])
    assert spacing_mm(small_plan) == pytest.approx(np.hypot(*(at[0] - at[1])), rel=0.3)


@pytest.mark.parametrize("done", [[0, 0], [9], [-1], list(range(8))])
def test_what_is_no_beginning_is_refused(small_plan, done):
    with pytest.raises(OutOfRange, match="done"):
        moment_after(small_plan, done)


def test_every_beginning_of_an_order_can_be_looked_at(small_plan):
    order = skip_order(8, 3)
    for length in range(8):
        assert len(moment_after(small_plan, order[:length]).places) == 8 - length
