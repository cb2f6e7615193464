"""The chain of formulas: what is shown is what is computed; ranges by hand."""

import json
import math
import pickle
from dataclasses import replace

import numpy as np
import pytest

import sheetkit
from sheetkit import OutOfRange, SheetkitError
from sheetkit.base import tables
from sheetkit.base.errors import UnknownName
from sheetkit.base.tables import Row
from sheetkit.formulas import arc, chain, explain, filler, gas, ranges
from sheetkit.formulas.chain import Chain, formula
from sheetkit.formulas.montecarlo import draw
from sheetkit.views import lines as lines_
from sheetkit.views import summary

JOBS = {
    "butt": {},
    "lap": {"patch": {"joint": "lap"}},
    "plug": {"patch": {"joint": "plug"}},
    "dots": {"weld": {"fill": "dots"}},
    "co2": {"weld": {"gas": "C1"}},
    "136": {"weld": {"process": "136"}},
    "gasless": {"weld": {"process": "114"}},
    "tig": {"weld": {"process": "141"}, "patch": {"gap": 0.2}},
    "tig plug": {"weld": {"process": "141"}, "patch": {"joint": "plug"}},
}


def evaluated(text, **names):
    """Work out a shown expression, independently of the formula it came from."""
    for shown, python in (("²", "**2"), ("⁴", "**4"), ("×", "*")):
        text = text.replace(shown, python)
    return eval(text, {"__builtins__": {}}, {"pi": math.pi, "max": max} | names)


@pytest.fixture(scope="module", params=JOBS)
def result(request, job):
    return sheetkit.estimate(job(**JOBS[request.param]))


def test_shown_numbers_give_the_value(result):
    checked = 0
    for name in result.values:
        told = result.explain(name)
        assert told.value == pytest.approx(result.values[name])
        if told.formula:
            expected = evaluated(told.numbers)
            size = max(abs(row.value) for row in told.inputs) if told.inputs else 1
            assert expected == pytest.approx(told.value, rel=2e-5, abs=2e-5 * size), name
            checked += 1
    assert checked > 20


def test_shown_formula_gives_the_value(result):
    for name in result.values:
        told = result.explain(name)
        if told.formula:
            inputs = {row.quantity: row.value for row in told.inputs}
            assert evaluated(told.formula, **inputs) == pytest.approx(told.value, rel=1e-9), name


def test_every_figure_says_where_it_comes_from(result):
    for name in result.values:
        told = result.explain(name)
        assert told.title
        for row in told.inputs:
            assert row.source and row.status, (name, row)
        assert told.low <= told.likely <= told.high, name
        assert name in str(told)
        assert told.unit in str(told) or told.unit == "1"


def test_ranges_enclose_every_figure(result):
    """As drawn: the sum of most likely inputs can lie below what nine in ten repairs take."""
    assert set(result.spans) == set(result.values)
    for name, (low, likely, high) in result.spans.items():
        assert low <= likely <= high, name
        worst = result.worst(name)
        slack = 1e-9 * abs(worst[1])
        assert worst[0] - slack <= min(low, result.values[name]), name
        assert max(high, result.values[name]) <= worst[1] + slack, name


def test_unknown_figure_names_the_nearest(result):
    with pytest.raises(SheetkitError, match=r'explain: got "wire_gg".*try .*wire_g'):
        result.explain("wire_gg")


WIDER = 3


@formula(unit="mm", valid={"factor": (1, 3)}, source="a textbook, page 1.")
def product(length_mm, factor):
    """A product."""
    return length_mm * factor


@formula()
def sum_l(product, extra_l):
    """A sum."""
    return product + extra_l


def row(name, low, value, high, unit="1"):
    return Row("t", name, name, low, value, high, unit, "s", "guess", "")


INPUTS = {
    "length_mm": row("length_mm", 8, 10, 14, "mm"),
    "factor": row("factor", 1, 2, 3),
    "extra_l": row("extra_l", None, 5, None, "l"),
}
CHAIN = Chain([product, sum_l], INPUTS)


def test_a_formula_knows_its_name_needs_unit_source_and_limits():
    assert (product.name, product.needs, product.unit) == ("product", ("length_mm", "factor"), "mm")
    assert (sum_l.unit, sum_l.title, product.source) == ("l", "A sum.", "a textbook, page 1.")
    assert product.limits("factor") == (1, 3) and product.limits("length_mm") == (0, math.inf)
    assert "factor 1 to 3" in product.__doc__ and "a textbook" in product.__doc__
    with pytest.raises(AttributeError):
        product.unit = "m"


def test_every_unit_is_the_one_its_name_ends_in(result):
    for name, one in result.chain.items():
        assert one.unit == chain.unit_of(name) or one.unit == chain.MONEY
        assert (one.unit == chain.MONEY) == name.endswith("cost"), name


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: arc.arc_energy_kj_per_mm(16, 60, 0), "travel_mm_min: got 0 mm/min; must be 1 to"),
        (
            lambda: arc.arc_energy_kj_per_mm(-16, 60, 400),
            "voltage_v: got -16 V; must be 0 to 100 V",
        ),
        (lambda: arc.stitch_time_s(500, travel_mm_min=0), "travel_mm_min: got 0 mm/min"),
        (lambda: filler.wire_g(10, 0), "deposition_efficiency: got 0; must be 0.1 to 1"),
        (lambda: filler.wire_m(10, 0), "wire_g_per_m: got 0 g/m"),
        (
            lambda: filler.wire_by_feed_m(-3, 90),
            "wire_feed_m_min: got -3 m/min; must be at least 0",
        ),
        (lambda: gas.cylinder_content_l(10, 150, 0), "compressibility: got 0"),
        (lambda: arc.stitch_time_s(500, np.array([400.0, np.nan, -1.0])), "got -1 mm/min"),
    ],
)
def test_a_formula_refuses_what_is_outside_its_limits(call, words):
    with pytest.raises(OutOfRange, match=words) as refused:
        call()
    assert refused.value.faults[0].remedy


@pytest.mark.parametrize("value", [0, -400, 1e9])
def test_a_chain_refuses_an_input_outside_the_limits_of_what_needs_it(result, value):
    with pytest.raises(OutOfRange, match="wire_diameter_mm"):
        result.with_inputs({"wire_diameter_mm": value})


def test_draws_outside_the_limits_are_refused():
    inputs = {name: one.value for name, one in INPUTS.items()}
    with pytest.raises(OutOfRange, match=r"factor: got 3\.5; must be 1 to 3"):
        CHAIN.evaluate(inputs | {"factor": np.linspace(1, 3.5, 6)})
    assert len(CHAIN.evaluate(inputs | {"factor": np.linspace(1, 3, 6)})["sum_l"]) == 6


def test_a_chain_refuses_an_unknown_need_and_a_name_twice():
    with pytest.raises(UnknownName, match=r'chain, product: got "factor".*earlier figure'):
        Chain([product, sum_l], ["length_mm", "extra_l"])
    with pytest.raises(UnknownName, match='chain, sum_l: got "product"'):
        Chain([sum_l, product], INPUTS)
    with pytest.raises(SheetkitError, match="sum_l twice"):
        Chain([product, sum_l, product.named("sum_l")], INPUTS)
    with pytest.raises(SheetkitError, match="extra_l twice"):
        Chain([product, product.named("extra_l")], INPUTS)
    with pytest.raises(UnknownName, match=r'valid: got "facter".*try factor'):
        formula(valid={"facter": (0, 1)})(lambda factor: factor)


def test_unknown_names_are_answered_with_the_nearest(result):
    for ask in (result.explain, result.range, result.rests_on):
        with pytest.raises(UnknownName, match=r"try .*wire_g") as refused:
            ask("wire_gg")
        assert isinstance(refused.value, LookupError)
    with pytest.raises(UnknownName, match=r"try .*current_a"):
        result.with_inputs({"curent_a": 90})
    with pytest.raises(UnknownName, match="must be an input"):
        result.with_inputs({"hours_h": 1.0})


def test_a_chain_goes_through_a_pickle(result):
    again = pickle.loads(pickle.dumps(dict(result.chain)))
    for name, one in again.items():
        assert (one.name, one.function) == (name, result.chain[name].function)


def test_an_own_factor_scales_any_formula():
    book, own = chain.scaled(product, "own_factor")
    inputs = INPUTS | {"own_factor": row("own_factor", None, 1.5, None)}
    scaled = Chain([book, own, sum_l], inputs)
    values = scaled.evaluate({name: one.value for name, one in inputs.items()})
    assert (values["book_product"], values["product"], values["sum_l"]) == (20, 30, 35)
    told = explain.explain("product", scaled, inputs, values)
    assert (told.formula, told.numbers, told.unit) == (
        "book_product × own_factor",
        "20 × 1.5",
        "mm",
    )


def test_constants_shown_are_the_ones_computed_with(monkeypatch):
    @formula()
    def wide_mm(length_mm):
        """Wider."""
        return length_mm * WIDER

    wider = Chain([wide_mm], INPUTS)
    values = wider.evaluate({name: one.value for name, one in INPUTS.items()})
    told = explain.explain("wide_mm", wider, INPUTS, values)
    assert (told.formula, told.numbers) == ("length_mm × 3", "10 × 3")
    monkeypatch.setitem(globals(), "WIDER", 7)
    assert explain.explain("wide_mm", wider, INPUTS, values).formula == "length_mm × 7"


def test_steel_shown_is_the_steel_computed_with(job, monkeypatch):
    result = sheetkit.estimate(job())
    assert "0.00785" in result.explain("wire_g_per_m").numbers
    monkeypatch.setattr(filler, "DENSITY_G_MM3", 1.0)
    assert "0.00785" not in result.explain("wire_g_per_m").numbers
    assert result.with_inputs({})["wire_g_per_m"] == pytest.approx(
        evaluated(result.explain("wire_g_per_m").numbers)
    )


def test_a_figure_rests_on_all_inputs_below_it():
    inputs = INPUTS | {"extra_l": replace(INPUTS["extra_l"], status="derived")}
    assert CHAIN.rests_on("extra_l", inputs) == "derived"
    assert CHAIN.rests_on("product", inputs) == "guess"
    assert CHAIN.rests_on("sum_l", inputs) == "derived, guess"


def test_every_row_of_the_summary_says_what_it_rests_on(result):
    assert all(len(row) == len(summary.SUMMARY) and row[-1] for row in summary.summary(result))


def test_printed_lines_fit_a_terminal(result):
    for line in "\n".join(lines_.estimate_lines(result)).splitlines():
        assert len(line) <= 100


def test_chain_and_ranges_by_hand():
    """10 x 2 = 20.  A triangle's median by hand: 8, 10, 14 has its median at 14 - sqrt(12)."""
    values = CHAIN.evaluate({name: one.value for name, one in INPUTS.items()})
    assert values["product"] == 20 and values["sum_l"] == 25
    still = INPUTS | {"factor": replace(INPUTS["factor"], low=None, high=None)}
    spans = ranges.Ranges(CHAIN.evaluate(draw(still)), still, values)
    middle = 14 - math.sqrt(12)
    low = 8 + math.sqrt(0.1 * 6 * 2)  # a tenth of the triangle lies under it
    high = 14 - math.sqrt(0.1 * 6 * 4)
    assert spans["product"] == pytest.approx((2 * low, 2 * middle, 2 * high), rel=1e-3)
    assert spans["sum_l"] == pytest.approx([5 + x for x in spans["product"]])
    assert spans["length_mm"] == (8, 10, 14)  # an input has its row's own ends
    assert spans["extra_l"] == (5, 5, 5)


def test_explanation_by_hand():
    values = CHAIN.evaluate({name: one.value for name, one in INPUTS.items()})
    told = explain.explain("product", CHAIN, INPUTS, values)
    assert (told.title, told.source) == ("A product.", "a textbook, page 1.")
    assert (told.formula, told.numbers) == ("length_mm × factor", "10 × 2")
    assert [one.quantity for one in told.inputs] == ["length_mm", "factor"]


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("wire_g", "g"),
        ("wire_g_per_m", "g/m"),
        ("arc_energy_kj_per_mm", "kJ/mm"),
        ("flow_l_min", "l/min"),
        ("travel_mm_min", "mm/min"),
        ("wire_feed_m_min", "m/min"),
        ("section_mm2", "mm²"),
        ("plug_volume_mm3", "mm³"),
        ("gap_mm", "mm"),
        ("hours_h", "h"),
        ("current_a", "A"),
        ("voltage_v", "V"),
        ("starts", "1"),
    ],
)
def test_unit_of_a_name(name, unit):
    assert chain.unit_of(name) == unit


@pytest.mark.parametrize(
    "name", ["wire_price_per_kg", "sealer_ml", "cost", "making_hours_per_metre"]
)
def test_units_that_a_reader_sees(job, name):
    """No figure with a unit is shown as a plain number."""
    assert sheetkit.estimate(job()).explain(name).unit != "1"


def test_a_figure_is_explained_on_the_command_line(cli):
    done = cli("estimate", "data/trunk_floor.json", "--explain", "wire_g")
    assert done.returncode == 0
    assert "= deposit_g / deposition_efficiency" in done.stdout
    told = json.loads(
        cli("estimate", "data/trunk_floor.json", "--explain", "wire_g", "--json").stdout
    )
    whole = json.loads(cli("estimate", "data/trunk_floor.json", "--json").stdout)
    assert told["unit"] == "g" and told["value"] == pytest.approx(whole["wire_g"], abs=1e-4)


def test_an_unknown_figure_is_refused_with_its_neighbours(cli):
    done = cli("estimate", "data/trunk_floor.json", "--explain", "wire")
    assert cli("estimate", "data/trunk_floor.json", "--explain", "").returncode == 1
    assert done.returncode == 1 and not done.stdout
    assert "try wire_m, wire_g" in done.stderr and "Traceback" not in done.stderr


def test_every_status_has_its_letter():
    assert set(lines_.ORIGINS.values()) == {*tables.STATUSES, tables.GIVEN}


def test_print_names_origins_by_letters_of_its_own_legend(result):
    lines = "\n".join(lines_.estimate_lines(result)).splitlines()
    rows = summary.summary(result)
    for name, *_, origin in rows:
        line = next(line for line in lines if line[2:].startswith(f"{name} "))
        letters = line.split()[-1]
        assert {lines_.ORIGINS[letter] for letter in letters} == set(origin.split(", "))
