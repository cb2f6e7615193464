"""One figure of one job reads the same wherever it is shown: its likely, the middle of the draws."""

import re
from html import unescape

import numpy as np
import pytest

import sheetkit as sk
from sheetkit.paper import html, quote, reckoning, sums, work_sheet
from sheetkit.repair.plan import order_hangs_on, with_plan
from sheetkit.views.json_objects import estimate_object
from sheetkit.views.lines import estimate_lines
from sheetkit.views.listings import hours_listing, side_by_side
from sheetkit.views.summary import summary, summary_numbers
from sheetkit.views.words import minutes
from sheetkit.widgets import Bench, Pages, cards
from sheetkit.workshop import compare, many, shopping
from sheetkit.workshop.book import Book

TAKEN = ("hours_h", "cost", "gas_real_l", "wire_bought_g", "arc_time_s")
FIGURES = (*TAKEN, "heat_input_kj_per_mm")
RING = [[0, 0], [60, 0], [60, 50], [0, 50]]


@pytest.fixture(scope="module")
def job():
    return sk.Job.from_data({
        "format": "sheetkit-job/1",
        "title": "One job",
        "sheet": {"thickness": 0.9, "role": "floor"},
        "rust": [{"ring": RING}],
        "shop": {"cylinder": {"water_volume": 10, "pressure": 150}},
    })  # fmt: skip


@pytest.fixture(scope="module")
def result(job):
    return sk.estimate(job)


@pytest.fixture(scope="module")
def order(result):
    return sk.plan(result)


@pytest.fixture(scope="module")
def middle(result):
    """Figure -> the middle of the draws, written anew; far enough from the usual value to tell.

    A heat input stands at what is set: k U I / v of the settings beside it.
    """
    found = {name: float(np.median(result.drawn[name])) for name in TAKEN}
    v = result.inputs
    power_w = 0.8 * v["voltage_v"].value * v["current_a"].value
    found["heat_input_kj_per_mm"] = 60 * power_w / v["travel_mm_min"].value / 1000
    for name in ("hours_h", "cost", "gas_real_l"):
        assert found[name] > 1.05 * result.values[name], name
    return found


def words(page: str) -> str:
    return " ".join(unescape(re.sub("<[^>]+>", " ", page)).split())


def test_summary_lines_and_listings(result, middle):
    rows = {what: amount for what, amount, *_ in summary(result)}
    gas, feed = "Gas, with pre-flow, post-flow, surge", "Heat input (k U I / v)"
    assert rows["Hours"] == f"{middle['hours_h']:.1f} h"
    assert rows["Cost"] == f"{middle['cost']:.0f} USD"
    assert rows[gas] == f"{middle['gas_real_l']:.1f} l"
    assert rows["Arc time"] == minutes(middle["arc_time_s"])
    assert rows[feed] == f"{middle['heat_input_kj_per_mm']:.3f} kJ/mm"
    lines = "\n".join(estimate_lines(result))
    for what in ("Hours", "Cost", gas, "Arc time", feed):
        assert re.search(rf"{re.escape(what)} +{re.escape(rows[what])} ", lines), what
    told = {row[1]: row[2].likely for row in summary_numbers(result).rows}
    compared = side_by_side({"x": result}, FIGURES).rows
    for name, row in zip(FIGURES, compared, strict=True):
        assert row[-1].likely == pytest.approx(middle[name]), name
        assert told.get(name, middle[name]) == pytest.approx(middle[name]), name
    steps = hours_listing(result).rows
    assert sum(row[1].likely for row in steps[:-1]) == pytest.approx(middle["hours_h"])
    assert steps[-1][1] * 3600 == pytest.approx(middle["arc_time_s"])


def test_what_is_set_needs_no_usual_chain(result, middle):
    """Its one number is that of the settings shown, so the chain beside it is its own."""
    told = result.explain("heat_input_kj_per_mm")
    assert told.value == told.likely == pytest.approx(middle["heat_input_kj_per_mm"])
    assert told.low < told.likely < told.high
    assert "likely" not in str(told) and "as usual" not in str(told)


@pytest.mark.parametrize("name", TAKEN)
def test_explain_leads_with_it_and_says_what_the_usual_chain_is(result, middle, name):
    told = result.explain(name)
    before, after = " ".join(str(told).split()).split("If every step goes as usual:")
    assert before.startswith(f"{name} = likely {middle[name]:.4g} ")
    assert f" = {result.values[name]:.4g}" in after
    if result.values[name] < 0.99 * middle[name]:
        assert f" {result.values[name]:.4g} " not in before
    # a figure of the usual chain stands without a range: its own explain has that
    assert all(row.low is None for row in told.inputs if row.table == "figures")


def test_the_command_lines_object(result, middle):
    told = estimate_object(result)
    assert told["hours"]["likely"] == round(middle["hours_h"], 2)
    assert told["cost"]["likely"] == round(middle["cost"], 2)
    for name in ("gas_real_l", "arc_time_s"):
        assert told["ranges"][name]["likely"] == pytest.approx(middle[name], abs=1e-4)
    assert "usual" in told["single_figures"] and "ranges" in told["single_figures"]
    steps = sum(step["likely"] for step in told["hours_by_step"].values())
    assert steps == pytest.approx(middle["hours_h"], abs=0.05)


def test_cards_and_bars(result, middle):
    page = words(cards.cards(result) + cards.amounts(result))
    assert f"Hours {middle['hours_h']:.1f} h" in page
    assert f"Cost {middle['cost']:.0f} USD" in page
    assert f"Arc time {minutes(middle['arc_time_s'])}" in page
    assert f"Heat input {middle['heat_input_kj_per_mm']:.3f} kJ/mm" in page
    assert f"post-flow and surge: {middle['gas_real_l']:.3g} l" in page


def test_comparison_batch_book_and_shopping(job, result, middle, tmp_path):
    (way,) = compare.ways(job, {"as drawn": {}}).done
    (row,) = many.rows([job])
    sk.save(job, tmp_path / "one.json")
    booked = Book.open(tmp_path).table().iloc[0]
    heat = result.drawn["thermal_efficiency"] * result.drawn["voltage_v"]
    heat = heat * result.drawn["current_a"] * result.drawn["arc_time_s"] / 1000
    assert way.heat_kj == pytest.approx(np.median(heat))
    for found in (
        (way.hours.likely, way.cost.likely, way.gas_l, way.wire_g),
        (row["hours"], row["cost"], row["gas_l"], row["wire_g"]),
        (booked["hours"], booked["cost"], booked["gas_l"], booked["wire_g"]),
    ):
        assert found == pytest.approx([middle[name] for name in FIGURES[:4]])
    for one in (row, booked):
        assert one["arc_min"] == pytest.approx(middle["arc_time_s"] / 60)
    bought = shopping.shopping_list(result)
    assert bought["shielding gas"].need == pytest.approx(middle["gas_real_l"])
    assert bought["welding wire"].need == pytest.approx(middle["wire_bought_g"])


def test_quote_and_work_sheet(result, middle, order):
    offer = words(html.html(list(quote.quote(result, display="mm")), title="t", kind="k"))
    assert f"{middle['hours_h']:.1f} h × 60 USD/h" in offer
    # hours are charged to the tenth that is shown, here and on the work sheet
    assert float(sums.totals(result).net) == pytest.approx(middle["cost"], abs=0.05 * 60 + 1)
    own = words(html.html(list(reckoning.reckoning(result)), title="t", kind="k"))
    assert f"cost = likely {middle['cost']:.4g} " in own
    for line in sums.lines(result):  # what stands beside a line's own middle is near it
        assert float(line.amount) == pytest.approx(result.range(line.figure).likely, rel=0.1)
    sheet = work_sheet.worksheet(result, order, paper="a4", display="mm")
    pages = words(html.html(list(sheet), title="t", kind="k"))
    assert f"Hours reckoned: {middle['hours_h']:.1f} (" in pages
    assert f"arc time {minutes(middle['arc_time_s'])};" in pages


def test_where_there_is_a_plan_all_stand_on_it_and_say_so(job, result, order):
    mine = with_plan(result, order)
    likely = float(np.median(mine.drawn["hours_h"]))
    usual, planned = "with the usual waits", "with its plan's own waits"
    for one, said, other in ((result, usual, planned), (mine, planned, usual)):
        pages = [
            " ".join("\n".join(estimate_lines(one)).split()),
            words(cards.cards(one)),
            words(html.html(list(reckoning.reckoning(one)), title="t", kind="k")),
            estimate_object(one)["hours_stand"],
        ]
        sheet = work_sheet.worksheet(one, order, paper="a4", display="mm")
        pages.append(words(html.html(list(sheet), title="t", kind="k")))
        for page in pages:
            assert said in page and other not in page
    bench = Bench(job)
    assert usual in bench.details.cards.value
    bench.plan = order
    assert bench.result.hours.likely == pytest.approx(likely)
    assert planned in words(bench.details.cards.value) and usual not in bench.details.cards.value


def test_a_bench_keeps_a_plan_as_long_as_its_order_holds(job, order):
    bench = Bench(job)
    pages = Pages(bench, order)
    assert bench.plan is order and bench.result.by_plan  # what is printed is what is shown
    assert pages.result is bench.result
    keeps = job.changed(title="other", shop__labour_rate=50)
    assert order_hangs_on(keeps) == order_hangs_on(job)
    # who settles more slowly at the next place has another order
    assert order_hangs_on(job.changed(shop__skill="first")) != order_hangs_on(job)
    bench.form.set("patch__margin", 60)
    assert bench.plan is None and not bench.result.by_plan
    longer = job.changed(rust=[{"ring": [[0, 0], [260, 0], [260, 50], [0, 50]]}])
    other = Bench(longer)
    before = other.result.hours
    other.plan = order  # another job's: refused, and told
    assert other.plan is None and other.result.hours == before
    assert "plan this job again" in other.strip.word["text"]
