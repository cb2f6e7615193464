"""Filler metal in fillet, butt and plug joints against published estimating tables."""

import pytest

from sheetkit.base import tables
from sheetkit.formulas import filler


def grams_per_mm(leg, allowance):
    return filler.seam_deposit_g(filler.fillet_section_mm2(leg, allowance), 1.0)


def test_half_inch_fillet():
    """Filler maker's handbook: 0.5 x 0.5 x 0.5 x 12 x 0.283 = 0.424 lb/ft, without convexity."""
    assert grams_per_mm(12.7, 1.0) == pytest.approx(0.633, abs=5e-4)
    pounds_per_foot = grams_per_mm(12.7, 1.0) * 304.8 / 453.59237
    assert pounds_per_foot == pytest.approx(0.424, abs=2e-3)  # 0.283 lb/in³ has three digits


@pytest.mark.parametrize(("leg", "grams"), [(1.0, 3.93), (1.2, 5.65)])
def test_sheet_fillets_by_geometry(leg, grams):
    """leg²/2 x 7.85 g/cm³, evaluated by hand, g/m."""
    assert 1000 * grams_per_mm(leg, 1.0) == pytest.approx(grams, abs=5.01e-3)


@pytest.mark.parametrize(
    ("leg", "published"),
    # "Estimating filler metal cost" tables, with reinforcement, g/mm; 6.0 is sold as 1/4 in
    [(3.2, 0.048), (5.0, 0.107), (6.35, 0.192)],
)
def test_convexity_allowance_spans_the_published_table(leg, published):
    row = tables.row("limits", "fillet_allowance", "value")
    low, high = (grams_per_mm(leg, allowance) for allowance in (row.low, row.high))
    assert low - 5e-4 <= published <= high + 5e-4


def test_butt_seam_with_a_cap():
    """1.0 mm sheet, gap 0.5, cap 3 x 0.5 as a 2/3 parabola: 1.5 mm², 11.8 g/m; 12.4 g of wire."""
    section = 0.5 * 1.0 + 2 / 3 * 3 * 0.5
    deposit = filler.seam_deposit_g(section, 1000)
    assert deposit == pytest.approx(11.8, abs=0.05)
    assert filler.wire_g(deposit, 0.95) == pytest.approx(12.4, abs=0.05)


def test_butt_section_follows_its_description():
    """Gap 1.0, sheet 1.0: cap 3 mm wide (gap and one thickness a side), 0.5 high on one face."""
    assert filler.butt_section_mm2(1.0, 1.0, 0.5, 0.0) == pytest.approx(1.0 + 2 / 3 * 3 * 0.5)


@pytest.mark.parametrize(("hole", "sheet", "grams"), [(8, 1.0, 0.395), (6, 0.8, 0.178)])
def test_plug_fill(hole, sheet, grams):
    """pi/4 D² t x 7.85, evaluated by hand, without a crown."""
    volume = filler.plug_volume_mm3(hole, sheet, 0.0)
    assert filler.plug_deposit_g(volume, 1) == pytest.approx(grams, abs=5e-4)
