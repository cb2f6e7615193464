"""Welding arithmetic: limits, arrays and hand numbers (published values: tests/published)."""

import inspect
import math

import numpy as np
import pytest

from sheetkit.formulas import arc, consumables, cost, filler, gas, hours
from sheetkit.formulas.chain import Formula

FORMULAS = [
    found
    for module in (arc, consumables, cost, filler, gas, hours)
    for found in vars(module).values()
    if isinstance(found, Formula)
]


def drawn(formula, count):
    """Return columns of draws, one a parameter, inside the formula's limits."""
    chance = np.random.default_rng(3)
    ends = [formula.limits(name) for name in formula.needs]
    return [chance.uniform(low, min(high, 3 * low + 3), count) for low, high in ends]


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.__name__)
def test_arrays_give_what_numbers_give(formula):
    columns = drawn(formula, 4)
    together = np.broadcast_to(formula(*columns), 4)
    assert together == pytest.approx(
        [formula(*(column[i] for column in columns)) for i in range(4)], rel=1e-12
    )


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.__name__)
def test_nan_in_nan_out(formula):
    inside = [row[0] for row in drawn(formula, 1)]
    for position in range(len(inside)):
        arguments = list(inside)
        arguments[position] = math.nan
        assert math.isnan(formula(*arguments)), position


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.__name__)
def test_docstring_and_single_return(formula):
    """What `explain` shows is the one return expression."""
    assert formula.title and formula.__doc__
    assert inspect.getsource(formula.function).count("    return ") == 1


def test_gas_with_its_losses_by_hand():
    """30 l of arc, 40 starts at 10 l/min with 0.5 + 1 s and 0.05 l: 30 + 40 x 0.3 = 42 l."""
    assert gas.gas_real_l(30, 40, 10, 0.5, 1.0, 0.05) == pytest.approx(42)


def test_no_start_no_loss_and_what_is_missing():
    assert gas.gas_real_l(12.5, 0, 10, 0.5, 1, 0.05) == 12.5
    assert gas.cylinder_left_l(100, 130) == -30


def test_arc_times_by_hand():
    """500 mm at 400 mm/min 75 s, 20 tacks of 0.75 s 15 s; 334 dots of 0.5 s 167 s; plugs 2 s."""
    assert arc.arc_time_s(arc.stitch_time_s(500, 400), 20, 0.75) == pytest.approx(90)
    assert arc.dots_time_s(334, 0.5) == pytest.approx(167)
    assert arc.plugs_time_s(28, 2) == 56
    assert arc.rod_plug_time_s(10, 8, 115) == pytest.approx(10 * math.pi * 8 / 115 * 60)


def test_plug_with_a_crown():
    """8 mm in 1 mm sheet with a cap of 0.5: pi/4 64 x 1.25."""
    assert filler.plug_volume_mm3(8, 1, 0.5) == pytest.approx(math.pi * 16 * 1.25)


@pytest.mark.parametrize(("hole", "sheet", "grams"), [(8, 1.0, 0.395), (6, 0.8, 0.178)])
def test_plug_fill(hole, sheet, grams):
    """pi/4 D² t x 7.85, without a crown."""
    volume = filler.plug_volume_mm3(hole, sheet, 0.0)
    assert filler.plug_deposit_g(volume, 1) == pytest.approx(grams, abs=5e-4)


@pytest.mark.parametrize(
    ("diameter", "grams", "metres_per_kg"),
    [
        (0.6, 2.220, 450.5),
        (0.8, 3.946, 253.4),
        (0.9, 4.994, 200.2),
        (1.0, 6.165, 162.2),
        (1.2, 8.878, 112.6),
    ],
)
def test_grams_per_metre(diameter, grams, metres_per_kg):
    """pi/4 d² x 7.85 g/cm³."""
    found = filler.wire_g_per_m(diameter)
    assert found == pytest.approx(grams, abs=5e-4)
    assert 1000 / found == pytest.approx(metres_per_kg, abs=0.05)


@pytest.mark.parametrize(
    ("diameter", "amperes", "extension", "feed"),
    [
        (1.2, 200, 15, 5.40),
        (0.6, 40, 8, 3.49),
        (0.8, 60, 10, 2.98),
        (0.9, 80, 10, 3.17),
        (1.0, 100, 12, 3.34),
    ],
)
def test_feed_scaled_to_thinner_wire(diameter, amperes, extension, feed):
    """0.3 I and 5e-5 L I² mm/s for 1.2 mm, over d² and d⁴ for thinner wire."""
    found = filler.wire_feed_m_min(amperes, diameter, extension, 0.3, 5e-5)
    assert found == pytest.approx(feed, abs=5e-3)


def test_both_wire_routes():
    """3 m/min for 90 s is 4.5 m; 20 g of weld metal at 0.95 takes 21.05 g, 5.34 m of 0.8 mm."""
    assert filler.wire_by_feed_m(3, 90) == pytest.approx(4.5)
    assert filler.wire_by_feed_g(4.5, 3.946) == pytest.approx(17.757)
    assert filler.wire_g(20, 0.95) == pytest.approx(21.0526, abs=1e-4)
    assert filler.wire_m(21.0526, 3.9458) == pytest.approx(5.3355, abs=1e-3)


def test_butt_section_by_hand():
    """Gap 1.0, sheet 1.0: cap 3 mm wide (gap and one thickness a side), 0.5 high on one face."""
    assert filler.butt_section_mm2(1.0, 1.0, 0.5, 0.0) == pytest.approx(1.0 + 2 / 3 * 3 * 0.5)


def test_wire_of_a_cored_wire_is_lighter():
    """0.9 mm at 0.85 of solid wire: 4.994 x 0.85 g/m."""
    assert filler.wire_g_per_m(0.9, 0.85) == pytest.approx(4.245, abs=1e-3)
    assert filler.wire_g_per_m(0.9) == pytest.approx(4.994, abs=1e-3)


def test_a_plug_takes_its_start_and_the_time_to_fill_its_hole():
    """40 mm³ are 0.314 g, at 0.96 0.3271 g of wire; 5 m/min of 4 g/m give 1/3 g/s: 0.981 s and 0.5."""
    assert filler.plug_time_s(40, 0.96, 5, 4, 0.5) == pytest.approx(0.5 + 0.98125, abs=1e-5)


def test_energy_of_dots_and_plugs_by_hand():
    """15 V, 40 A: 0.5 s a dot each 3 mm, 0.1 kJ/mm; 28 plugs in 56 s: 1.2 kJ each."""
    assert arc.dots_energy_kj_per_mm(15, 40, 100, 0.5, 300) == pytest.approx(0.1)
    assert arc.plug_arc_energy_kj(15, 40, 56, 28) == pytest.approx(1.2)
    assert arc.plug_heat_input_kj(0.8, 1.2) == pytest.approx(0.96)
    assert arc.plugs_energy_kj_per_mm(1.2, 28, 1050) == pytest.approx(0.032)


def test_tacks_are_not_welded_twice():
    """1000 mm with 200 mm tacked: 800 mm to fill; of 334 dots four fifths."""
    assert arc.fill_length_mm(1000, 200) == 800
    assert arc.fill_dots(334, 800, 1000) == pytest.approx(267.2)
