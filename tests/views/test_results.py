"""Results show themselves: short by name, as HTML with picture, as a table, as a chart."""

import subprocess
import sys

import pytest
from matplotlib.axes import Axes

import sheetkit as sk
from sheetkit.repair.pull import pull
from sheetkit.views import listings, results

LONGEST_REPR = 600


@pytest.fixture(scope="module")
def shown(data_folder, small_plan):
    """Return what shows itself, by class name."""
    result = sk.estimate(sk.load(data_folder / "trunk_floor.json"))
    coupon = sk.workshop.heat_coupon.heat_coupon(result, bead_mm=100, arc_s=15)
    shopping, compare = sk.workshop.shopping, sk.workshop.compare
    return {
        "Estimate": result,
        "SequencePlan": small_plan,
        "Job": result.job,
        "Range": result.hours,
        "Extent": sk.repair.rust_extent.with_extent(result, draws=500),
        "Placement": shopping.stock_for([result]),
        "ShoppingList": shopping.shopping_list(result),
        "Comparison": compare.ways(result.job, compare.SHAPES),
        "HeatCoupon": coupon.read((60, 60), (180, 40)),
        "Pull": pull(result),
        "Book": sk.workshop.book.Book.open(data_folder / "job_book"),
    }


KINDS = tuple(results.VIEWS)


@pytest.mark.parametrize("kind", KINDS)
def test_the_repr_is_short(shown, kind):
    assert 0 < len(repr(shown[kind])) < LONGEST_REPR
    assert "\n" not in repr(shown[kind])


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "Range"])
def test_the_page_has_picture_and_table(shown, kind):
    page = shown[kind]._repr_html_()
    assert 'src="data:image/png;base64,' in page
    assert '<img alt="' in page
    assert "<table" in page


@pytest.mark.parametrize("kind", KINDS)
def test_the_table_is_a_frame(shown, kind):
    frame = shown[kind].table()
    assert len(frame)
    assert len(frame.columns) == len(set(frame.columns))


@pytest.mark.parametrize("kind", KINDS)
def test_it_draws_itself(shown, kind):
    assert isinstance(shown[kind].plot(), Axes)


def test_a_long_title_and_strange_signs_stay_one_short_line(job_data):
    job = sk.Job.from_data(job_data(title="<script>\n" + "x" * 190))
    for thing in (job, sk.estimate(job)):
        assert len(repr(thing)) < LONGEST_REPR
        assert "\n" not in repr(thing)
        assert "<script>" not in thing._repr_html_()


def test_the_estimates_table_holds_its_figures(shown):
    result = shown["Estimate"]
    frame = result.table().set_index("figure")
    for name in ("seam_length_mm", "hours_h", "cost", "gas_real_l", "arc_energy_kj_per_mm"):
        assert frame.loc[name, "likely"] == pytest.approx(result.range(name).likely)
        assert frame.loc[name, "likely low"] == pytest.approx(result.range(name).low)
        assert frame.loc[name, "rests on"] == result.rests_on(name)
    assert frame.loc["hours_h", "unit"] == "h"
    assert frame.loc["cost", "unit"] == "USD"


def test_inches_show_inches(shown):
    metric, inch = (
        shown["Estimate"].table(display=unit).set_index("figure") for unit in ("mm", "in")
    )
    assert inch.loc["seam_length_mm", "unit"] == "in"
    ratio = metric.loc["seam_length_mm", "likely"] / inch.loc["seam_length_mm", "likely"]
    assert ratio == pytest.approx(25.4)
    ratio = (
        inch.loc["arc_energy_kj_per_mm", "likely"] / metric.loc["arc_energy_kj_per_mm", "likely"]
    )
    assert ratio == pytest.approx(25.4)


def test_a_ranges_unit_stands_in_the_heads(shown):
    assert list(shown["Range"].table()) == ["likely, h", "likely low, h", "likely high, h"]


def test_an_extents_totals(shown):
    extent = shown["Extent"]
    frame = extent.table().set_index("total")
    found = extent.spread("hours_h")
    assert frame.loc["hours", "middle"] == pytest.approx(found.p50)
    assert frame.loc["hours", "one in ten above"] == pytest.approx(found.p90)
    assert frame.loc["hours", "as drawn"] == pytest.approx(shown["Estimate"].hours.likely)
    assert frame.loc["cost", "unit"] == "USD"


def test_drivers_are_told_strongest_first(shown):
    rows = listings.drivers(shown["Extent"], "cost", top=5).table()
    assert len(rows) == 5
    assert rows["swing, USD"].is_monotonic_decreasing


def test_side_by_side(shown):
    result = shown["Estimate"]
    lap = sk.estimate(result.job.changed(patch__joint="lap"))
    frame = listings.side_by_side({"butt": result, "lap": lap}, ["seam_length_mm", "cost"]).table()
    assert frame["lap"].tolist() == [lap.values["seam_length_mm"], lap.cost.likely]
    assert frame["unit"].tolist() == ["mm", "USD"]


def test_hours_of_the_steps_add_up(shown):
    frame = listings.hours_listing(shown["Estimate"]).table()
    assert frame["hours, h"][:-1].sum() == pytest.approx(shown["Estimate"].hours.likely)
    assert frame["share, %"][:-1].sum() == pytest.approx(100)


@pytest.mark.parametrize("ask", [
    lambda s: s["Estimate"].range("hour_h"),
    lambda s: s["Estimate"].explain("hour_h"),
    lambda s: s["Extent"].spread("hour_h"),
    lambda s: s["Extent"].drivers("hour_h"),
    lambda s: listings.extent_listing(s["Extent"], names=["hour_h"]),
    lambda s: listings.drivers(s["Extent"], "hour_h"),
    lambda s: listings.side_by_side({"a": s["Estimate"]}, ["hour_h"]),
    lambda s: sk.views.range_charts.tornado(s["Extent"], name="hour_h"),
    lambda s: sk.views.range_charts.distribution(s["Extent"], name="hour_h"),
])  # fmt: skip
def test_an_unknown_figure_is_answered_with_the_nearest(shown, ask):
    with pytest.raises(sk.SheetkitError, match="hours_h"):
        ask(shown)


def test_plain_text_loads_nothing_heavy(root):
    code = (
        "import sheetkit as sk, sys; print(repr(sk.estimate(sk.load('data/footwell.json'))));"
        "assert not {'matplotlib', 'pandas', 'numba', 'IPython'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], cwd=root, check=True)


def test_patches_cautions_and_refusals_as_rows(shown):
    result = shown["Estimate"]
    patches = listings.patch_listing(result).table()
    assert patches["seam, mm"].sum() == pytest.approx(result.values["seam_length_mm"])
    assert patches["area, cm²"].sum() * 100 == pytest.approx(
        sum(patch.outline.area for patch in result.patches)
    )
    assert len(listings.caution_listing(result).rows) == len(result.cautions())
    refused = listings.refusal(result.job.changed, patch__gap="50 mm", patch__margin=-1).table()
    assert sorted(refused["field"]) == ["patch.gap", "patch.margin"]
    assert listings.refusal(result.job.changed, patch__margin=30).rows == ()


def test_every_guess_is_listed():
    from sheetkit.base import tables

    counted = listings.statuses(tables.table_names()).table()
    assert counted["guess"].sum() == len(listings.guesses().rows)
    assert counted[list(tables.STATUSES)].to_numpy().sum() == sum(
        len(tables.rows(name)) for name in tables.table_names()
    )
