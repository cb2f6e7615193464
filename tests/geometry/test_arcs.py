"""Rings of short lines become the lines and arcs they were made of."""

import math

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon

from sheetkit.geometry.arcs import LEAST_MM, TOLERANCE_MM, arc, arcs_of, traced


def apart(rows, ring):
    """How far the lines and arcs stray from the ring, and the ring from them, at most, mm."""
    made = shapely.LinearRing(traced(rows, 0.02))
    there = shapely.distance(shapely.points(np.asarray(made.coords)), ring)
    back = shapely.distance(shapely.points(np.asarray(ring.segmentize(0.1).coords)), made)
    return max(there.max(), back.max())


def chords(rows):
    return np.hypot(*np.diff(np.vstack([rows, rows[:1]])[:, :2], axis=0).T)


def rounded(shape, radius):
    return shape.buffer(-radius, quad_segs=48).buffer(radius, quad_segs=48)


def test_a_rounded_rectangle_is_four_lines_and_four_arcs_of_its_radius():
    ring = rounded(shapely.box(0, 0, 120, 80), 25).exterior
    rows = arcs_of(np.asarray(ring.coords))
    assert len(rows) == 8
    bent = [n for n in range(8) if rows[n, 2]]
    assert len(bent) == 4
    for n in bent:
        centre, radius, _, sweep = arc(rows[n, :2], rows[(n + 1) % 8, :2], rows[n, 2])
        assert radius == pytest.approx(25, abs=0.02)
        assert abs(sweep) == pytest.approx(math.pi / 2, abs=0.01)
        assert min(abs(centre[0] - 25), abs(centre[0] - 95)) < 0.02
    lengths = sorted(
        round(float(side)) for side, row in zip(chords(rows), rows, strict=True) if not row[2]
    )
    assert lengths == [30, 30, 70, 70]


@pytest.mark.parametrize("turned", [False, True])
def test_hollow_and_full_corners_turn_their_own_way(turned):
    corner = Polygon([(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)])
    shape = rounded(corner, 10).buffer(10, quad_segs=48).buffer(-10, quad_segs=48)
    points = np.asarray(shape.exterior.coords)
    rows = arcs_of(points[::-1] if turned else points)
    signs = sorted(np.sign(rows[rows[:, 2] != 0, 2]))
    ccw = shape.exterior.is_ccw != turned
    assert signs == ([-1.0] + [1.0] * 5 if ccw else [-1.0] * 5 + [1.0])


def test_a_circle_is_a_few_arcs_and_a_box_no_arc():
    circle = Point(3, 4).buffer(30, quad_segs=48).exterior
    rows = arcs_of(np.asarray(circle.coords))
    assert len(rows) <= 4 and (rows[:, 2] != 0).all()
    assert apart(rows, circle) <= TOLERANCE_MM
    assert arcs_of([[0, 0], [40, 0], [40, 20], [0, 20]]).tolist() == [
        [0, 0, 0], [40, 0, 0], [40, 20, 0], [0, 20, 0],
    ]  # fmt: skip


def test_points_on_each_other_and_nearer_than_a_segment_may_be_are_one():
    ring = [[0, 0], [0, 0], [30, 0], [30.01, 0.03], [30.01, 20], [0, 20], [0, 0.02]]
    rows = arcs_of(ring)
    assert len(rows) == 4 and chords(rows).min() >= LEAST_MM
    assert apart(rows, shapely.LinearRing(ring)) <= TOLERANCE_MM


@pytest.mark.parametrize("seed", range(12))
def test_any_outline_stays_where_it_is(seed):
    random = np.random.default_rng(seed)
    count = int(random.integers(5, 300))
    turns = np.sort(random.uniform(0, 2 * math.pi, count))
    reach = random.uniform(20, 90, count) if seed % 2 else 60 + 5 * np.sin(7 * turns)
    drawn = Polygon(np.column_stack([reach * np.cos(turns), reach * np.sin(turns)])).buffer(0)
    shape = max(
        shapely.get_parts(drawn.buffer(random.uniform(0.5, 20), quad_segs=48)), key=shapely.area
    )
    for ring in (shape.exterior, *shape.interiors):
        rows = arcs_of(np.asarray(ring.coords))
        assert apart(rows, ring) <= TOLERANCE_MM
        assert chords(rows).min() >= LEAST_MM
        assert len(rows) <= len(ring.coords) / 1.2


def test_an_arc_is_that_through_its_ends():
    centre, radius, begin, sweep = arc(
        np.array([10.0, 0.0]), np.array([0.0, 10.0]), math.tan(math.pi / 8)
    )
    assert centre == pytest.approx([0, 0], abs=1e-9) and radius == pytest.approx(10)
    assert (begin, sweep) == pytest.approx((0, math.pi / 2))
    back, radius, _, sweep = arc(
        np.array([10.0, 0.0]), np.array([0.0, 10.0]), -math.tan(math.pi / 8)
    )
    assert back == pytest.approx([10, 10]) and radius == pytest.approx(10)
    assert sweep == pytest.approx(-math.pi / 2)


def test_the_trace_follows_a_slot():
    ring = LineString([(0, 0), (100, 0)]).buffer(8, quad_segs=48).exterior
    rows = arcs_of(np.asarray(ring.coords))
    assert shapely.Polygon(traced(rows, 0.02)).area == pytest.approx(1600 + math.pi * 64, rel=1e-3)
