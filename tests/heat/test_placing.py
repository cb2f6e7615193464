"""Welds on the grid: on seams of hundreds of corners, over a ring's end, on the right seam."""

import numpy as np
import pytest
import shapely
from seams import runs_on
from shapely import LineString, Point

from sheetkit.heat import placing
from sheetkit.heat.grid import GridChoice
from sheetkit.heat.kerf import BINS_PER_CELL
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.workpiece import Workpiece


def curved(x=0.0):
    """Return a ring of 320 corners."""
    box = shapely.box(x, 0, x + 120, 80)
    return LineString(box.buffer(-30).buffer(30, quad_segs=79).exterior.coords)


def over_the_end(ring):
    """Return the same ring begun elsewhere, so that a weld crosses where the ring begins."""
    corners = np.asarray(ring.coords)
    return LineString([*corners[7:-1], *corners[:8]])


def shares_of(model, seam, weld):
    """Return where the bins a weld bridges lie along its seam, mm."""
    placed, kerf = model.placed, model.kerf
    bins = placed.bins[placed.bins_begin[weld] : placed.bins_begin[weld + 1]]
    return (bins - kerf.offset[seam] + 0.5) * kerf.bin_mm[seam]


@pytest.mark.parametrize("cell_mm", [2.0, 4.0, 8.0])
def test_a_weld_bridges_the_seam_it_runs_along_and_a_quarter_of_a_cell_more(cell_mm):
    """Against every point of the path looked up on the seam itself."""
    seams = [curved(), curved(160.0)]
    welds = [run for seam in seams for run in runs_on(over_the_end(seam), 11)]
    model = SheetModel(Workpiece(None, seams, 1.0, stitches=welds), GridChoice(cell_mm))
    for number, weld in enumerate(welds):
        seam = number // 11
        dense = shapely.points(weld.at(np.linspace(0, 1, 2001)))
        there = shapely.line_locate_point(seams[seam], dense)
        mine = shares_of(model, seam, number)
        assert mine.min() > 0 and mine.max() < seams[seam].length
        reach = cell_mm / 4 + 1.5 * cell_mm / BINS_PER_CELL
        around = seams[seam].length
        away = np.abs(mine[:, None] - there[None, ::20])
        assert np.minimum(away, around - away).min(axis=1).max() < reach
        covered = np.abs(there[:, None] - mine[None])
        assert np.minimum(covered, around - covered).min(axis=1).max() < cell_mm / BINS_PER_CELL


def test_a_weld_beside_every_seam_bridges_none():
    seam = curved()
    away = [runs_on(LineString([(200, 0), (200, 50)]), 1)[0]]
    model = SheetModel(Workpiece(None, [seam], 1.0, stitches=away))
    assert model.placed.bins.size == 0


def test_seams_are_looked_up_once_for_all_grids(monkeypatch):
    asked = []
    locate = shapely.line_locate_point
    monkeypatch.setattr(
        placing.shapely, "line_locate_point",
        lambda seam, points: asked.append(np.size(points)) or locate(seam, points),
    )  # fmt: skip
    seam = curved()
    piece = Workpiece(None, [seam], 1.0, runs_on(seam, 10, 5), runs_on(seam, 20))
    placing._tracks(piece)
    first = sum(asked)
    assert first == sum(len(weld.path) for weld in piece.welds)
    for cell_mm in (2.0, 4.0, 8.0):
        SheetModel(piece, GridChoice(cell_mm))
    kerf_faces = sum(SheetModel(piece, GridChoice(c)).kerf.face_s.size for c in (2.0, 4.0, 8.0))
    assert sum(asked) - first == 2 * kerf_faces  # the kerf's own faces, twice built; no weld


@pytest.mark.parametrize(
    ("beside", "on"),
    [
        (Point(75, 40), Point(59, 40)),  # in a hole
        (LineString([(80, 30), (80, 50)]), Point(59, 40)),  # wholly in it
        (Point(115, 128), Point(115, 119)),  # in the corner an L leaves out
        (Point(50, -40), Point(50, 1)),  # beyond the edge
    ],
)
def test_a_place_off_the_metal_is_as_hot_as_the_metal_next_to_it(beside, on):
    """It must not pass for cool: what hangs in a hole gets the heat of its rim."""
    whole = shapely.union(shapely.box(0, 0, 300, 120), shapely.box(0, 0, 100, 300))
    sheet = whole.difference(shapely.box(60, 20, 120, 60))
    seam = LineString([(20, 40), (50, 40), (50, 100)])
    piece = Workpiece(sheet, [seam], 1.0, stitches=runs_on(seam, 4), protect=[beside, on])
    model = SheetModel(piece, GridChoice(4.0))
    off, near = model.play([0, 1, 2, 3], [0.0, 10.0, 20.0, 150.0]).points_peak_c
    assert off == pytest.approx(near, rel=0.12, abs=1.0)
    assert off > 20.01
