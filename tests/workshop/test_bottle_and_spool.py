"""The cylinder and spool adviser."""

import pytest

import sheetkit as sk
from sheetkit.base import tables
from sheetkit.base.errors import OutOfRange
from sheetkit.formulas import gas
from sheetkit.workshop import bottle_and_spool
from sheetkit.workshop.bottle_and_spool import Advice, Bottle, Need

JOB = Need(likely=100.0, high=200.0, alone=50.0, seam_m=2.0)


def advice(bottle, need=JOB):
    return Advice(bottle.usable_l, bottle.full_l, need)


def test_metres_are_the_rule_of_three():
    found = advice(Bottle(10, 100))
    assert found.usable == pytest.approx(gas.content_l(10, 100) - gas.content_l(10, 3))
    assert found.seam_alone_m == pytest.approx(found.usable / 25)
    assert found.seam_m == pytest.approx(found.usable / 50)
    assert found.left == pytest.approx(found.usable - 100)
    assert (found.lasts, found.exchanges) == ("yes", (0, 0))


@pytest.mark.parametrize(
    ("pressure", "lasts", "exchanges"), [(40, "yes", (0, 0)), (16, "probably, not surely", (0, 1)), (6, "no", (1, 1)), (0, "no", (1, 1))]
)  # fmt: skip
def test_will_it_last(pressure, lasts, exchanges):
    found = advice(Bottle(10, pressure))
    assert (found.lasts, found.exchanges) == (lasts, exchanges)


def test_exchanges_of_a_small_cylinder_by_hand():
    full = gas.usable_l(1, 110)
    found = advice(Bottle(1, 50, full_bar=110), Need(400, 900, 50, 2))
    missing = [400 - found.usable, 900 - found.usable]
    assert found.exchanges == tuple(int(m // full) + 1 for m in missing)


def test_the_residual_pressure_stays_in():
    assert gas.usable_l(10, 3) == 0 and gas.usable_l(10, 1) == 0


def test_cold_gauge_holds_more_at_the_same_reading():
    assert gas.content_l(10, 100, -5) > gas.content_l(10, 100, 15) > gas.content_l(10, 100, 35)


def test_a_bottle_reckons_with_its_own_temperature():
    """100 bar at -5 degC: by the gas law alone 288.15 / 268.15 = 1.075 times as much as at 15."""
    cold, warm = Bottle(10, 100, temperature_c=-5.0), Bottle(10, 100)
    assert cold.usable_l == pytest.approx(gas.content_l(10, 100, -5) - gas.content_l(10, 3, -5))
    assert 1.075 < cold.usable_l / warm.usable_l < 1.13
    assert cold.full_l == warm.full_l


def test_co2_and_nonsense_are_refused():
    with pytest.raises(OutOfRange, match="liquid"):
        gas.content_l(10, 50, gas="C1")
    for bad in ({"pressure_bar": 400}, {"pressure_bar": float("nan")}, {"temperature_c": 90}):
        with pytest.raises(OutOfRange):
            gas.content_l(**{"water_volume_l": 10, "pressure_bar": 100} | bad)


def test_spool_by_hand():
    found = Advice(100, 700, Need(80, 150, 40, 2))
    assert (found.lasts, found.left, found.exchanges) == ("probably, not surely", 20, (0, 1))
    assert (found.seam_alone_m, found.seam_m) == (5, 2.5)


def test_every_size_is_advised():
    rows = bottle_and_spool.sizes(need_l=60, need_high_l=130)
    assert [row["cylinder"] for row in rows] == list(tables.names("cylinders"))
    assert all(0 <= row["jobs_at_least"] <= row["jobs"] for row in rows)
    assert all(row["usable_l"] < row["content_l"] for row in rows)


def test_bottles_for_a_job_and_the_one_that_is_there(data_folder):
    result = sk.estimate(sk.load(data_folder / "trunk_floor.json"))
    need = result.range("gas_real_l")
    frame = bottle_and_spool.bottles_for(result).table()
    for _, row in frame.iterrows():
        assert row["such jobs from a full one"] == int(row["to be drawn, l"] / need.likely)
    rows = {row[0]: row[1] for row in bottle_and_spool.bottle_there(result).rows}
    assert rows["lasts for this job"] == "yes"
    metres = result.values["metres_m"] * rows["there now"] / need.likely
    assert rows["such seam, really"] == pytest.approx(metres)
    gasless = sk.estimate(result.job.changed(weld__process="114", weld__gas=None))
    liquid = sk.estimate(result.job.changed(weld__gas="C1"))
    for other in (gasless, liquid):
        with pytest.raises(sk.OutOfRange):
            bottle_and_spool.bottles_for(other)
