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
    """About 0.38 m³ by stitches and 0.9 m³ by dots: every size of that height does the car."""
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


def test_gas_of_one_pan_by_hand(job):
    """320 x 240 mm rust, margin 25: seam 2 (370 + 290 - 2 gap...) by the rounded-box formula."""
    from math import ceil, log2, pi

    result = sheetkit.estimate(pan(job, 320, 240, "stitch"))
    length, width, radius = 370 - 0.9, 290 - 0.9, 25 - 0.45
    seam = 2 * (length + width) - 8 * radius + 2 * pi * radius
    assert result.values["seam_length_mm"] == pytest.approx(seam, rel=1e-3)
    first = ceil(seam / 175)
    tacks = first * 2 ** ceil(log2(seam / first / 25))
    stitches = ceil(seam / 25)
    arc = seam / 425 * 60 + tacks * 0.75  # 0.9 mm row: 425 mm/min; a tack 0.75 s
    gas = 10 * arc / 60 + (tacks + stitches) * ((0.5 + 1.0) / 60 * 10 + 0.05)
    assert result.values["gas_real_l"] == pytest.approx(gas, rel=2e-3)


def test_solid_wire_with_argon_mix_is_the_cleanest_of_the_wires():
    rank = {g: tables.row("gases", g, "spatter_rank").value for g in ("M20", "M21", "C1", "none")}
    effort = {
        g: tables.row("gases", g, "cleanup_factor").value for g in ("M20", "M21", "C1", "none")
    }
    yield_ = {
        g: tables.row("gases", g, "deposition_efficiency").value
        for g in ("M20", "M21", "C1", "none")
    }
    for mix in ("M20", "M21"):
        assert rank[mix] < rank["C1"] <= rank["none"]
        assert effort[mix] < effort["C1"] < effort["none"]
        assert yield_[mix] > yield_["C1"] > yield_["none"]


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
