"""Drawn rings are judged, never repaired in silence; offsets agree with independent geometry."""

import math
import pickle

import numpy as np
import pytest
import shapely
from shapely import Polygon

from sheetkit import Job, estimate
from sheetkit.base.errors import SheetkitError
from sheetkit.geometry import offset
from sheetkit.geometry.plainer import plainer_shape
from sheetkit.geometry.ring import Ring

SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]
BAD_RINGS = {
    "bow-tie": ([(0, 0), (10, 10), (10, 0), (0, 10)], "crosses or touches itself near (5, 5) mm"),
    "spike": ([(0, 0), (20, 0), (20, 10), (30, 10), (20, 10), (0, 10)], "a spike at (30, 10) mm"),
    "repeated point": ([(0, 0), (10, 0), (10, 0), (10, 10), (0, 10)], "twice in a row"),
    "not a number": ([(0, 0), (math.nan, 0), (10, 10)], "finite"),
    "infinite": ([(0, 0), (math.inf, 0), (10, 10)], "finite"),
    "two points": ([(0, 0), (10, 0)], "at least 3 different points"),
    "one point": ([(0, 0)], "at least 3 different points"),
    "no point": ([], "at least 3 different points"),
    "closed line": ([(0, 0), (10, 0), (0, 0)], "at least 3 different points"),
    "no area": ([(0, 0), (10, 0), (20, 0)], "must enclose at least 1 mm²"),
    "tiny": ([(0, 0), (0.1, 0), (0.1, 0.1)], "must enclose at least 1 mm²"),
    "far out": ([(0, 0), (30_000, 0), (30_000, 10)], "within 20 m"),
    "words": (["a", "b", "c"], "list of [x, y]"),
}


@pytest.mark.parametrize("name", BAD_RINGS)
def test_bad_ring_is_named(name):
    ring, words = BAD_RINGS[name]
    with pytest.raises(SheetkitError) as refused:
        Ring.drawn(ring, field="rust[0].ring")
    assert words in " | ".join(map(str, refused.value.faults))
    for fault in refused.value.faults:
        assert fault.field.startswith("rust[0].ring")
        assert fault.value and fault.limit and fault.remedy


def test_every_fault_of_a_ring_is_told():
    ring = [(0, 0), (0, 0), (20, 0), (20, 10), (30, 10), (20, 10), (0, 10)]
    with pytest.raises(SheetkitError, match=r"(?s)twice in a row.*spike"):
        Ring.drawn(ring)


@pytest.mark.parametrize("ring", [SQUARE, SQUARE[::-1], [*SQUARE, SQUARE[0]]])
def test_sound_ring_in_either_direction_closed_or_not(ring):
    made = Ring.drawn(ring)
    assert list(made.points) == ring[:4]
    assert made.polygon.area == 100
    assert made.polygon.exterior.is_ccw
    assert repr(made) == "Ring(4 points, 100 mm²)"
    assert made == pickle.loads(pickle.dumps(made))


def test_a_ring_is_judged_once_from_the_file_to_the_estimate(job_data, monkeypatch):
    judged = []
    drawn = Ring.drawn.__func__
    monkeypatch.setattr(
        Ring, "drawn", classmethod(lambda cls, *at, **to: judged.append(1) or drawn(cls, *at, **to))
    )
    panel = {"outline": [[-200, -200], [400, -200], [400, 400], [-200, 400]], "holes": [SQUARE]}
    rust = [{"ring": [[50, 50], [90, 50], [90, 90]]}, {"ring": [[150, 50], [190, 50], [190, 90]]}]
    result = estimate(Job.from_data(job_data(panel=panel, rust=rust)))
    assert result.patches and result.cautions
    assert len(judged) == 4


# Offsets -----------------------------------------------------------------------------------


def regular(n, radius):
    at = 2 * np.pi * np.arange(n) / n
    return radius * np.column_stack([np.cos(at), np.sin(at)])


def koch(level, side):
    """Return a Koch snowflake, counter-clockwise."""
    points = regular(3, side / math.sqrt(3))
    for _ in range(level):
        step = np.roll(points, -1, axis=0) - points
        outward = np.column_stack([step[:, 1], -step[:, 0]]) * math.sqrt(3) / 6
        points = np.stack(
            [points, points + step / 3, points + step / 2 + outward, points + 2 * step / 3], axis=1
        ).reshape(-1, 2)
    return points


def noisy(n, radius=100.0, noise=0.6, seed=1):
    """Return a star-shaped ring: slow waves, and noise at every vertex."""
    at = 2 * np.pi * np.arange(n) / n
    chance = np.random.default_rng(seed)
    r = radius + 8 * np.sin(3 * at) + 3 * np.cos(7 * at) + chance.uniform(-noise, noise, n)
    return np.column_stack([r * np.cos(at), r * np.sin(at)])


def radial_offset(ring, distance, directions=3600):
    """Return the outline at `distance` from a finely drawn star-shaped ring.

    In each direction the furthest circle of that radius about a vertex is met.
    """
    r, at = np.hypot(*ring.T), np.arctan2(*ring.T[::-1])
    ways = 2 * np.pi * np.arange(directions) / directions
    reach = np.empty(directions)
    for k, way in enumerate(ways):
        across = r * np.sin(at - way)
        near = np.abs(across) < distance
        along = r[near] * np.cos(at[near] - way)
        reach[k] = (along + np.sqrt(distance**2 - across[near] ** 2)).max()
    return np.column_stack([reach * np.cos(ways), reach * np.sin(ways)])


@pytest.mark.parametrize("d", [0.5, 5, 25, 39])
def test_l_shape_grown(d, area_and_length):
    """Five outside corners turn 450 degrees in all; the strips overlap in a d x d square inside."""
    ring = [(0, 0), (120, 0), (120, 40), (40, 40), (40, 90), (0, 90)]
    area, length = area_and_length(ring)
    grown = offset.grown(Polygon(ring), d)
    assert grown.area == pytest.approx(area + length * d + 5 / 4 * math.pi * d**2 - d**2, rel=1e-3)
    assert grown.length == pytest.approx(length + 5 / 4 * 2 * math.pi * d - 2 * d, rel=1e-3)


@pytest.mark.parametrize("d", [1, 10, 19])
@pytest.mark.parametrize("n", [400, 1000])
def test_annulus_grown(d, n):
    """Outer radius R + d, inner r - d."""
    big, small = 80.0, 20.0
    shape = Polygon(regular(n, big), [regular(n, small)])
    grown = offset.grown(shape, d)
    assert grown.area == pytest.approx(math.pi * ((big + d) ** 2 - (small - d) ** 2), rel=1e-3)
    assert grown.length == pytest.approx(2 * math.pi * (big + small), rel=1e-3)


def test_annulus_hole_closes_when_grown_over():
    shape = Polygon(regular(400, 80), [regular(400, 20)])
    assert not list(offset.grown(shape, 21).interiors)


@pytest.mark.parametrize("d", [5.0, 12.0, 25.0])
def test_koch_ring_grown(d, offset_by_grid, area_and_length):
    """768 vertices with re-entrant corners at every size, against distances on a grid.

    The perimeter is what the area gains with the distance: a grid cuts inside corners off.
    """
    ring = koch(4, 200.0)
    assert len(ring) == 768
    inner, (area, _), outer = map(
        area_and_length, offset_by_grid(ring, d - 0.2, d, d + 0.2, grid=0.5)
    )
    length = (outer[0] - inner[0]) / 0.4
    grown = offset.grown(Ring.drawn(ring).polygon, d)
    assert grown.area == pytest.approx(area, rel=1e-3)
    assert grown.length == pytest.approx(length, rel=1e-3)


@pytest.mark.parametrize("d", [10.0, 25.0])
def test_noisy_ring_of_ten_thousand_vertices_grown(d, area_and_length):
    ring = noisy(10_000)
    area, length = area_and_length(radial_offset(ring, d))
    grown = offset.grown(Ring.drawn(ring).polygon, d)
    assert grown.area == pytest.approx(area, rel=1e-3)
    assert grown.length == pytest.approx(length, rel=1e-3)


def comb(teeth, pitch, tall, gap=0.6):
    """Return a bar 10 mm high with teeth `tall`, `gap` of each pitch between them."""
    left = pitch * np.arange(teeth)
    right = left + pitch * (1 - gap)
    up = np.stack([left, np.full(teeth, 10.0 + tall), right, np.full(teeth, 10.0 + tall)], axis=1)
    down = np.stack([right, np.full(teeth, 10.0), left + pitch, np.full(teeth, 10.0)], axis=1)
    edge = np.concatenate([up, down], axis=1).reshape(-1, 2)
    return np.concatenate([[[0.0, 0.0], [0.0, 10.0]], edge, [[pitch * teeth, 0.0]]])[::-1]


JAGGED = [noisy(10_000), noisy(2_000, noise=3.0, seed=3), koch(5, 200.0), comb(450, 2.0, 300.0)]


@pytest.mark.parametrize("ring", JAGGED)
@pytest.mark.parametrize("d", [5.0, 25.0])
def test_thinned_offset_never_falls_short(ring, d):
    """No point of the offset's edge is nearer than d to any vertex."""
    edge = shapely.get_coordinates(offset.grown(Polygon(ring), d).exterior.segmentize(1.0))
    from scipy.spatial import cKDTree

    assert cKDTree(ring).query(edge)[0].min() >= d - 1e-6


def test_the_offset_of_a_comb_is_that_of_the_bar_its_teeth_make():
    """Gaps of 1.2 mm close in an offset by 25 mm: 0.6²/50 mm deep waves are left between the teeth."""
    ring = comb(450, 2.0, 300.0)
    grown = offset.grown(Polygon(ring), 25.0)
    bar = offset.grown(shapely.box(0, 0, 899.2, 310), 25.0).union(shapely.box(899, -25, 925, 10))
    assert grown.area == pytest.approx(bar.area, rel=1e-3)
    assert grown.length == pytest.approx(offset.grown(bar, 0).length, rel=0.02)
    assert len(grown.exterior.coords) < 4000


def test_thinned_rings_of_small_wiggles_are_covered():
    """More wiggles than a saw follows, no margin: what is cut covers every ring as drawn."""
    rings = [noisy(299, radius=100, noise=0.95, seed=n) + [300 * n, 0] for n in range(60)]
    rust = shapely.multipolygons([Polygon(ring) for ring in rings])
    cut = offset.grown(rust, 0.0)
    assert cut is not rust and len(cut.geoms) == 60
    assert cut.covers(rust)
    assert cut.area < 1.06 * rust.area


def test_a_comb_of_even_teeth_is_plain_as_soon_as_any():
    """Its teeth are found in pieces, none of which departs by more."""
    ring = comb(9000, 2.0, 1.9)
    plain = plainer_shape(Polygon(ring), 0.5)
    assert shapely.hausdorff_distance(plain, Polygon(ring)) <= 0.5
    assert len(plainer_shape(Polygon(ring), 2.5).exterior.coords) < 400


def test_a_ring_of_too_many_corners_is_told_and_one_of_many_points_is_not():
    assert len(Ring.drawn(noisy(19_000)).points) == 19_000
    with pytest.raises(
        SheetkitError, match=r"3602 corners deeper than 2 mm; must have at most 400"
    ):
        Ring.drawn(comb(900, 10.0, 300.0))


@pytest.mark.parametrize("d", [5.0, 20.0])
def test_offset_of_rounded_cuts_never_falls_short(d):
    """Cut lines of many points, with arcs inside and outside: no point of the edge nearer than d."""
    chance = np.random.default_rng(3)
    short = []
    for _ in range(60):
        n = chance.integers(4, 13)
        r, at = chance.uniform(4, 70, n), 2 * np.pi * (np.arange(n) + chance.uniform()) / n
        drawn = Polygon(np.column_stack([r * np.cos(at), r * np.sin(at)]))
        cut = offset.closed(offset.grown(drawn, 5.0), 16.0)
        edge = offset.grown(cut, d).exterior.segmentize(1.0)
        nearest = shapely.distance(cut, shapely.points(shapely.get_coordinates(edge))).min()
        short.append(d - nearest)
    assert max(short) < 1e-3


def test_grown_by_nothing_and_of_several_parts():
    two = shapely.union(shapely.box(0, 0, 10, 10), shapely.box(50, 0, 60, 10))
    assert offset.grown(two, 0) is two
    grown = offset.grown(two, 5)
    assert len(shapely.get_parts(grown)) == 2
    assert grown.area == pytest.approx(2 * (100 + 40 * 5 + math.pi * 25), rel=1e-3)


def test_shrunk_square_and_nothing_left():
    assert offset.shrunk(shapely.box(0, 0, 10, 20), 2).area == pytest.approx(6 * 16)
    assert offset.shrunk(shapely.box(0, 0, 10, 20), 6).is_empty


def test_closed_rounds_an_inside_corner_and_takes_nothing():
    """The corner of an L is filled by r² (1 - pi/4); its edge moves out by at most 0.006 mm."""
    shape = Polygon([(0, 0), (120, 0), (120, 40), (40, 40), (40, 90), (0, 90)])
    closed = offset.closed(shape, 15)
    assert closed.area - shape.area == pytest.approx(15**2 * (1 - math.pi / 4), abs=2.5)
    assert closed.buffer(1e-6).covers(shape)


def test_closed_fills_a_narrow_gap_only():
    two = shapely.union(shapely.box(0, 0, 40, 40), shapely.box(50, 0, 90, 40))
    assert len(shapely.get_parts(offset.closed(two, 6))) == 1
    assert len(shapely.get_parts(offset.closed(two, 4))) == 2


def test_opened_rounds_outside_corners():
    """A square loses (4 - pi) r²."""
    opened = offset.opened(shapely.box(0, 0, 60, 60), 12)
    assert opened.area == pytest.approx(3600 - (4 - math.pi) * 144, rel=1e-3)


def test_polygons_of_any_geometry_largest_first():
    mixed = shapely.GeometryCollection(
        [
            shapely.Point(0, 0),
            shapely.box(0, 0, 1, 1),
            shapely.MultiPolygon([shapely.box(5, 5, 8, 8), shapely.box(20, 0, 22, 2)]),
        ]
    )
    assert [part.area for part in offset.polygons(mixed)] == [9, 4, 1]
    assert offset.polygons(Polygon()) == []
