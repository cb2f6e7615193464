"""Rust -> cut line -> patch -> seam, against closed forms and sampled points."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from sheetkit import JobRefused, OutOfRange, estimate
from sheetkit.geometry import cut_line, patch, seam
from sheetkit.geometry.offset import grown

RUST = box(0, 0, 100, 60)


def rounded_box(width, height, radius):
    """Return (area, perimeter) of a rectangle with round corners."""
    return (
        width * height - (4 - math.pi) * radius**2,
        2 * (width + height) - 8 * radius + 2 * math.pi * radius,
    )


# Cut lines ---------------------------------------------------------------------------------


@pytest.mark.parametrize("small", [1.5e-232, 7e-208, 1e-12, 1e-7, 9e-4, 1e-3])
@pytest.mark.parametrize("name", ["margin", "corner_radius", "web"])
@pytest.mark.parametrize("shape", ["follow", "hull", "box"])
def test_next_to_no_length_is_none(name, small, shape):
    diamond = Polygon([(4, 0), (0, 4), (-4, 0), (0, -4)])
    none = {"margin": 0.0, "corner_radius": 0.0, "web": 0.0, "shape": shape}
    (cut,) = cut_line.cut_lines(diamond, **none | {name: small})
    (sharp,) = cut_line.cut_lines(diamond, **none)
    assert shapely.hausdorff_distance(cut, sharp) < 2e-3 and cut.buffer(1e-6).covers(diamond)


@pytest.mark.parametrize(
    ("shape", "radius", "corner"),
    # a grown rectangle has corners of the margin's radius; a box may have smaller ones
    [("follow", 25, 25), ("follow", 10, 25), ("hull", 25, 25), ("box", 25, 25), ("box", 10, 10)],
)
def test_rectangle_of_rust(shape, radius, corner):
    (cut,) = cut_line.cut_lines(RUST, margin=25, shape=shape, corner_radius=radius)
    area, length = rounded_box(150, 110, corner)
    assert cut.area == pytest.approx(area, rel=1e-3)
    assert cut.length == pytest.approx(length, rel=1e-3)


def test_a_cut_smaller_than_its_corners_is_known_at_the_third_look(monkeypatch):
    looks, shrunk = [], cut_line.shrunk
    monkeypatch.setattr(cut_line, "shrunk", lambda *given: looks.append(given) or shrunk(*given))
    rust = shapely.MultiPoint([(0, 0), (1000, 0), (0, 1000)]).buffer(40)
    cuts = cut_line.cut_lines(rust, margin=10, corner_radius=100, web=0)
    assert [cut.length for cut in cuts] == pytest.approx([2 * math.pi * 100] * 3, rel=5e-3)
    assert len(looks) <= 3


def test_box_is_square_to_the_drawing_unless_turning_saves_a_tenth():
    leaning = shapely.affinity.rotate(box(0, 0, 200, 20), 45)
    (cut,) = cut_line.cut_lines(leaning, margin=10, shape="box", corner_radius=0, web=0)
    assert cut.area == pytest.approx(220 * 40, rel=1e-3)
    (cut,) = cut_line.cut_lines(shapely.affinity.rotate(RUST, 2), margin=25, shape="box")
    left, bottom, right, top = cut.bounds
    assert cut.area == pytest.approx((right - left) * (top - bottom), rel=0.05)


def test_hull_spans_a_hollow():
    rust = Polygon([(0, 0), (120, 0), (120, 90), (90, 90), (90, 30), (30, 30), (30, 90), (0, 90)])
    (cut,) = cut_line.cut_lines(rust, margin=20, shape="hull", corner_radius=20)
    area, length = rounded_box(160, 130, 20)
    assert cut.area == pytest.approx(area, rel=1e-3)
    assert cut.length == pytest.approx(length, rel=1e-3)


@pytest.mark.parametrize(("apart", "cuts"), [(62, 1), (69, 1), (71, 2), (120, 2)])
def test_narrow_web_is_cut_out(apart, cuts):
    """Margin 25 on both sides leaves apart - 50 mm between the cuts; under 20 mm they merge."""
    two = shapely.union(box(0, 0, 60, 60), box(60 + apart, 0, 120 + apart, 60))
    found = cut_line.cut_lines(two, margin=25, web=20)
    assert len(found) == cuts


def test_sound_island_inside_a_ring_of_rust_falls_out():
    ring = Polygon(box(0, 0, 200, 200).exterior.coords, [box(60, 60, 140, 140).exterior.coords])
    (cut,) = cut_line.cut_lines(ring, margin=10, corner_radius=10)
    assert not list(cut.interiors)
    assert cut.area == pytest.approx(rounded_box(220, 220, 10)[0], rel=1e-3)


def test_a_panel_of_which_nothing_is_worth_keeping_is_cut_whole():
    panel = box(0, 0, 100, 100)
    (cut,) = cut_line.cut_lines(box(25, 25, 75, 75), margin=10.0, web=20.0, panel=panel)
    assert cut.symmetric_difference(panel).area < 1e-6


def test_strip_to_the_panel_edge_is_cut_out():
    """10 mm of metal would stay above the edge: the cut runs out square to it."""
    panel = box(-200, -35, 300, 300)
    (cut,) = cut_line.cut_lines(RUST, margin=25, web=20, panel=panel)
    assert cut.bounds == pytest.approx((-25, -35, 125, 85), abs=0.05)
    (far,) = cut_line.cut_lines(RUST, margin=25, web=5, panel=panel)
    assert far.bounds[1] == pytest.approx(-25, abs=0.05)


def test_scrap_at_a_corner_is_cut_out():
    """5 mm from both edges of a corner: nothing small stays behind there."""
    panel = box(0, 0, 400, 300)
    rust = box(30, 30, 90, 80)
    (cut,) = cut_line.cut_lines(rust, margin=25, web=20, panel=panel)
    assert cut.distance(shapely.Point(0, 0)) < 0.01
    assert panel.difference(cut.buffer(0.01)).geom_type == "Polygon"
    area = 115 * 105 - (1 - math.pi / 4) * 25**2  # one round corner, away from both edges
    assert cut.area == pytest.approx(area, rel=1e-3)


def test_strip_across_a_narrow_panel_leaves_both_ends():
    """Rust across a sill 80 mm high: the cut is 150 mm long, not half the sill."""
    (cut,) = cut_line.cut_lines(box(950, 0, 1050, 80), margin=25, panel=box(0, 0, 2000, 80))
    assert cut.bounds == pytest.approx((925, 0, 1075, 80), abs=0.03)


@pytest.mark.parametrize("name", ["margin", "corner_radius", "web"])
@pytest.mark.parametrize("value", [-1, 201, math.nan])
def test_lengths_have_limits(name, value):
    with pytest.raises(OutOfRange, match=rf"{name}: got .* mm; must be 0 to 200 mm"):
        cut_line.cut_lines(RUST, **({"margin": 25} | {name: value}))


def star(draw, x, y, big):
    n = draw(st.integers(4, 12))
    radii = draw(st.lists(st.floats(4, big), min_size=n, max_size=n))
    at = 2 * np.pi * (np.arange(n) + draw(st.floats(0, 1))) / n
    return Polygon(np.column_stack([x + radii * np.cos(at), y + radii * np.sin(at)]))


@st.composite
def repairs(draw):
    """Return (rusts, panel or None, choices): 1 to 3 star-shaped rust-outs on a panel."""
    rusts = [
        star(draw, draw(st.floats(0, 300)), draw(st.floats(0, 200)), 70)
        for _ in range(draw(st.integers(1, 3)))
    ]
    whole = shapely.union_all(rusts)
    panel = None
    if draw(st.booleans()):
        left, bottom, right, top = whole.bounds
        more = [draw(st.floats(0, 120)) for _ in range(4)]
        corner = draw(st.floats(0, 60))  # a cut-off corner or notch outside the rust's bounds
        panel = box(left - more[0], bottom - more[1], right + more[2], top + more[3])
        bite = box(right, top, right + more[2] + 1, top + corner)
        panel = shapely.get_parts(panel.difference(bite))
        panel = max(panel, key=lambda part: part.area)
    choices = {
        "margin": draw(st.floats(0, 60)),
        "shape": draw(st.sampled_from(["follow", "hull", "box"])),
        "corner_radius": draw(st.floats(0, 60)),
        "web": draw(st.floats(0, 40)),
    }
    return rusts, panel, choices


def margin_points(rust, margin):
    """Return points at just the margin from the rust's outline: round each vertex, along each edge."""
    ring = np.asarray(shapely.geometry.polygon.orient(rust).exterior.coords)
    at = 2 * np.pi * np.arange(32) / 32
    circle = margin * np.column_stack([np.cos(at), np.sin(at)])
    around = (ring[:-1, None] + circle).reshape(-1, 2)
    step = np.diff(ring, axis=0)
    normal = np.column_stack([step[:, 1], -step[:, 0]]) / np.hypot(*step.T)[:, None]
    share = np.linspace(0, 1, 7)[None, :, None]
    along = (ring[:-1, None] + share * step[:, None] + margin * normal[:, None]).reshape(-1, 2)
    return np.concatenate([ring, around, along])


@settings(max_examples=60, deadline=None, derandomize=True)
@given(repairs())
def test_every_rust_with_its_margin_is_cut_out(repair):
    """A check by sampled points, without any offset of sheetkit's or shapely's."""
    rusts, panel, choices = repair
    cuts = cut_line.cut_lines(shapely.union_all(rusts), panel=panel, **choices)
    whole = shapely.union_all(cuts)
    shapely.prepare(whole)
    for rust in rusts:
        points = shapely.points(margin_points(rust, choices["margin"]))
        if panel is not None:
            points = points[shapely.covers(panel, points)]
        assert shapely.distance(whole, points).max(initial=0) < 2e-3
    for cut in cuts:
        assert cut.geom_type == "Polygon" and cut.is_valid and not list(cut.interiors)
        assert cut.area > 0
        if panel is not None:
            assert cut.difference(panel).area < 1e-3 * cut.area
    for i, one in enumerate(cuts):
        for other in cuts[i + 1 :]:
            assert one.distance(other) > 0
            assert panel is not None or one.distance(other) >= choices["web"] - 1e-6


@settings(max_examples=30, deadline=None, derandomize=True)
@given(repairs(), st.floats(0.2, 3), st.floats(5, 25))
def test_patch_keeps_its_distance_from_the_cut(repair, gap, overlap):
    """Butt: each point of the edge is one gap inside the cut.  Lap: one overlap outside,
    and up to 0.1 mm more where a line of many points is thinned outward."""
    rusts, _, choices = repair
    for cut in cut_line.cut_lines(shapely.union_all(rusts), **choices):
        for piece in patch.pieces(cut, joint="butt", gap=gap):
            edge = shapely.points(shapely.get_coordinates(piece.exterior.segmentize(3.0)))
            away = shapely.distance(cut.exterior, edge)
            assert away.min() >= gap * 0.99 - 1e-6 and away.max() <= gap * 1.02 + 1e-6
            assert cut.covers(piece)
        (piece,) = patch.pieces(cut, joint="lap", overlap=overlap)
        edge = shapely.points(shapely.get_coordinates(piece.exterior.segmentize(3.0)))
        away = shapely.distance(cut, edge)
        assert away.min() >= overlap * 0.999 and away.max() <= overlap * 1.001 + 0.1


@settings(max_examples=60, deadline=None, derandomize=True)
@given(repairs())
def test_covers_says_yes_to_its_own_cuts(repair):
    rusts, panel, choices = repair
    whole = shapely.union_all(rusts)
    for cut in cut_line.cut_lines(whole, panel=panel, **choices):
        assert cut_line.covers([cut], whole, choices["margin"], panel)[0]


def test_covers_says_yes_at_the_usual_margin_and_radius():
    """Margin 25, corner radius 25, follow: 60 random rings of 4 to 12 points."""
    chance = np.random.default_rng(0)
    refused = []
    for number in range(60):
        n = chance.integers(4, 13)
        r, at = chance.uniform(4, 60, n), 2 * np.pi * (np.arange(n) + chance.uniform()) / n
        rust = Polygon(np.column_stack([r * np.cos(at), r * np.sin(at)]))
        cuts = cut_line.cut_lines(rust, margin=25)
        if not all(cut_line.covers(cuts, rust, 25, None)):
            refused.append(number)
    assert refused == []


def test_covers_says_no_when_rust_sticks_out():
    cuts = [box(-25.01, -25.01, 125.01, 85.01), box(-24, -25, 125, 85)]
    assert cut_line.covers(cuts, RUST, 25, None) == [True, False]


def test_covers_with_a_slit_in_the_panel():
    """The margin reaches over a 2 mm slit: two cuts, together they cover."""
    panel = box(0, 0, 400, 300).difference(box(200, 100, 202, 300))
    rust = box(150, 150, 190, 200)
    cuts = cut_line.cut_lines(rust, margin=25, panel=panel)
    together = shapely.union_all(cuts)
    assert together.buffer(0.01).covers(grown(rust, 25).intersection(panel))
    assert all(cut_line.covers(cuts, rust, 25, panel))


# Patches -----------------------------------------------------------------------------------


@pytest.mark.parametrize("gap", [0.0, 0.9, 3.0])
def test_butt_patch_is_the_cut_less_the_gap(gap):
    (cut,) = cut_line.cut_lines(RUST, margin=25)
    (piece,) = patch.pieces(cut, joint="butt", gap=gap)
    area, length = rounded_box(150 - 2 * gap, 110 - 2 * gap, 25 - gap)
    assert piece.area == pytest.approx(area, rel=1e-3)
    assert piece.length == pytest.approx(length, rel=1e-3)


@pytest.mark.parametrize("joint", ["lap", "plug"])
def test_lap_patch_is_the_cut_with_the_overlap(joint):
    (cut,) = cut_line.cut_lines(RUST, margin=25)
    (piece,) = patch.pieces(cut, joint=joint, overlap=20)
    area, length = rounded_box(190, 150, 45)
    assert piece.area == pytest.approx(area, rel=1e-3)
    assert piece.length == pytest.approx(length, rel=1e-3)


def test_lap_patch_ends_at_the_panel_edge():
    panel = box(-30, -200, 400, 400)
    (cut,) = cut_line.cut_lines(RUST, margin=25, web=0, panel=panel)
    (piece,) = patch.pieces(cut, joint="lap", overlap=20, panel=panel)
    assert piece.bounds[0] == pytest.approx(-30, abs=1e-6)
    assert piece.bounds[2] == pytest.approx(145, abs=0.05)


def test_existing_hole_inside_comes_back_in_the_patch():
    panel = box(-200, -200, 400, 400).difference(box(40, 20, 60, 40))
    (cut,) = cut_line.cut_lines(RUST, margin=25, panel=panel)
    (piece,) = patch.pieces(cut, joint="butt", gap=1, panel=panel)
    assert len(piece.interiors) == 1
    assert Polygon(piece.interiors[0]).area == pytest.approx(400)
    assert piece.area == pytest.approx(rounded_box(148, 108, 24)[0] - 400, rel=1e-3)


@pytest.mark.parametrize(
    ("change", "faces"),
    [
        ({"rust": [{"ring": [[0, 0], [1.5, 0], [1.5, 1.5], [0, 1.5]]}]}, "patch.gap"),
        ({"rust": [{"ring": [[0, 0], [90, 0], [90, 15], [0, 15]]}]}, "patch.gap"),
    ],
)
def test_patch_eaten_by_the_gap_is_refused(job, change, faces):
    small = job(
        **change, patch={"margin": 0, "corner_radius": 0, "web": 0, "gap": 8, "shape": "follow"}
    )
    with pytest.raises(
        JobRefused, match=r"no patch.*larger than the gap.*close the gap"
    ) as refusal:
        estimate(small)
    assert [fault.field for fault in refusal.value.faults] == [faces]


def test_patch_in_two_pieces_is_not_halved_in_silence(job):
    """A dumbbell whose 1 mm neck the gap eats: both halves are reported, or the job is refused."""
    ring = [[0, 0], [60, 0], [60, 29.5], [100, 29.5], [100, 0], [160, 0]]
    ring += [[160, 60], [100, 60], [100, 30.5], [60, 30.5], [60, 60], [0, 60]]
    data = job(rust=[{"ring": ring}], patch={"margin": 0, "corner_radius": 0, "web": 0, "gap": 2})
    try:
        result = estimate(data)
    except JobRefused:
        return
    metal = sum(one.outline.area for one in result.patches)
    assert metal == pytest.approx(2 * 56 * 56, rel=1e-2)


def test_slot_through_the_patch_does_not_lose_half_of_it(job):
    """A 4 mm slot in the panel runs through the cut: the patch is two pieces of 73 x 110 mm."""
    panel = {
        "outline": [[-200, -200], [400, -200], [400, 400], [-200, 400]],
        "holes": [[[48, -100], [52, -100], [52, 150], [48, 150]]],
    }
    try:
        result = estimate(job(panel=panel, patch={"gap": 0}))
    except JobRefused:
        return
    metal = sum(one.outline.area for one in result.patches)
    assert metal == pytest.approx(rounded_box(150, 110, 25)[0] - 4 * 110, rel=5e-3)


def test_blank_and_mass():
    """Turned 30 degrees, 80 x 50 comes out of 80 x 50; 1 mm of it weighs 31.4 g."""
    turned = shapely.affinity.rotate(box(0, 0, 80, 50), 30)
    assert patch.blank_size(turned) == pytest.approx((80, 50), abs=1e-6)
    assert patch.mass(80 * 50, 1.0) == pytest.approx(31.4, abs=1e-6)


# Seams -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("joint", "out"),
    # butt: the middle line of the gap; lap: the welded edge; plug: half-way across the overlap
    [
        ({"joint": "butt", "gap": 0.9}, -0.45),
        ({"joint": "butt", "gap": 3}, -1.5),
        ({"joint": "lap", "overlap": 20}, 20),
        ({"joint": "plug", "overlap": 20}, 10),
    ],
)
def test_seam_of_a_rounded_box(joint, out):
    (cut,) = cut_line.cut_lines(RUST, margin=25)
    (run,) = seam.seam_runs(cut, **joint)
    _, length = rounded_box(150 + 2 * out, 110 + 2 * out, 25 + out)
    assert run.is_closed
    assert run.length == pytest.approx(length, rel=1e-3)


EDGE_PANEL = box(-200, 0, 400, 300)
EDGE_RUST = box(0, 0, 100, 40)


@pytest.mark.parametrize(
    ("joint", "out"),
    [
        ({"joint": "butt", "gap": 0.9}, -0.45),
        ({"joint": "lap", "overlap": 20}, 20),
        ({"joint": "plug", "overlap": 20}, 10),
    ],
)
def test_open_seam_at_the_panel_edge(joint, out):
    """Rust 100 x 40 at the edge: up 40, round, across 100, round, down 40; nothing on the edge."""
    (cut,) = cut_line.cut_lines(EDGE_RUST, margin=25, panel=EDGE_PANEL)
    (run,) = seam.seam_runs(cut, panel=EDGE_PANEL, **joint)
    assert not run.is_closed
    assert run.length == pytest.approx(40 + 100 + 40 + math.pi * (25 + out), rel=1e-3)
    ends = np.asarray(run.coords)[[0, -1]]
    assert ends[:, 1] == pytest.approx([0, 0], abs=0.01)
    assert sorted(ends[:, 0]) == pytest.approx([-25 - out, 125 + out], abs=0.03)


def test_patch_at_the_panel_edge_has_no_gap_there():
    (cut,) = cut_line.cut_lines(EDGE_RUST, margin=25, panel=EDGE_PANEL)
    (piece,) = patch.pieces(cut, joint="butt", gap=1.0, panel=EDGE_PANEL)
    assert piece.bounds == pytest.approx((-24, 0, 124, 64), abs=0.02)
    area = 148 * 64 - 2 * (1 - math.pi / 4) * 24**2
    assert piece.area == pytest.approx(area, rel=1e-3)


def test_two_edges_leave_two_seams():
    """A strip across the whole panel: two straight seams of its width, none on the edges."""
    panel = box(0, 0, 300, 80)
    runs = seam.seam_runs(box(75, 0, 225, 80), joint="butt", gap=1.0, panel=panel)
    assert [run.length for run in runs] == pytest.approx([80, 80], abs=0.05)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("joint", ["butt", "lap", "plug"])
def test_a_cut_of_the_whole_panel_leaves_no_seam_and_no_odd_words(joint):
    panel = box(0, 0, 300, 80)
    assert seam.seam_runs(panel, joint=joint, gap=1.0, overlap=20, panel=panel) == []


@pytest.mark.parametrize(("joint", "across"), [({"joint": "butt", "gap": 1.0}, 20)])
def test_seam_leaves_out_an_existing_hole(joint, across):
    """A 20 x 20 hole across the cut line: the seam is 20 mm shorter and open there."""
    panel = box(-200, -200, 400, 400).difference(box(40, 75, 60, 95))
    (cut,) = cut_line.cut_lines(RUST, margin=25, panel=panel)
    (run,) = seam.seam_runs(cut, panel=panel, **joint)
    _, whole = rounded_box(149, 109, 24.5)
    assert run.length == pytest.approx(whole - across, rel=2e-3)
    assert not run.is_closed


@pytest.mark.parametrize(
    ("joint", "field"),
    [({"gap": 11.0, "joint": "butt"}, "gap"), ({"overlap": -1.0, "joint": "lap"}, "overlap")],
)
def test_seam_lengths_have_limits(joint, field):
    with pytest.raises(OutOfRange, match=field):
        seam.seam_runs(RUST, **joint)


def test_a_wide_margin_round_several_rings_is_found_covered():
    """What is checked is the offset that was cut, not one of other vertices: 2 µm were missing."""
    at = 2 * np.pi * np.arange(200) / 200
    r = 4 * (0.7 + 0.15 * np.sin(5 * at))
    r += 0.2 * np.random.default_rng(18).uniform(-1, 1, 200)
    star = Polygon(np.round(np.column_stack([424 + r * np.cos(at), 1215 + r * np.sin(at)]), 3))
    hook = Polygon(
        [(410, 1367), (431, 1367), (431, 1370), (414, 1370), (414, 1384), (431, 1384), (431, 1387),
         (410, 1387)]
    )  # fmt: skip
    rust = shapely.union_all([hook, star, box(300, 300, 340, 330)])
    cuts = cut_line.cut_lines(rust, margin=118)
    assert len(cuts) == 2 and all(cut_line.covers(cuts, rust, 118, None))
