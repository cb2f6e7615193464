import subprocess
import sys

import numpy as np
import pytest

from sheetkit.base.errors import OutOfRange
from sheetkit.heat import air, closed_forms, cooling


@pytest.mark.parametrize("module", ["sheetkit.heat", "sheetkit.sequence"])
def test_import_loads_no_compiler(module):
    code = (
        f"import sys, {module}; assert not {{'numba', 'matplotlib', 'pandas'}} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_arrays_equal_scalars():
    distance = np.array([5.0, 10.0, 40.0])
    for function in (
        lambda y: closed_forms.peak_temperature_from_weld_line(100, y, thickness_mm=1),
        lambda y: closed_forms.peak_temperature_from_fusion_boundary(100, y, thickness_mm=1),
        lambda y: closed_forms.instantaneous_line_source(1000, y, 20, thickness_mm=1),
        lambda y: closed_forms.moving_line_source(
            700, 6, -y, y, thickness_mm=1, losses=air.Losses(10, 0)
        ),
    ):
        assert function(distance) == pytest.approx([function(y) for y in distance], rel=1e-12)
        assert np.ndim(function(10.0)) == 0


def test_distance_is_the_inverse_of_the_peak():
    for limit in (80, 200, 730):
        y = closed_forms.distance_to_temperature(limit, 115.2, thickness_mm=0.8)
        peak = closed_forms.peak_temperature_from_weld_line(115.2, y, thickness_mm=0.8)
        assert peak == pytest.approx(limit)


def test_spot_distance_is_where_the_peak_is_the_limit():
    r = closed_forms.distance_to_temperature_of_spot(80, 500, thickness_mm=1.0)
    times = np.linspace(0.5, 400, 20_001)
    peak = closed_forms.instantaneous_line_source(500, r, times, thickness_mm=1.0).max()
    assert peak == pytest.approx(60.0, rel=1e-4)


def test_far_behind_a_fast_arc_both_source_forms_meet():
    """Behind the arc the line cools as a line source made at once: 0.6 % at 50 mm."""
    moving = closed_forms.moving_line_source(768, 20 / 3, -50, 0, thickness_mm=1)
    line = 115.2 / np.sqrt(4 * np.pi * 0.04 * 4.71e-3 * 7.5)
    assert moving / line == pytest.approx(1, abs=0.007)
    assert moving < line


def test_counting_from_the_weld_line_is_another_thing():
    """10 mm, 115.2 J/mm, 1 mm sheet: 442.8 from the fusion boundary, 611.8 from the line."""
    sheet = {"thickness_mm": 1.0, "heat_capacity_j_mm3k": 4.71e-3}
    adams = closed_forms.peak_temperature_from_fusion_boundary(115.2, 10, melting_c=1500, **sheet)
    assert adams == pytest.approx(442.8, abs=0.05)
    assert closed_forms.peak_temperature_from_weld_line(115.2, 10, **sheet) == pytest.approx(
        611.8, abs=0.05
    )


def test_burn_through_grows_with_heat_and_falls_with_thickness():
    assert closed_forms.burn_through_ratio(150, 1.0) == pytest.approx(1.0)
    assert closed_forms.burn_through_ratio(100, 0.6) > 1 > closed_forms.burn_through_ratio(100, 1.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: closed_forms.burn_through_ratio(100, 0), ["thickness_mm", "0", "0.3 to 6"]),
        (lambda: closed_forms.burn_through_ratio(100, float("nan")), ["thickness_mm", "nan"]),
        (
            lambda: closed_forms.distance_to_temperature(20, 100, thickness_mm=1),
            ["temperature_c", "0"],
        ),
        (lambda: cooling.cooling_time_8_5(0.1, 1, start_c=600), ["start_c", "600", "450"]),
        (lambda: air.convection_coefficient(60, 20, facing="left"), ["facing", "left", "up"]),
        (lambda: air.radiation_coefficient(60, 20, emissivity=2), ["emissivity", "2"]),
    ],
)
def test_refusals_name_field_value_and_limit(call, words):
    with pytest.raises(OutOfRange) as refused:
        call()
    for word in words:
        assert word in str(refused.value)
