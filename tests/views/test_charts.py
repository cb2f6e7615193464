"""Charts of a repair: Axes in, Axes out, units on the axes, told apart by more than colour."""

import re
from pathlib import Path

import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure

import sheetkit as sk
from sheetkit.repair.rust_extent import with_extent
from sheetkit.views import axes, palette, range_charts, repair_charts
from sheetkit.workshop import shopping


@pytest.fixture(scope="module")
def result(data_folder):
    return sk.estimate(sk.load(data_folder / "trunk_floor.json"))


@pytest.fixture(scope="module")
def extent(result):
    return with_extent(result, draws=500)


CHARTS = {
    "plan": lambda result, extent, **o: repair_charts.patch_plan(result, **o),
    "job": lambda result, extent, **o: repair_charts.job_plan(result.job, **o),
    "wire": lambda result, extent, **o: repair_charts.wire(result, **o),
    "gas": lambda result, extent, **o: repair_charts.gas(result, **o),
    "cuts": lambda result, extent, **o: repair_charts.cut_extents(extent, **o),
    "stock": lambda result, extent, **o: repair_charts.stock_plan(
        shopping.stock_for([result]), **o
    ),
}
PLAIN = {
    "hours": lambda result, extent, **o: repair_charts.hours_by_step(result, **o),
    "tornado": lambda result, extent, **o: range_charts.tornado(extent, **o),
    "distribution": lambda result, extent, **o: range_charts.distribution(extent, **o),
}


@pytest.mark.parametrize("name", [*CHARTS, *PLAIN])
def test_axes_in_axes_out(result, extent, name):
    chart = (CHARTS | PLAIN)[name]
    mine = Figure().add_subplot()
    assert chart(result, extent, ax=mine) is mine
    assert isinstance(chart(result, extent), Axes)


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize(
    ("display", "units"), [("mm", ("mm", "g", "l")), ("in", ("in", "oz", "ft³"))]
)
def test_the_axes_say_their_unit(result, extent, name, display, units):
    ax = CHARTS[name](result, extent, display=display)
    said = re.findall(r"[\w³]+", f"{ax.get_xlabel()} {ax.get_ylabel()}")
    assert set(said) & set(units)


@pytest.mark.parametrize("name", [*CHARTS, *PLAIN])
def test_it_shows_itself_with_words(result, extent, name):
    html = (CHARTS | PLAIN)[name](result, extent)._repr_html_()
    assert 'src="data:image/png;base64,' in html
    assert len(re.search('alt="([^"]+)"', html)[1].split()) > 4


def test_inches_are_millimetres_over_25_4(result):
    metric, inch = (repair_charts.patch_plan(result, display=unit) for unit in ("mm", "in"))
    assert metric.get_xlim()[1] == pytest.approx(25.4 * inch.get_xlim()[1])


def test_lines_differ_by_more_than_colour(result, extent):
    for ax in (repair_charts.patch_plan(result), repair_charts.cut_extents(extent)):
        lines = [one for one in ax.get_lines() if not one.get_label().startswith("_")]
        looks = {(one.get_linestyle(), one.get_linewidth(), one.get_marker()) for one in lines}
        assert len(lines) > 2
        assert len(looks) >= len(lines) - 1


def test_words_are_escaped(result):
    ax = axes.new_axes(None, words='<script>"')
    assert "<script>" not in ax._repr_html_()


def test_what_was_said_is_shown_else_what_the_axes_say():
    ax = axes.new_axes(None)
    assert axes.words_of(ax) == "chart"
    ax.set_xlabel("hours")
    assert axes.words_of(ax) == "hours"


def test_colours_have_one_home():
    """No picture, chart or card of these rooms writes a colour of its own."""
    rooms = Path(sk.__file__).parent
    own = [
        path.name
        for path in (rooms / "views").glob("*.py")
        if path.name != "palette.py" and re.search(r"#[0-9a-fA-F]{6}\b", path.read_text())
    ]
    assert own == []
    assert len(set(palette.STYLES.values())) == len(palette.STYLES)
