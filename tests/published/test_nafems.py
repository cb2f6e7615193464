"""NAFEMS, Standard NAFEMS Benchmarks, 1990: T3 and T4, through the solver's own stepping.

Their fixed temperatures are not a sheet's edge, so the tests form the grid's
conductances; time stepping, stages and fluxes are those of every other run.
"""

import math

import numpy as np
import pytest

from sheetkit.heat.conduction import Links
from sheetkit.heat.placing import Probes
from sheetkit.heat.sheet_model import SheetArrays, kernels

NO_PROBES = Probes(np.zeros(1, np.int64), np.zeros((0, 4), np.int32), np.zeros((0, 4)))
NO_LINKS = Links(np.zeros((0, 2), np.int32), np.zeros(0))


def march(field, east, north, per_capacity, span, step):
    diagonal = east + north
    diagonal[:, 1:] += east[:, :-1]
    diagonal[1:] += north[:-1]
    sheet = SheetArrays(
        east,
        north,
        NO_LINKS,
        per_capacity,
        np.zeros((1, field.shape[1])),
        0.99 / (diagonal * per_capacity).max(),
        step,
        1.2,
        step,
    )
    work = np.zeros((3, *field.shape))
    kernels().flow.cool(field, work, sheet, span, step, NO_PROBES, np.zeros((1, 1)), np.zeros(0), 0)


def bar(cells):
    """T3 at 32 s: hot end 100 sin(pi t / 40), cold end 0, k 35, c 440.5, rho 7200, 0.1 m."""
    size = 0.1 / cells
    east, north = np.zeros((3, cells + 2)), np.zeros((3, cells + 2))
    east[1, :-1] = 35 / size
    east[1, [0, -2]] *= 2
    inverse = np.zeros_like(east)
    inverse[1, 1:-1] = 1 / (440.5 * 7200 * size)
    field, step = np.zeros_like(east), 0.1
    for n in range(320):
        field[1, -1] = 100 * math.sin(math.pi * (n + 0.5) * step / 40)
        march(field, east, north, inverse, step, step)
    place = (np.arange(cells) + 0.5) * size
    return float(np.interp(0.08, place, field[1, 1:-1]))


def plate(cell):
    """T4: 0.6 x 1.0 m, k 52, bottom 100 degC, left insulated, right and top 750 W/(m² K) to 0."""
    columns, rows = round(0.6 / cell), round(1.0 / cell)
    east, north = np.zeros((rows + 2, columns + 2)), np.zeros((rows + 2, columns + 2))
    east[1:-1, 1:-2] = 52.0
    north[1:-2, 1:-1] = 52.0
    through = cell / (0.5 * cell / 52 + 1 / 750)
    east[1:-1, -2] = through
    north[-2, 1:-1] = through
    north[0, 1:-1] = 2 * 52.0
    inverse = np.zeros_like(east)
    inverse[1:-1, 1:-1] = 1 / (4e6 * cell**2)
    field = np.zeros_like(east)
    field[0] = 100.0
    march(field, east, north, inverse, 4e5, 1e4)
    edge = field[1:-1, -2] * (1 / 750) / (0.5 * cell / 52 + 1 / 750)
    place = (np.arange(rows) + 0.5) * cell
    return float(np.interp(0.2, place, edge))


def test_t3():
    coarse, fine = bar(80), bar(160)
    assert fine == pytest.approx(36.60, abs=5e-3)
    assert fine + (fine - coarse) / 3 == pytest.approx(36.60, abs=5e-3)


def test_t4():
    coarse, fine = plate(0.02), plate(0.01)
    assert fine == pytest.approx(18.25, abs=0.05)
    assert fine + (fine - coarse) / 3 == pytest.approx(18.25, abs=5e-3)
