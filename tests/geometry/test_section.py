"""Bent panels unrolled and folded back, against closed forms that are reckoned here apart."""

import math

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, box

from sheetkit import OutOfRange
from sheetkit.geometry.folded import facets, outline_3d
from sheetkit.geometry.measured import section

PROFILES = {
    "L": ([50, 30], [90]),
    "Z": ([40, 25, 40], [90, -90]),
    "hat": ([20, 30, 50, 30, 20], [-70, 90, 90, -70]),
    "U": ([40, 60, 40], [85, 95]),
    "J": ([80, 30, 22], [90, 120]),
}
"""Shape -> the legs' outside lengths, mm, and the turns between them, degrees."""


def polyline(legs, turns, first=0.0):
    """Corners of legs that turn."""
    headings = np.radians(first + np.concatenate([[0], np.cumsum(turns)]))
    steps = np.array(legs)[:, None] * np.column_stack([np.cos(headings), np.sin(headings)])
    return np.vstack([[0, 0], np.cumsum(steps, axis=0)])


def din(turn, radius, thickness):
    """What DIN 6935 adds to the outside lengths, written out by its opening angle (from memory)."""
    opening = 180 - abs(turn)
    ratio = radius / thickness
    k = 0.65 + math.log(ratio) / (2 * math.log(10)) if ratio <= 5 else 1
    v = math.pi * (180 - opening) / 180 * (radius + thickness / 2 * k)
    if opening <= 90:
        return v - 2 * (radius + thickness)
    return v - 2 * (radius + thickness) * math.tan(math.pi * (180 - opening) / 360)


@pytest.mark.parametrize("radius", [0.5, 1.0, 3.0, 8.0])
@pytest.mark.parametrize("shape", PROFILES)
def test_developed_length_is_the_standards(shape, radius):
    legs, turns = PROFILES[shape]
    found = section(polyline(legs, turns), [radius], 1.2)
    expected = sum(legs) + sum(din(turn, radius, 1.2) for turn in turns)
    assert found.unrolled_length_mm == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("turn", [15, 30, 60, 89, 90, 91, 120, 150, 170])
@pytest.mark.parametrize("radius", [0.4, 2.0, 25.0])
def test_one_bend_of_any_angle(turn, radius):
    """Legs long enough for the set-back, whatever it is."""
    found = section(polyline([200, 150], [turn]), [radius], 0.8)
    assert found.unrolled_length_mm == pytest.approx(350 + din(turn, radius, 0.8), abs=1e-9)


@pytest.mark.parametrize("radius", [60.0, 250.0])
def test_rolled_quarter(radius):
    """A quarter of a circle of inside radius R between flats of 10 mm: 20 + pi/2 (R + s/2)."""
    leg = 10 + radius + 1.0
    found = section(polyline([leg, leg], [90]), [radius], 1.0)
    assert found.unrolled_length_mm == pytest.approx(20 + math.pi / 2 * (radius + 0.5), abs=1e-9)


def test_small_turns_add_up_to_the_rolled_part():
    """Nine turns of ten degrees on the same radius, touching, are the one turn of ninety."""
    radius, t = 100.0, 1.0
    leg = 2 * (radius + t) * math.tan(math.radians(5))
    legs = [50 + leg / 2, *[leg] * 8, 50 + leg / 2]
    found = section(polyline(legs, [10] * 9), [radius], t)
    assert found.unrolled_length_mm == pytest.approx(100 + math.pi / 2 * (radius + t / 2), abs=1e-9)


def test_every_way_of_measuring_gives_the_same_sheet():
    """A Z of flats 20, 15, 30 with r 2 in 1 mm: each way's lengths written out by hand."""
    flats, r, t = (20, 15, 30), 2.0, 1.0
    tan = math.tan(math.radians(30))
    half = math.radians(30)
    reach = {
        "outside": (3 * tan, 3 * tan),
        "inside": (2 * tan, 2 * tan),
        "face": (2 * tan, 3 * tan),  # left turn first: its inside is the face
        "back": (3 * tan, 2 * tan),
        "tape": (2 * half, 3 * half),
    }
    lengths = set()
    for measured, (first, second) in reach.items():
        legs = [flats[0] + first, flats[1] + first + second, flats[2] + second]
        found = section(polyline(legs, [60, -60]), [r], t, measured=measured)
        assert [end - start for start, end in found.flats] == pytest.approx(flats, abs=1e-9)
        assert [bend.toward for bend in found.bends] == ["face", "back"]
        lengths.add(round(found.unrolled_length_mm, 9))
    assert len(lengths) == 1


def random_profile(draw):
    """A profile measured on its face that has room for its bends; thickness and radii."""
    t = draw.uniform(0.6, 2.0)
    n = int(draw.integers(1, 7))
    turns = draw.uniform(5, 120, n) * draw.choice([-1, 1], n)
    radii = draw.uniform(0.3, 12, n) * t
    reach = (radii + t) * np.tan(np.radians(np.abs(turns)) / 2)
    legs = draw.uniform(2, 80, n + 1) + np.append(reach, 0) + np.insert(reach, 0, 0)
    return polyline(legs, turns), radii, t


@pytest.mark.parametrize("seed", range(200))
def test_folded_back_it_lies_on_its_profile(seed):
    """Unrolled, folded: flats lie on the polyline, arcs are circles in its corners, to 0.01 mm."""
    draw = np.random.default_rng(seed)
    corners, radii, t = random_profile(draw)
    face = ("left", "right")[seed % 2]
    found = section(
        corners, radii, t, measured="face", face=face, way_deg=draw.uniform(0, 360), start=37.0
    )
    s = np.concatenate([np.linspace(*flat, 9) for flat in found.flats])
    folded = found.in_section(s, "face") - [37.0, t / 2]
    if face == "right":
        folded[:, 1] *= -1
    assert max(LineString(corners).distance(Point(at)) for at in folded) < 0.01
    assert folded[[0, -1]] == pytest.approx(corners[[0, -1]], abs=0.01)
    for bend, corner, before in zip(found.bends, corners[1:], corners, strict=False):
        inside = bend.radius_mm + (0 if bend.toward == "face" else t)
        arc = found.in_section(np.linspace(bend.start_mm, bend.end_mm, 7), "face") - [37.0, t / 2]
        if face == "right":
            arc[:, 1] *= -1
        away = inside / math.cos(math.radians(bend.angle_deg) / 2)
        ahead = (corner - before) / np.hypot(*(corner - before))
        turned = bend.sense * (1 if face == "left" else -1)
        aside = turned * np.array([-ahead[1], ahead[0]])
        back = -ahead * math.sin(math.radians(bend.angle_deg) / 2)
        center = corner + away * (back + aside * math.cos(math.radians(bend.angle_deg) / 2))
        assert np.hypot(*(arc - center).T) == pytest.approx([inside] * 7, abs=0.01)


def by_piece(found, line, steps=4000):
    """Length of the folded line on the neutral surface, piece by piece, by chords."""
    points = shapely.get_coordinates(LineString(line).segmentize(LineString(line).length / steps))
    folded, piece = found.folded(points, "neutral"), found.piece_of(points)
    same = piece[1:] == piece[:-1]
    chords = np.linalg.norm(np.diff(folded, axis=0), axis=1)
    flat = np.linalg.norm(np.diff(points, axis=0), axis=1)
    return chords[same].sum(), flat[same].sum()


def test_a_seam_is_as_long_folded_as_unrolled():
    legs, turns = PROFILES["hat"]
    found = section(polyline(legs, turns), [4.0], 1.0, way_deg=90)
    ring = Point(60, found.unrolled_length_mm / 2).buffer(45).exterior
    folded, flat = by_piece(found, ring)
    assert folded == pytest.approx(flat, rel=1e-5)
    assert flat == pytest.approx(ring.length, rel=5e-3)


def test_area_is_kept():
    """Facets of the neutral surface against the drawn shape."""
    legs, turns = PROFILES["U"]
    found = section(polyline(legs, turns), [6.0], 1.0)
    shape = box(0, 0, found.unrolled_length_mm, 50).difference(Point(60, 25).buffer(12))
    area = 0.0
    for facet in facets(found, shape, "middle", step_deg=1.0):
        center = facet.ring.mean(axis=0)
        arms = facet.ring - center
        crossed = np.cross(arms[:-1], arms[1:]).sum(axis=0) / 2
        stretch = 1.0
        if facet.is_bend:
            bend = found.bends[facet.piece // 2]
            stretch = bend.neutral_mm / (bend.radius_mm + 0.5)
        area += np.linalg.norm(crossed) * stretch
    assert area == pytest.approx(shape.area, rel=1e-4)


def test_bend_lines_of_a_shape():
    """Way y, start 5: flats of 50 - 2, 30 - 2; a hollow parts the line, a small patch misses it."""
    found = section([(0, 0), (50, 0), (50, 30)], [1.0], 1.0, way_deg=90, start=5.0)
    middle = 5 + 48 + din(90, 1, 1) / 2 + 2
    (bend,) = found.bend_lines(box(0, 0, 100, 80))
    assert bend.line.length == pytest.approx(100, abs=1e-9)
    assert shapely.get_coordinates(bend.line)[:, 1] == pytest.approx([middle] * 2, abs=1e-9)
    assert (bend.angle_deg, bend.radius_mm, bend.toward) == (90, 1, "face")
    assert len(found.bend_lines(box(0, 0, 100, 80) - box(40, 40, 60, 70))) == 2
    assert found.bend_lines(box(0, 0, 100, 53.0)) == []


def test_a_patch_in_a_rolled_part_turns_by_its_share():
    """A quarter rolled round 100 mm between flats of 20: 90 degrees take pi/2 x 100.5 mm."""
    found = section(polyline([121, 121], [90]), [100.0], 1.0)
    zone = math.pi / 2 * 100.5
    (bend,) = found.bend_lines(box(20 + zone / 4, 0, 20 + zone / 2, 40))
    assert bend.angle_deg == pytest.approx(22.5, abs=1e-9)
    assert shapely.get_coordinates(bend.line)[:, 0] == pytest.approx([20 + zone * 3 / 8] * 2)
    (whole,) = found.bends_on(box(0, 0, 400, 40))
    assert whole == found.bends[0]
    assert found.bends_on(box(0, 0, 20.5, 40)) == []  # 0.3 of a degree
    view = found.side_view(box(0, 0, 20 + zone / 2, 40))
    assert view.legs_mm == pytest.approx(
        [20 + 101 * math.tan(math.radians(22.5)), 101 * math.tan(math.radians(22.5))]
    )


def test_side_view_reads_the_outside_lengths():
    legs, turns = PROFILES["Z"]
    found = section(polyline(legs, turns), [2.0], 1.0, start=10)
    view = found.side_view(box(10, 0, found.end_mm, 30))
    assert view.legs_mm == pytest.approx(legs, abs=1e-9)
    assert view.numbers == (1, 2)
    assert found.side_view(box(10, 0, 20, 30)) is None


def test_shares_of_a_line_by_flat():
    found = section([(0, 0), (50, 0), (50, 30)], [1.0], 1.0)
    middle = found.bends[0].middle_mm
    line = LineString([(0, 0), (found.end_mm, 0)])
    assert found.share_on_flats(line) == pytest.approx(
        (middle / found.end_mm, 1 - middle / found.end_mm), abs=1e-9
    )
    assert found.flat_of([(middle - 0.1, 0), (middle + 0.1, 5)]).tolist() == [0, 1]


def test_face_and_back_are_a_thickness_apart():
    legs, turns = PROFILES["hat"]
    found = section(polyline(legs, turns), [3.0], 1.4)
    points = np.column_stack([np.linspace(0, found.end_mm, 300), np.full(300, 7.0)])
    apart = found.folded(points, "face") - found.folded(points, "back")
    assert np.linalg.norm(apart, axis=1) == pytest.approx([1.4] * 300, abs=1e-9)
    assert apart[0] == pytest.approx([0, 0, 1.4], abs=1e-12)


def test_a_base_stays_in_the_drawing():
    found = section([(0, 0), (20, 0), (20, 50)], [1.0], 1.0)
    points = [(found.flats[1][0] + 3, 4.0), (found.end_mm, 9.0)]
    assert found.folded(points, base=None) == pytest.approx(
        np.column_stack([points, [0, 0]]), abs=1e-9
    )


def test_outline_has_its_arcs_stepped():
    found = section([(0, 0), (50, 0), (50, 30)], [10.0], 1.0)
    (ring,) = outline_3d(found, box(0, 0, found.end_mm, 20))
    longest = np.linalg.norm(np.diff(ring, axis=0), axis=1)
    inner = LineString(ring[:, :2])
    assert len(ring) > 30 and longest.max() < 50
    assert inner.bounds[2] == pytest.approx(50 - 0.5, abs=1e-6)


@pytest.mark.parametrize(
    ("points", "radii", "field", "word"),
    [
        ([(0, 0), (50, 0)], [1], "points", "at least 3"),
        ([(0, 0), (50, 0), (50, 0), (50, 9)], [1], "points[2]", "once more"),
        ([(0, 0), (50, 0), (90, 0.1)], [1], "points[1]", "turns"),
        ([(0, 0), (1e300, 0), (90, 50)], [1], "points[1]", "at most 20000"),
        ([(0, 0), (50, 0), (1, 2)], [1], "points[1]", "turns"),
        ([(0, 0), (50, 0), (50, 30)], [1, 2], "radii", "2 radii"),
        ([(0, 0), (50, 0), (50, 30)], [0.1], "radii[0]", "at least 0.2 mm"),
        ([(0, 0), (50, 0), (50, 30)], [30], "points[2]", "flange 2 of 30 mm"),
        ([(0, 0), (50, 0), (50, 5), (90, 5)], [2], "points[2]", "at least 6 mm"),
    ],
)
def test_what_can_not_be_bent(points, radii, field, word):
    with pytest.raises(OutOfRange) as refused:
        section(points, radii, 1.0)
    assert any(fault.field == field and word in str(fault) for fault in refused.value.faults)


@pytest.mark.parametrize(
    ("legs", "turns", "through"),
    [
        ([40, 20, 40, 60], [90, 90, 90], True),
        ([40, 20, 15], [90, 90], False),
        ([40, 3.2, 30], [90, 90], False),
        ([60, 20, 20, 19.0], [90, 90, 90], False),
        ([60, 20, 20, 19.3], [90, 90, 90], True),
        ([60, 30, 40], [60, 170], True),
    ],
)
def test_a_section_that_runs_through_itself(legs, turns, through):
    """A box whose last leg ends on the first leg's face touches it; 0.3 mm more runs through."""
    assert section(polyline(legs, turns), [0.5], 1.0).collides is through


def test_facets_have_no_holes():
    found = section([(0, 0), (50, 0), (50, 30)], [4.0], 1.0)
    shape = box(0, 0, found.end_mm, 40) - Point(20, 20).buffer(8) - Point(60, 20).buffer(5)
    area = sum(Polygon(f.ring[:, :2]).area for f in facets(found, shape) if f.piece == 0)
    assert area == pytest.approx(shape.intersection(box(0, 0, 45, 40)).area, rel=1e-6)
