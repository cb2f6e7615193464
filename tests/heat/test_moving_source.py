"""A moving line source in a thin plate: the closed form evaluated anew, and the solver beside it.

No printed figures: the formula of Rosenthal, Trans. ASME 68 (1946) 849, with the
surface-loss variant (from memory), worked out apart from the program in double
precision: 768 W, 6.6667 mm/s, k 40, rho c 7850 x 600, 1 mm, from 20 degC.
"""

import numpy as np
import pytest
import shapely
from seams import sheet_of

from sheetkit.heat.air import Losses
from sheetkit.heat.closed_forms import (
    moving_line_source,
    peak_temperature_from_weld_line,
    time_of_peak_from_weld_line,
)
from sheetkit.heat.record import simulate
from sheetkit.heat.steel import Steel
from sheetkit.heat.weld_source import WeldRun

TRAVEL = 20 / 3
STEEL = {"thickness_mm": 1.0, "steel": Steel(40.0, 4.71e-3)}


@pytest.mark.parametrize(
    ("ahead", "aside", "film", "celsius"),
    [
        (0, 5, 0, 384.463),
        (0, 10, 0, 57.089),
        (-10, 0, 0, 1898.667),
        (-20, 5, 0, 1062.081),
        (-50, 0, 0, 879.166),
        (5, 0, 0, 71.210),
        (0, 5, 25, 380.914),
        (-20, 5, 25, 1026.515),
        (-50, 0, 25, 811.959),
    ],
)
def test_moving_source(ahead, aside, film, celsius):
    rise = moving_line_source(768, TRAVEL, ahead, aside, losses=Losses(film, film), **STEEL)
    assert 20 + rise == pytest.approx(celsius, abs=5e-3)


@pytest.mark.parametrize(
    ("distance", "rise", "time_s"), [(10, 591.83, 5.89), (20, 295.91, 23.55), (50, 118.37, None)]
)
def test_peak_from_the_weld_line(distance, rise, time_s):
    """Fast-source limit (Rykalin; Grong ch. 1; values from memory)."""
    peak = peak_temperature_from_weld_line(
        115.2, distance, thickness_mm=1.0, start_c=0.0, heat_capacity_j_mm3k=4.71e-3
    )
    assert peak == pytest.approx(rise, abs=5e-3)
    if time_s:
        assert time_of_peak_from_weld_line(distance) == pytest.approx(time_s, abs=5e-3)


@pytest.mark.parametrize("film", [0.0, 25.0])
def test_solver_against_the_moving_source(film):
    """Steady wake of a 300 mm run: within 3 % at 2 mm growing by 1.05, with short steps."""
    length = 300.0
    weld = WeldRun(np.array([[0.0, 0], [length, 0]]), 768 * length / TRAVEL, length / TRAVEL)
    seen = [(-50, 0), (-80, 10), (-30, 12), (-60, 25)]
    model = sheet_of(
        shapely.box(-150, -200, 450, 200), [], stitches=[weld], cell_mm=2, film=film, protect=[shapely.Point(length + x, y) for x, y in seen],
        far_growth=1.05, steps=(0.15, 1.2, 20), **STEEL,
    )  # fmt: skip
    run = simulate(model, [0], [0.0], frames=False)
    form = [moving_line_source(768, TRAVEL, x, y, losses=Losses(film, film), **STEEL)
            for x, y in seen]  # fmt: skip
    assert run.points_c[-1] - 20 == pytest.approx(form, rel=0.03)
