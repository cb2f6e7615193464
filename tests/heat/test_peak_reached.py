"""The highest temperature reached: against Rykalin's line source, and what follows from it."""

import numpy as np
import pytest
import shapely
from shapely import LineString, box

from sheetkit.heat.air import INSULATED, Losses
from sheetkit.heat.closed_forms import distance_to_temperature
from sheetkit.heat.grid import GridChoice
from sheetkit.heat.peak_reached import across, levels, peak_reached
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.weld_source import WeldRun
from sheetkit.heat.workpiece import Overlap, Workpiece
from tests.seams import SQUARE, runs_on

LONG = np.array([[0.0, 0.0], [400.0, 0.0]])


def long_run(joule_mm=100.0, losses=INSULATED):
    """A seam of 400 mm in one run at 6.67 mm/s, in the middle of a wide sheet."""
    run = WeldRun(LONG, joule_mm * 400, 60.0)
    piece = Workpiece(box(-150, -200, 550, 200), [], 1.0, stitches=[run], losses=losses)
    return SheetModel(piece, GridChoice(4.0, far_growth=1.0, steps=(0.2, 1.2, 20.0)))


def test_widths_are_those_of_rykalins_line_source_to_one_percent():
    found = peak_reached(long_run(), [0], [0.0])
    middle = LineString([(150, 0), (250, 0)])
    rows = across([middle], found.x_mm, found.y_mm, found.peak_c).mean(axis=0)
    offsets = 0.5 * np.arange(rows.size)
    known = np.isfinite(rows)
    for celsius in (150.0, 250.0, 400.0):
        width = np.interp(-celsius, -rows[known], offsets[known])
        assert width == pytest.approx(
            distance_to_temperature(celsius, 100.0, thickness_mm=1.0), rel=0.01
        )


def test_strips_are_wider_for_what_bears_less_and_for_more_heat():
    little, much = (peak_reached(long_run(q), [0], [0.0]).strips for q in (60.0, 120.0))
    assert [strip.level.quantity for strip in little] == [row.quantity for row in levels()]
    for strips in (little, much):
        means = [strip.mean_mm for strip in strips]
        assert means == sorted(means, reverse=True) and means[-1] > 0
        assert all(strip.widest_mm >= strip.mean_mm for strip in strips)
    assert all(b.mean_mm > 1.5 * a.mean_mm for a, b in zip(little, much, strict=True))


def test_a_cold_start_leaves_no_strip_and_can_be_touched_at_once():
    found = peak_reached(long_run(1e-6), [0], [0.0])
    assert all(strip.widest_mm == 0 for strip in found.strips)
    assert found.touch_s == 0.0


def test_touch_time_is_that_of_an_even_sheet_by_hand():
    """Small and insulated from its seam on, a sheet cools as exp(-b t)."""
    run = WeldRun(np.array([[0.0, 20.0], [40.0, 20.0]]), 1.0, 6.0)
    film = 15.0
    piece = Workpiece(box(0, 0, 40, 40), [], 1.0, stitches=[run], losses=Losses(film, film))
    model = SheetModel(piece)
    heat = 100.0 * float(model.capacity.sum())
    piece = piece.scaled(heat=heat, loss=1.0)
    found = peak_reached(SheetModel(piece), [0], [0.0])
    rate = 2 * film * 1e-6 / 4.71e-3
    assert found.touch_s == pytest.approx(np.log(100 * np.exp(-rate * 3) / 23) / rate, abs=12)


def test_of_two_sheets_the_hotter_counts_and_an_air_too_warm_is_never_touched():
    patch, hole = box(0, 0, 100, 80), box(15, 15, 85, 65)
    piece = Workpiece(
        box(-60, -60, 160, 140), [SQUARE], 1.0, stitches=runs_on(SQUARE, 10),
        losses=Losses(10, 10, 44.0), overlap=Overlap(patch, hole, patch, 1.0),
    )  # fmt: skip
    model = SheetModel(piece)
    start = [40.0 * n for n in range(10)]
    found = peak_reached(model, range(10), start)
    peak = np.zeros_like(model.per_capacity)
    model.play(range(10), start, peak=peak)
    flange = peak[model.grid.shape[0] :].max() + 44.0
    band = ~shapely.contains_xy(hole, *np.meshgrid(found.x_mm, found.y_mm))
    assert np.nanmax(found.peak_c[band]) >= flange > 150
    assert found.touch_s is None
