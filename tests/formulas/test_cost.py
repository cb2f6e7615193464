"""Hours, consumables and money by hand."""

import pytest

from sheetkit.formulas import consumables, cost, filler


def test_wire():
    assert filler.wire_bought_g(20, 30) == filler.wire_bought_g(30, 20) == 30
    assert filler.rod_bought_g(20) == 20
    assert cost.wire_cost(350, 20) == pytest.approx(7)


def test_gas():
    """500 l at 32.5 a cubic metre."""
    assert cost.gas_cost(500, 32.5) == pytest.approx(16.25)
    assert cost.no_gas_cost() == 0


def test_discs():
    """1.25 m cut at 0.75 a metre, 1.06 m ground at 0.6."""
    assert consumables.cutting_discs(1250, 0.75) == pytest.approx(0.9375)
    assert consumables.flap_discs(1.06, 0.6) == pytest.approx(0.636)
    assert cost.disc_cost(0.9375, 2, 0.636, 5, 0.2, 12) == pytest.approx(1.875 + 3.18 + 2.4)


def test_coating():
    """1.06 m: 15.9 ml of sealer at 20/300, 21.2 ml of primer at 30/400, 42.4 ml of wax at 20/500."""
    assert consumables.sealer_ml(1.06, 15) == pytest.approx(15.9)
    found = cost.coating_cost(
        sealer_ml=15.9,
        sealer_price_per_ml=20 / 300,
        primer_ml=21.2,
        primer_price_per_ml=30 / 400,
        wax_ml=42.4,
        wax_price_per_ml=20 / 500,
        lap_primer_ml=0,
        lap_primer_price_per_ml=25 / 400,
    )
    assert found == pytest.approx(1.06 + 1.59 + 1.696)


def test_sheet_and_sum():
    assert cost.sheet_cost(400, 3) == pytest.approx(1.2)
    assert cost.materials_cost(1, 2, 3, 4, 5, 6) == 21
    assert cost.labour_cost(6.5, 60) == 390
    assert cost.cost(390, 15, 0.2) == pytest.approx(486)
    assert consumables.metres_m(1061) == pytest.approx(1.061)
