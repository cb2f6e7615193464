"""What is said of strips, cooling, fire watch and the check: with the plan's own figures."""

import json
from dataclasses import replace

import numpy as np
import pytest

import sheetkit
from sheetkit.base.tables import limit
from sheetkit.repair.plan import plan
from sheetkit.sequence.hot_strips import all_ends_s, reached
from sheetkit.views.heat_charts import peak_map
from sheetkit.views.heat_words import checked_line, ending_line, order_waits, strip_lines
from sheetkit.views.json_objects import sequence_object
from sheetkit.views.lines import sequence_lines

pytestmark = pytest.mark.usefixtures("brief_search")


@pytest.fixture(scope="module")
def planned():
    result = sheetkit.estimate(
        sheetkit.Job.from_data(
            {
                "format": "sheetkit-job/1",
                "sheet": {"thickness": 1.0},
                "rust": [{"ring": [[0, 0], [50, 0], [50, 30], [0, 30]]}],
                "patch": {"margin": 12},
            }
        )
    )
    return result, plan(result)


def test_text_tells_strips_touch_watch_and_check(planned):
    text = " ".join(" ".join(sequence_lines(*planned)).split())
    order = planned[1]
    paint = next(one for one in reached(order).strips if one.level.name == "heat_paint")
    assert f"paint burns (200 °C, common practice) to {paint.mean_mm:.0f} mm" in text
    assert "look at the far side" in text
    assert "Fire watch on the same clock" in text
    assert "not a bound for your shop" in text
    assert "43 °C" in text


def test_inches_and_fahrenheit(planned):
    order = planned[1]
    assert "392 °F" in strip_lines(order, display="in")[0]
    assert " in," in strip_lines(order, display="in")[0]
    assert "109 °F" in ending_line(order, display="in")
    fine = replace(order, verified_excess_c=1.0)
    assert "at most 1.8 °F" in checked_line(fine, display="in")


def test_an_order_that_was_not_checked_says_nothing_of_it(planned):
    assert checked_line(replace(planned[1], verified_excess_c=np.nan)) == ""


def test_waits_come_with_their_band(planned):
    order = planned[1]
    assert len(order_waits(order)) == len(order.order)
    assert all(" to " in words for words in order_waits(order))


def test_json_has_strips_and_the_clock(planned):
    result, order = planned
    told = json.loads(json.dumps(sequence_object(result, order)))
    widths = [strip["mean_mm"] for strip in told["hot_strips"]]
    assert widths == sorted(widths, reverse=True) and widths[0] > widths[2] > 0
    assert told["welding_ends_s"] == pytest.approx(order.tack_s + order.total_s, abs=0.1)
    assert told["cool_to_touch_s"] > told["welding_ends_s"]
    short, long = told["fire_watch_until_s"]
    assert short == pytest.approx(all_ends_s(order) + 60 * limit("fire_watch").value, abs=0.1)
    assert long > short


def test_a_peak_map_names_its_levels_and_labels_its_lines(planned):
    ax = peak_map(planned[1])
    words = [text.get_text() for text in ax.get_legend().get_texts()]
    assert len(words) == 4 and any("200 °C: paint burns" in line for line in words)
    dashes = {line.get_linestyle() for line in ax.get_legend().get_lines()}
    assert len(dashes) == 4
    assert any("°C" in text.get_text() for text in ax.texts)
    assert ax.get_xlabel() == "across, mm"
