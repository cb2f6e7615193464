"""AWS Welding Handbook vol. 1, 8th ed. 1987, ch. 3; Adams, Welding Journal 37 (1958) 210-s.

Worked examples, values from memory; rho c 0.0044 J/(mm³ K), k 0.028 J/(mm s K), Tm 1510 degC.
"""

import pytest

from sheetkit.heat import closed_forms, cooling


def test_peak_temperatures():
    for y, peak in [(1.5, 1184), (3.0, 976)]:
        got = closed_forms.peak_temperature_from_fusion_boundary(720, y, thickness_mm=5, start_c=25)
        assert got == pytest.approx(peak, abs=0.7)  # 4.13 for sqrt(2 pi e) in print


def test_heat_affected_widths():
    assert closed_forms.haz_width(720, thickness_mm=5, start_c=25) == pytest.approx(5.9, abs=0.05)
    wide = closed_forms.haz_width(720, thickness_mm=5, start_c=25, peak_c=430)
    assert wide == pytest.approx(14.2, abs=0.05)
    preheated = closed_forms.haz_width(720, thickness_mm=5, start_c=200, peak_c=430)
    assert preheated == pytest.approx(28.4, abs=0.05)


def test_cooling_rate():
    """6 mm plate, 550 degC, 6 K/s needs 819.8 J/mm; relative thickness 0.318."""
    given = {"thickness_mm": 6, "at_c": 550, "start_c": 25}
    assert cooling.cooling_rate_thin(819.8, **given) == pytest.approx(6.0, abs=5e-3)
    assert cooling.relative_thickness(819.8, **given) == pytest.approx(0.318, abs=5e-4)


def test_solidification_time():
    assert cooling.solidification_time(800, start_c=25) == pytest.approx(0.94, abs=5e-3)


def test_counting_from_the_weld_line_is_another_thing():
    """10 mm, 115.2 J/mm, 1 mm sheet: 442.8 from the fusion boundary, 611.8 from the line."""
    sheet = {"thickness_mm": 1.0, "heat_capacity_j_mm3k": 4.71e-3}
    adams = closed_forms.peak_temperature_from_fusion_boundary(115.2, 10, melting_c=1500, **sheet)
    assert adams == pytest.approx(442.8, abs=0.05)
    assert closed_forms.peak_temperature_from_weld_line(115.2, 10, **sheet) == pytest.approx(
        611.8, abs=0.05
    )
