"""A plan by a shop's own heat and losses: it holds on that shop's sheet, and says what it rests on."""

import json

import numpy as np
import pytest

import sheetkit
from sheetkit.command_line import main
from sheetkit.formulas.montecarlo import NINE_IN_TEN
from sheetkit.heat.grid import GridChoice
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.paper import work_sheet
from sheetkit.paper.blocks import Paragraph
from sheetkit.sequence.cooling_curve import READ_AFTER_S, Learned, Reading, Use, learned
from sheetkit.sequence.shop_heat import BOOK, ShopHeat, pooled
from sheetkit.views.json_objects import sequence_object
from sheetkit.views.lines import sequence_lines
from sheetkit.views.shop_words import learned_line, own_lines, reading_lines
from sheetkit.workshop.heat_log import HeatEntry, keep

HEAT, LOSS = 1.2, 0.6


def hottest_before_a_start(plan, shop, look_ahead_s=20.0):
    """Return how far the starts are over the limit on a shop's true sheet, K."""
    order, start = plan.schedule()
    tacks = len(plan.tack_order)
    state = shop.play(order[:tacks], start[:tacks]).state
    fill = shop.play(order[tacks:], start[tacks:], state=state, look_ahead_s=look_ahead_s)
    return float(fill.peak_before_start_c[1:].max() - plan.interpass_limit_c)


@pytest.fixture(scope="module")
def shop(small_plan):
    """A shop with a fifth more heat and two fifths less loss than the book's, on a grid of its own."""
    heat, loss = small_plan.taken
    model = SheetModel(small_plan.model.piece, GridChoice(cell_mm=3))
    return model.varied(energy=HEAT / heat, film=LOSS / loss)


@pytest.fixture(scope="module")
def own(small_plan, shop):
    """What three readings there taught."""
    order, start = small_plan.schedule()
    state = shop.play(order, start).state
    end, readings = state.clock, []
    for after in READ_AFTER_S:
        shop.cool(state, end + after - state.clock)
        readings.append(Reading(after, float(shop.read(state)[order[-1]])))
    return pooled([learned(small_plan, readings).heat])


@pytest.fixture(scope="module")
def own_plan(small_estimate, own):
    return sheetkit.plan(small_estimate, own=own)


def test_three_readings_mend_the_next_plan(small_plan, own_plan, shop):
    assert hottest_before_a_start(small_plan, shop) > 10
    assert hottest_before_a_start(own_plan, shop) < 2
    assert own_plan.total_s > small_plan.total_s


def test_a_shop_as_unkind_as_the_book_plans_has_the_books_plan(small_estimate, small_plan):
    sd = 0.001
    exact = ShopHeat(small_plan.heat_share / float(np.exp(NINE_IN_TEN * sd)), 1.0, sd, sd)
    again = sheetkit.plan(small_estimate, own=exact)
    assert again.total_s == pytest.approx(small_plan.total_s, rel=0.02)


def test_a_shop_that_is_sure_of_the_books_heat_waits_less(small_estimate, small_plan):
    sure = sheetkit.plan(small_estimate, own=ShopHeat(1.0, 1.0, 0.01, 0.01))
    assert sure.taken == (pytest.approx(1.0, abs=0.02), 1.0)
    assert sure.total_s < small_plan.total_s


def test_it_is_said_beside_the_book_in_text_json_and_on_paper(
    small_estimate, small_plan, own_plan, own
):
    (line,) = own_lines(own_plan)
    assert f"{own.heat:.2f}" in line and f"{own.loss:.2f}" in line and "3 readings of 1 job" in line
    assert f"{BOOK.heat_range.low:.2f} to {BOOK.heat_range.high:.2f}" in line
    text = " ".join(" ".join(sequence_lines(small_estimate, own_plan)).split())
    assert line in text and "unvalidated" in text
    told = sequence_object(small_estimate, own_plan)["own_heat"]
    assert told["heat_ratio"]["low"] < told["heat_ratio"]["likely"] < told["heat_ratio"]["high"]
    assert told["planned_heat_ratio"] == told["heat_ratio"]["high"]
    assert (told["readings"], told["jobs"]) == (3, 1)
    blocks = work_sheet.worksheet(small_estimate, own_plan, paper="a4", display="mm")
    paper = " ".join(block.text for block in blocks if isinstance(block, Paragraph))
    assert line in paper and "unvalidated" in paper and "7 min ____" in paper

    assert own_lines(small_plan) == []
    assert sequence_object(small_estimate, small_plan)["own_heat"] is None
    assert "your own shop" not in " ".join(sequence_lines(small_estimate, small_plan))


def test_the_command_line_takes_a_heat_log(job_data, tmp_path, capsys):
    path = tmp_path / "small.json"
    data = job_data(rust=[{"ring": [[0, 0], [30, 0], [30, 20], [0, 20]]}], weld={"stitch": 40})
    path.write_text(json.dumps(data))
    assert main(["sequence", str(path), "--own", str(tmp_path)]) == 1
    assert "own: got heat.csv" in capsys.readouterr().err
    keep(tmp_path, HeatEntry("x.json", "2024-06-01", ShopHeat(1.3, 0.7, 0.05, 0.1, 0.8, 4, 1), "a"))
    assert main(["sequence", str(path), "--own", str(tmp_path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["own_heat"]["readings"] == 4 and told["own_heat"]["heat_ratio"]["likely"] > 1.1
    assert main(["sequence", str(path), "--own", str(tmp_path / "heat.csv")]) == 0
    assert "4 readings of 1 job" in " ".join(capsys.readouterr().out.split())


def test_each_reading_is_told_with_the_books_figure_and_its_fate():
    heat = ShopHeat(1.1, 0.7, 0.05, 0.1, 0.5, 2, 1)
    found = Learned(heat, (Use.USED, Use.SLIP), (70.0, 40.0), (75.0, 45.0))
    first, second = reading_lines([Reading(60, 76), Reading(180, 500)], found)
    assert "76 °C; by the book 70 °C, by your ratios 75 °C" in first and "not used" not in first
    assert "not used" in second
    assert "169 °F" in reading_lines([Reading(60, 76), Reading(180, 500)], found, display="in")[0]
    assert "1.10 (1.01 to 1.19)" in learned_line(found) and "2 readings" in learned_line(found)
    assert "book's figures stand" in learned_line(Learned(BOOK, (), (), ()))
    assert np.isclose(heat.heat_range.high / heat.heat, heat.heat / heat.heat_range.low)
