"""Charts of heat: Axes in, Axes out, units on the axes, told apart by more than colour."""

from dataclasses import replace

import pytest
from matplotlib.axes import Axes

from sheetkit.sequence.orders import loop_order
from sheetkit.sequence.plan import retimed
from sheetkit.views import axes, heat_charts

CHARTS = (
    heat_charts.turns,
    heat_charts.peak_map,
    heat_charts.next_start_temperatures,
    heat_charts.order_comparison,
)


@pytest.mark.parametrize("chart", CHARTS)
@pytest.mark.parametrize("display", ["mm", "in"])
def test_axes_in_axes_out_with_units(small_plan, chart, display):
    ax = axes.figure().add_subplot()
    assert chart(small_plan, ax=ax, display=display) is ax
    words = " ".join([ax.get_xlabel(), ax.get_ylabel()])
    assert any(unit in words for unit in (" mm", " in", " min", "°C", "°F"))
    if display == "in":
        assert "°C" not in words and " mm" not in words
    assert isinstance(chart(small_plan), Axes)
    assert axes.png(ax.figure).startswith(b"\x89PNG")


def test_starts_are_drawn_in_welding_order_under_the_limit(small_plan):
    ax = heat_charts.next_start_temperatures(small_plan)
    dots = next(line for line in ax.lines if line.get_marker() == "o")
    assert dots.get_xdata() == pytest.approx([start / 60 for start in small_plan.start_s])
    assert dots.get_ydata().max() < small_plan.interpass_limit_c + 1


def test_own_order_joins_the_comparison(small_plan):
    own = retimed(small_plan, loop_order(len(small_plan.order)))
    ax = heat_charts.order_comparison(small_plan, own=own)
    names = [label.get_text() for label in ax.get_yticklabels()]
    assert "your own" in names and "once round" in names
    assert any("(chosen)" in name for name in names)
    assert all("°C" in label.get_text() for label in ax.texts)


def test_the_plan_lists_its_turns_from_one(small_plan):
    frame = small_plan.table()
    assert list(frame["stitch"]) == [stitch + 1 for stitch in small_plan.order]
    assert list(frame["turn"]) == list(range(1, 9)) and set(frame["patch"]) == {1}
    assert list(frame["start, s"]) == pytest.approx(small_plan.start_s)
    assert list(frame["wait before, s"]) == pytest.approx(small_plan.wait_s)
    assert list(frame["sheet there, °C"]) == pytest.approx(small_plan.peak_before_start_c)
    warm = small_plan.table(display="in")["sheet there, °F"]
    assert list(warm) == pytest.approx([c * 1.8 + 32 for c in small_plan.peak_before_start_c])


def test_a_hostile_method_cannot_enter_the_page(small_plan):
    page = replace(small_plan, method="<script>x</script>")._repr_html_()
    assert "<script>" not in page and "&lt;script&gt;" in page
