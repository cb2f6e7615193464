"""The march in plain numpy gives what the compiled one gives."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from seams import SQUARE, runs_on
from shapely import Point

from sheetkit.heat.grid import GridChoice
from sheetkit.heat.rules import Rules
from sheetkit.heat.sheet_model import SheetModel, kernels, uncompiled
from sheetkit.heat.state import Held
from sheetkit.heat.workpiece import Overlap, Workpiece

PIECE = Workpiece(None, [SQUARE], 1.0, runs_on(SQUARE, 6, 5), runs_on(SQUARE, 12),
                  protect=[Point(50, -12)])  # fmt: skip
ORDER = 6 + np.array([0, 1, 2, 6, 3, 9, 4, 7, 10, 5, 8, 11])


def both():
    return [SheetModel(PIECE, GridChoice(cell_mm=8), run) for run in (kernels, uncompiled)]


@pytest.mark.parametrize(
    "held", [None, Held(np.array([45.0]), np.full((18, 1), 5.0), np.linspace(0.0, 8.0, 18))]
)
def test_starts_and_temperatures_are_the_same(held):
    runs = []
    for model in both():
        tacked = model.time(range(6), Rules(60.0)).state
        runs.append(model.time(ORDER, Rules(60.0), state=tacked, after=5, held=held))
    compiled, plain = runs
    assert compiled.wait_s.max() > 10
    assert plain.start_s == pytest.approx(compiled.start_s, abs=0.01)
    assert plain.peak_before_start_c == pytest.approx(compiled.peak_before_start_c, abs=0.01)
    assert plain.points_peak_c == pytest.approx(compiled.points_peak_c, abs=0.01)
    assert plain.state.field == pytest.approx(compiled.state.field, abs=0.01)
    assert (plain.state.closed == compiled.state.closed).all()


def test_what_is_given_up_is_given_up_alike():
    compiled, plain = (model.time(ORDER, Rules(60.0), cutoff_s=60.0) for model in both())
    assert np.isinf(compiled.start_s).any()
    assert (np.isinf(plain.start_s) == np.isinf(compiled.start_s)).all()


def test_every_cell_keeps_its_own_highest_temperature():
    compiled, plain = both()
    peaks = [np.zeros(compiled.grid.shape, np.float32) for _ in range(2)]
    for model, peak in zip((compiled, plain), peaks, strict=True):
        model.play([6, 8], [0.0, 30.0], peak=peak)
    assert peaks[0].max() > 100
    assert peaks[1] == pytest.approx(peaks[0], abs=0.02)


def test_heat_crosses_between_the_sheets_of_a_lap_alike():
    patch = shapely.Polygon(SQUARE.coords)
    over = Overlap(patch, patch.buffer(-15, join_style="mitre"), patch, 1.0, 200.0)
    piece = replace(PIECE, overlap=over)
    runs = []
    for run in (kernels, uncompiled):
        model = SheetModel(piece, GridChoice(cell_mm=8), run)
        runs.append(model.time(ORDER, Rules(60.0)))
    compiled, plain = runs
    alone = SheetModel(PIECE, GridChoice(cell_mm=8)).time(ORDER, Rules(60.0))
    assert abs(compiled.end_s - alone.end_s) > 1
    assert plain.start_s == pytest.approx(compiled.start_s, abs=0.02)
    assert plain.state.field == pytest.approx(compiled.state.field, abs=0.02)
