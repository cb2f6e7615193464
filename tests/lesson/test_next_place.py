"""The heat of every place left, against the same schedule played through by another route."""

import pytest
from lesson_pupils import hottest_c

import sheetkit as sk
from sheetkit.base.errors import OutOfRange
from sheetkit.lesson.board import quick_plan
from sheetkit.lesson.next_place import Heat, Place, beside, moment_after
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


def test_neighbours(small_plan, data_folder):
    for one in range(8):
        found = {other for other in range(8) if beside(small_plan, one, other)}
        assert found == {(one - 1) % 8, (one + 1) % 8}
    strip = quick_plan(sk.estimate(sk.load(data_folder / "practice" / "strip.json")))
    assert [other for other in range(10) if beside(strip, 0, other)] == [1]
    assert [other for other in range(10) if beside(strip, 4, other)] == [3, 5]


@pytest.mark.parametrize("done", [[0, 0], [9], [-1], list(range(8))])
def test_what_is_no_beginning_is_refused(small_plan, done):
    with pytest.raises(OutOfRange, match="done"):
        moment_after(small_plan, done)


def test_every_beginning_of_an_order_can_be_looked_at(small_plan):
    order = skip_order(8, 3)
    for length in range(8):
        assert len(moment_after(small_plan, order[:length]).places) == 8 - length
