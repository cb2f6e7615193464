"""The checks a reader can run hold, and a wrong figure shows in them."""

import pytest

from sheetkit.formulas import arc
from sheetkit.views import checks

WITHIN = {
    checks.geometry: 0.001,
    checks.weld_arithmetic: 0.001,
    checks.heat_flow: 0.01,
    checks.every_order: 0.05,
    checks.ranges: 0.03,
}


@pytest.mark.parametrize("check", WITHIN, ids=lambda check: check.__name__)
def test_every_figure_is_as_expected(check):
    found = check()
    assert found.worst < WITHIN[check], found
    assert all(row[-1] for row in found.rows)  # each says where its value is from


def test_nothing_passes_an_open_kerf_and_no_heat_is_mislaid():
    through, lacking = (row[2] for row in checks.open_kerf().rows)
    assert through == 0
    assert lacking < 0.01


def test_a_wrong_figure_shows(monkeypatch):
    real = arc.arc_energy_kj_per_mm
    monkeypatch.setattr(arc, "arc_energy_kj_per_mm", lambda *a, **k: 1.1 * real(*a, **k))
    assert checks.weld_arithmetic().worst == pytest.approx(0.1, rel=0.01)
