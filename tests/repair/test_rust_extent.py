"""Hidden rust: how far the cuts move outward, and what it adds."""

from math import pi
from pathlib import Path

import numpy as np
import pytest

import sheetkit as sk
from sheetkit.repair import rust_extent

DATA = Path(__file__).parents[2] / "data"
SQUARE = {
    "format": "sheetkit-job/1",
    "sheet": {"thickness": 1.0},
    "rust": [{"ring": [[0, 0], [100, 0], [100, 80], [0, 80]]}],
    "patch": {"margin": 30},
}
STAR = [[60 * np.cos(a) * (1 if k % 2 else 2.2), 60 * np.sin(a) * (1 if k % 2 else 2.2)]
        for k, a in enumerate(np.linspace(0, 2 * pi, 11)[:-1])]  # fmt: skip


@pytest.fixture(scope="module")
def free():
    return rust_extent.with_extent(sk.estimate(sk.Job.from_data(SQUARE)))


@pytest.fixture(scope="module")
def demos():
    return {
        name: rust_extent.with_extent(sk.estimate(sk.load(DATA / f"{name}.json")))
        for name in ("trunk_floor", "footwell", "wheel_arch")
    }


def test_cut_lines_grow_from_low_to_high(free):
    low, likely, high = (r.patches[0].cut_line for r in (free.low, free.likely, free.high))
    assert likely.buffer(1e-6).covers(low) and high.buffer(1e-6).covers(likely)
    assert low.area < likely.area < high.area


def test_the_margin_is_a_choice_and_the_least_is_the_rust_as_drawn(free):
    assert "margin_mm" not in free.inputs
    assert free.low.values["seam_length_mm"] == pytest.approx(free.drawn.values["seam_length_mm"])


def test_hidden_rust_lengthens_a_free_seam_by_its_share(free):
    """By hand: a closed seam grown by e is 2 pi e longer, here by two fifths at the most."""
    seam = free.drawn.values["seam_length_mm"]
    assert seam == pytest.approx(2 * 180 + 2 * pi * (30 - 0.25), rel=1e-3)
    assert free.high.values["seam_length_mm"] == pytest.approx(1.4 * seam, rel=2e-3)
    assert free.likely.values["seam_length_mm"] == pytest.approx(1.2 * seam, rel=2e-3)


@pytest.mark.parametrize(
    "change",
    [
        {"rust": [{"ring": STAR}]},
        {"patch__shape": "hull", "rust": [{"ring": STAR}]},
        {"patch__joint": "plug", "patch__shape": "box"},
        {"patch__joint": "lap", "patch__overlap": 25},
    ],
)
def test_the_real_seam_is_longer_by_the_share_whatever_the_shape(change):
    result = sk.estimate(sk.Job.from_data(SQUARE).changed(**change))
    found = rust_extent.with_extent(result)
    seam = result.values["seam_length_mm"]
    assert found.high.values["seam_length_mm"] == pytest.approx(1.4 * seam, rel=0.01)
    assert found.likely.values["seam_length_mm"] == pytest.approx(1.2 * seam, rel=0.01)


def test_no_share_makes_the_seam_longer_than_it_says(demos):
    """Cuts that meet, or the panel's edge, can keep a seam short; never long."""
    for name, found in demos.items():
        seam = found.drawn.values["seam_length_mm"]
        for result, share in ((found.likely, 0.2), (found.high, 0.4)):
            assert 1 <= result.values["seam_length_mm"] / seam <= 1 + share + 0.01, name


def test_hidden_rust_never_makes_a_repair_cheaper(demos):
    """A cut that runs out at the panel's edge has a shorter seam than the rust as drawn."""
    width = 400
    ring = [[120, 60], [width - 120, 60], [width - 120, 140], [120, 140]]
    outline = [[0, 0], [width, 0], [width, 200], [0, 200]]
    job = SQUARE | {
        "panel": {"outline": outline},
        "rust": [{"ring": ring}],
        "patch": {"margin": 25},
    }
    edge = rust_extent.with_extent(sk.estimate(sk.Job.from_data(job)))
    for found in (*demos.values(), edge):
        # two cuts that meet make one patch: no less is reckoned with than the two as drawn
        for name in ("hours_h", "cost", "gas_real_l", "patch_count", "blank_mass_g", "starts"):
            assert np.all(found.simulated[name] >= found.drawn.drawn[name] - 1e-9), name
            added = found.added(name)
            assert 0 <= added.low <= added.likely <= added.high


def test_two_patches_that_grow_into_one_are_no_less_work():
    """Cuts 26 mm apart meet before the seam is a fifth longer: one patch then, and no cheaper."""
    rust = [{"ring": [[x, 0], [x + 90, 0], [x + 90, 90], [x, 90]]} for x in (0, 166)]
    result = sk.estimate(sk.Job.from_data(SQUARE | {"rust": rust, "patch": {"margin": 25}}))
    found = rust_extent.with_extent(result)
    assert result.values["patch_count"] == 2 and found.high.values["patch_count"] == 1
    for name in ("patch_count", "making_h", "cut_length_mm"):
        assert np.all(found.simulated[name] >= result.drawn[name] - 1e-9), name


def test_what_is_added_is_hidden_rusts_alone(free):
    """The same draws with and without it; by hand the seam's own hours grow by a fifth at 0.2."""
    added = free.added("fitting_h")
    without = free.drawn.range("fitting_h")
    assert added.likely == pytest.approx(0.2 * without.likely, rel=0.1)
    assert added.high < 0.4 * without.high
    # what goes by the job is the same with more rust
    assert free.added("access_h").high < 0.4 * free.drawn.range("access_h").likely
    assert free.added("hours_h").likely < 0.2 * free.drawn.hours.likely


def test_draws_lie_between_the_drawings_and_in_the_worst_case(free, demos):
    seams = free.simulated["seam_length_mm"]
    ends = [r.values["seam_length_mm"] for r in (free.low, free.high)]
    assert ends[0] - 1e-6 <= seams.min() and seams.max() <= ends[1] + 1e-6
    for found in (free, *demos.values()):
        for name in ("hours_h", "cost", "gas_real_l", "seam_length_mm", "tack_count"):
            spread = found.spread(name)
            draws = found.simulated[name]
            assert spread.low <= draws.min() + 1e-9 and draws.max() <= spread.high + 1e-9, name
            assert spread.p10 <= spread.p50 <= spread.p90
            node = max(one.values[name] for one in (found.low, found.likely, found.high))
            assert node <= spread.high + 1e-9, name


def test_the_same_seed_gives_the_same_table():
    result = sk.estimate(sk.load(DATA / "trunk_floor.json"))
    first, again = (rust_extent.with_extent(result, draws=1000, seed=3).table() for _ in range(2))
    assert first.equals(again)
    assert not first.equals(rust_extent.with_extent(result, draws=1000, seed=4).table())


def test_hidden_rust_is_among_the_drivers(free):
    names = [d.name for d in free.drivers("gas_real_l")]
    assert "hidden_rust_share" in names
    assert np.all(np.diff([d.swing for d in free.drivers("hours_h")]) <= 0)


def test_what_cannot_be_drawn_is_reckoned_as_more_of_the_same_seam(demos):
    """The trunk floor's cuts run out at the panel's edge before they are a fifth longer."""
    trunk = demos["trunk_floor"]
    seam = trunk.drawn.values["seam_length_mm"]
    assert trunk.beyond_drawing and "beyond what is drawn" in repr(trunk)
    assert trunk.high.values["seam_length_mm"] < 1.2 * seam
    assert trunk.seams_mm == pytest.approx((seam, 1.2 * seam, 1.4 * seam), rel=0.01)
    assert not demos["footwell"].beyond_drawing
    for found in demos.values():
        low, likely, high = found.seams_mm
        assert low < 1.1 * low < likely < 1.1 * likely < high
        # a fifth more of seam, by the middle of the draws: a fifth more of its own hours and wire
        fitting, wire = (found.added(n).likely for n in ("fitting_h", "wire_by_feed_g"))
        assert fitting == pytest.approx(0.2 * found.drawn.range("fitting_h").likely, rel=0.15)
        assert wire == pytest.approx(0.2 * found.drawn.range("wire_by_feed_g").likely, rel=0.3)


def test_the_charts_words_say_how_much_is_drawn(demos):
    from sheetkit.views.repair_charts import cut_extents

    def told(name):
        legend = cut_extents(demos[name]).get_legend()
        return " ".join(" ".join(text.get_text() for text in legend.get_texts()).split())

    assert "likely: seam 1273 mm, 1206 mm of it drawn" in told("trunk_floor")
    assert "of it drawn" not in told("footwell")
