"""Triangles of a sheet: they fill it, follow its lines, and lie well."""

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon

from sheetkit.base.errors import OutOfRange
from sheetkit.pull.mesh import meshed

SHEET = Polygon(
    [(0, 0), (400, 0), (400, 120), (250, 160), (250, 300), (0, 300)],
    [Point(330, 60).buffer(30).exterior.coords],
)
RING = LineString(Point(120, 150).buffer(60).exterior.coords)
FOLD = LineString([(0, 180), (250, 180)])


@pytest.fixture(scope="module")
def mesh():
    return meshed(SHEET, [RING], [FOLD], size_mm=6.0)


def test_they_fill_the_sheet(mesh):
    assert mesh.areas.sum() == pytest.approx(SHEET.area, rel=0.005)
    assert mesh.areas.min() > 0
    sides = mesh.points[mesh.triangles] - np.roll(mesh.points[mesh.triangles], 1, axis=1)
    longest = np.linalg.norm(sides, axis=2).max(axis=1)
    assert (2 * mesh.areas / longest**2).min() > 0.05


def test_small_along_the_seam_and_large_away(mesh):
    middles = shapely.points(mesh.points[mesh.triangles].mean(axis=1))
    near = shapely.distance(RING, middles) < 6
    far = shapely.distance(RING, middles) > 120
    assert np.sqrt(mesh.areas[near]).mean() < 6.5 and np.sqrt(mesh.areas[far]).mean() > 12


def test_chains_run_along_their_lines(mesh):
    ring, fold = mesh.chains
    assert ring[0] == ring[-1] and len(set(ring[:-1])) == len(ring) - 1
    for chain, line in ((ring, RING), (fold, FOLD)):
        away = shapely.distance(line, shapely.points(mesh.points[chain]))
        assert away.max() < 8.0  # where lines cross, one takes the other's point
        length = np.linalg.norm(np.diff(mesh.points[chain], axis=0), axis=1).sum()
        assert length == pytest.approx(line.length, rel=0.02)


def test_left_of_a_ring_is_its_inside(mesh):
    ring = mesh.chains[0]
    turns_left = shapely.is_ccw(RING)
    triangle, corner, at = mesh.left_of(ring)
    assert (mesh.triangles[triangle, corner] == ring[at]).all()
    middles = shapely.points(mesh.points[mesh.triangles].mean(axis=1))
    touching = np.isin(mesh.triangles, ring).any(axis=1)
    within = shapely.contains(shapely.Polygon(RING), middles)
    wanted = touching & (within if turns_left else ~within)
    assert set(triangle) == set(np.flatnonzero(wanted))
    outward = mesh.points[ring] - np.array([120, 150])
    right = np.sum(mesh.rightward(ring) * outward, axis=1) / 60
    assert right == pytest.approx(1 if turns_left else -1, abs=0.02)


def test_the_rim_is_the_sheets_edge_and_its_holes(mesh):
    ends = mesh.points[mesh.sides[mesh.rim]]
    middles = shapely.points(ends.mean(axis=1))
    assert shapely.distance(SHEET.boundary, middles).max() < 1.2
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1).sum()
    assert length == pytest.approx(SHEET.boundary.length, rel=0.005)


def test_too_much_is_refused():
    with pytest.raises(OutOfRange, match="smaller panel"):
        meshed(shapely.box(0, 0, 2000, 2000), [], size_mm=5.0, growth=0.0)


def test_at_a_sharp_corner_both_pieces_say_which_side():
    square = LineString([(40, 40), (160, 40), (160, 160), (40, 160), (40, 40)])
    mesh = meshed(shapely.box(0, 0, 200, 200), [square], size_mm=6.0)
    triangle, _, _ = mesh.left_of(mesh.chains[0])
    middles = shapely.points(mesh.points[mesh.triangles].mean(axis=1))
    touching = np.isin(mesh.triangles, mesh.chains[0]).any(axis=1)
    inside = shapely.contains(Polygon(square), middles)
    assert set(triangle) == set(np.flatnonzero(touching & inside))
