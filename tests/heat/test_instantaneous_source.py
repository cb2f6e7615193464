"""A source made at once in a thin plate: the closed form evaluated anew, and the solver beside it.

No printed figures: the formulae of Carslaw and Jaeger, Conduction of Heat in Solids, 2nd
ed., sections 10.3 and 10.7 (from memory), worked out apart from the program in double
precision: k 40 W/(m K), rho c 4.71e6 J/(m³ K), 1 mm sheet.
"""

import numpy as np
import pytest
import shapely
from seams import sheet_of

from sheetkit.heat.air import Losses
from sheetkit.heat.closed_forms import instantaneous_line_source
from sheetkit.heat.record import simulate
from sheetkit.heat.steel import Steel
from sheetkit.heat.weld_source import WeldRun

STEEL = {"thickness_mm": 1.0, "steel": Steel(40.0, 4.71e-3)}


@pytest.mark.parametrize(
    ("radius_mm", "time_s", "film", "rise_k"),
    [
        (0, 5, 0, 397.887),
        (10, 5, 0, 220.836),
        (20, 10, 0, 61.284),
        (0, 5, 25, 377.319),
        (10, 5, 25, 209.420),
        (20, 10, 25, 55.112),
        (0, 60, 0, 33.157),
        (0, 60, 25, 17.537),
    ],
)
def test_instantaneous_source(radius_mm, time_s, film, rise_k):
    rise = instantaneous_line_source(1000, radius_mm, time_s, losses=Losses(film, film), **STEEL)
    assert rise == pytest.approx(rise_k, abs=5e-4)


def test_peak_at_a_radius():
    times = np.linspace(0.5, 200, 40_000)
    for radius_mm, peak_k, at_s in [(10, 248.62, 2.94), (20, 62.15, None), (50, 9.94, 73.6)]:
        rise = instantaneous_line_source(1000, radius_mm, times, **STEEL)
        assert rise.max() == pytest.approx(peak_k, abs=5e-3)
        if at_s:
            assert times[rise.argmax()] == pytest.approx(at_s, abs=0.05)


def test_heat_left_in_a_plate_that_loses_from_both_faces():
    """E(t) / E0 = exp(-2 alpha t / (rho c h)): 0.5289 after 60 s at 25 W/(m² K) a face."""
    weld = WeldRun(np.zeros((2, 2)), 1000.0, 0.05)
    model = sheet_of(shapely.box(-200, -200, 200, 200), [], stitches=[weld], film=25, **STEEL)
    run = simulate(model, [0], [0.0], until_s=60.05)
    assert run.held_j / run.input_j == pytest.approx(0.5289, abs=2e-4)


@pytest.mark.parametrize("film", [0.0, 25.0])
def test_solver_against_the_instantaneous_source(film):
    """A spot in a large sheet, 20 and 40 s later: within 1 % of the peak there at 2 mm."""
    places = [shapely.Point(r, 0.7 * r) for r in (0, 8, 16, 30)]
    weld = WeldRun(np.zeros((2, 2)), 1000.0, 0.05)
    model = sheet_of(
        shapely.box(-300, -300, 300, 300), [], stitches=[weld], film=film,
        cell_mm=2, far_growth=1.08, far_cell_mm=10, protect=places,
        steps=(0.3, 1.2, 20), **STEEL,
    )  # fmt: skip
    run = simulate(model, [0], [0.0], until_s=40.025, every_s=20.025)
    radii = np.hypot(*np.array([(p.x, p.y) for p in places]).T)
    for row, time_s in ((1, 20.0), (2, 40.0)):
        form = instantaneous_line_source(1000, radii, time_s, losses=Losses(film, film), **STEEL)
        assert run.points_c[row] - 20 == pytest.approx(form, abs=0.01 * form[0])
