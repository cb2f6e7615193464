"""The trade's own check values: common practice, no source."""

import pytest

import sheetkit
from sheetkit.base import tables

PANS = [
    # four floor-pan patches of one car, by length and width of the rust in mm
    (320, 240),
    (320, 240),
    (260, 200),
    (260, 200),
]
ABOUT_900_MM = [
    "10 l 200 bar",
    "20 l 200 bar",
    "10 l 230 bar",
    "20 l 230 bar",
    "US 80 ft3",
]


def pan(job, length, width, fill):
    ring = [[0, 0], [length, 0], [length, width], [0, width]]
    return job(
        sheet={"thickness": 0.9}, rust=[{"ring": ring}], weld={"gas": "M21-ArC-18", "fill": fill}
    )


@pytest.fixture(scope="module")
def car_floor(job, demo):
    """Return a function: the gas for four floor pans and a trunk floor, litres, as (likely, high)."""

    def gas(fill: str) -> tuple[float, float]:
        trunk = demo("trunk_floor")
        trunk["weld"]["fill"] = fill
        jobs = [*(pan(job, *size, fill) for size in PANS), sheetkit.Job.from_data(trunk)]
        spans = [sheetkit.estimate(one).range("gas_real_l") for one in jobs]
        return sum(span.likely for span in spans), sum(span.high for span in spans)

    return gas


def usable(name: str) -> float:
    """Return what a full cylinder gives of M21, down to 5 bar left, litres."""
    content, pressure = (
        tables.row("cylinders", name, quantity).value for quantity in ("content_m21", "pressure")
    )
    return content * (1 - 5 / pressure)


def test_which_cylinders_are_about_900_mm_tall():
    """0.9 m (3 ft) tall, give or take a tenth; height alone leaves 2 to 5 m³ open."""
    found = [
        name
        for name in tables.names("cylinders")
        if 810 <= tables.row("cylinders", name, "height").value <= 990
    ]
    assert found == ABOUT_900_MM


@pytest.mark.parametrize("name", ABOUT_900_MM)
@pytest.mark.parametrize("fill", ["stitch", "dots"])
def test_middle_size_cylinder_serves_the_floor_pans_and_the_trunk_floor(car_floor, fill, name):
    """Every size of that height does the car."""
    likely, _ = car_floor(fill)
    assert likely < usable(name)


@pytest.mark.parametrize("name", ABOUT_900_MM)
def test_it_serves_even_with_generous_flow_and_long_flow_times(car_floor, name):
    """The high end of the range, by stitches."""
    _, high = car_floor("stitch")
    assert high < usable(name)


def test_disposable_bottle_does_not_serve_one_car(car_floor):
    likely, _ = car_floor("stitch")
    assert likely > tables.row("cylinders", "1 l 110 bar", "content_m21").value


@pytest.mark.parametrize("sheet", [0.8, 1.0, 1.2])
def test_a_metre_of_butt_by_dots(job, sheet):
    """Derived in the trade: 300-400 dots, 2.5-3.3 min of arc, 15-50 g of wire, 50-130 l of gas.

    25-33 l of it while the arc burns.  Dots stand where no tack is; the arc counts both.
    """
    v = sheetkit.estimate(job(sheet={"thickness": sheet}, weld={"fill": "dots"})).values
    metres = v["seam_length_mm"] / 1000
    assert 300 <= v["dot_count"] / metres <= 400
    assert 2.5 <= v["arc_time_s"] / 60 / metres <= 3.3
    assert 15 <= v["wire_bought_g"] / metres <= 50
    assert 25 <= v["gas_arc_l"] / metres <= 33
    assert 50 <= v["gas_real_l"] / metres <= 130


@pytest.mark.parametrize("sheet", [0.8, 1.0, 1.2])
def test_a_small_spool_does_15_to_45_metres(job, sheet):
    """0.7 kg, butt seam by dots."""
    v = sheetkit.estimate(job(sheet={"thickness": sheet}, weld={"fill": "dots"})).values
    assert 15 <= 700 / v["wire_bought_g"] * v["seam_length_mm"] / 1000 <= 46


def test_a_car_floor_takes_a_fair_part_of_that_cylinder(car_floor):
    """A tenth of the smallest of that height at least: a much smaller one would not do by dots."""
    likely, high = car_floor("dots")
    assert 0.1 * usable("10 l 200 bar") < likely
    assert high < usable("10 l 200 bar")


def test_co2_and_gasless_wire_take_more_hours(job):
    """Only the gas and process change; clean-up makes the difference."""
    hours = {
        name: sheetkit.estimate(job(weld=choice)).hours.likely
        for name, choice in {
            "mix": {"process": "135", "gas": "M21"},
            "co2": {"process": "135", "gas": "C1"},
            "gasless": {"process": "114"},
        }.items()
    }
    assert hours["mix"] < hours["co2"] < hours["gasless"]


def gap_caution(job, gap):
    result = sheetkit.estimate(job(patch={"gap": gap}))
    return [c.text for c in result.cautions() if c.topic == "gap"]


@pytest.mark.parametrize(
    ("gap", "words"),
    [
        (1.0, ("fair", "weakens the joint", "lets water through")),
        (1.2, ("fair",)),
        (1.6, ("doubtful", "weakens the joint", "leak")),
        (2.0, ("doubtful",)),
        (2.5, ("remake the piece", "weak", "leaks")),
    ],
)
def test_poor_fit_up_weakens_the_joint_and_leaks(job, gap, words):
    """Fair to 1.2 mm, doubtful to 2.0, above that remake the piece."""
    (text,) = gap_caution(job, gap)
    for word in words:
        assert word in text
    grades = ("fair", "doubtful", "remake")
    assert [grade for grade in grades if grade in text] == [words[0].split()[0]]
