"""AWS Welding Handbook vol. 1, 8th ed. 1987, ch. 3; Adams, Welding Journal 37 (1958) 210-s.

Worked examples; rho c 0.0044 J/(mm³ K), k 0.028 J/(mm s K), Tm 1510 degC.  The widths were
found again in a manufacturing textbook that reprints the example (chapter "Width of heat
affected zone"); the other figures are from memory.
"""

import pytest

from sheetkit.heat import closed_forms, cooling


def test_peak_temperatures():
    """Values from memory."""
    for y, peak in [(1.5, 1184), (3.0, 976)]:
        got = closed_forms.peak_temperature_from_fusion_boundary(720, y, thickness_mm=5, start_c=25)
        assert got == pytest.approx(peak, abs=0.7)  # 4.13 for sqrt(2 pi e) in print


def test_heat_affected_widths():
    """720 J/mm, 5 mm plate; to 730 and 430 degC, the latter preheated, and with half more heat."""
    assert closed_forms.haz_width(720, thickness_mm=5, start_c=25) == pytest.approx(5.9, abs=0.05)
    wide = closed_forms.haz_width(720, thickness_mm=5, start_c=25, peak_c=430)
    assert wide == pytest.approx(14.2, abs=0.05)
    preheated = closed_forms.haz_width(720, thickness_mm=5, start_c=200, peak_c=430)
    assert preheated == pytest.approx(28.4, abs=0.05)
    hotter = closed_forms.haz_width(1080, thickness_mm=5, start_c=25, peak_c=430)
    assert hotter == pytest.approx(21.3, abs=0.05)


def test_cooling_rate():
    """6 mm plate, 550 degC, 6 K/s needs 819.8 J/mm; relative thickness 0.318 (from memory)."""
    given = {"thickness_mm": 6, "at_c": 550, "start_c": 25}
    assert cooling.cooling_rate_thin(819.8, **given) == pytest.approx(6.0, abs=5e-3)
    assert cooling.relative_thickness(819.8, **given) == pytest.approx(0.318, abs=5e-4)


def test_solidification_time():
    """800 J/mm: 0.94 s (value from memory)."""
    assert cooling.solidification_time(800, start_c=25) == pytest.approx(0.94, abs=5e-3)
