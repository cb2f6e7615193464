"""The index: what lowers it, what holds a sheet, and a strip worked out by a series."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely import LineString

from sheetkit.base.errors import OutOfRange
from sheetkit.pull.plate import bending_stiffness_nmm
from sheetkit.pull.seamed_sheet import EDGES, POINTS, Buckling, SeamedSheet, StiffLine, index

FORCE_N, STRIP = 20_000.0, 60.0


def rounded(wide, high, x=0.0, y=0.0):
    r = min(20.0, wide / 5, high / 5)
    box = shapely.box(x - wide / 2 + r, y - high / 2 + r, x + wide / 2 - r, y + high / 2 - r)
    return LineString(box.buffer(r).exterior.coords)


def sheet(wide=240.0, high=160.0, *, beyond=200.0, t=1.0, edges="held", stiff=()):
    x, y = wide / 2 + beyond, high / 2 + beyond
    return SeamedSheet(
        shapely.box(-x, -y, x, y), (rounded(wide, high),), t, STRIP, edges, tuple(stiff)
    )


def pull(piece, force_n=FORCE_N, across_mm=0.0):
    return Buckling(piece).under(force_n, across_mm).index


def rising(figures):
    return all(a < b for a, b in pairwise(figures))


BASE = sheet()


def test_more_heat_pulls_as_much_more():
    model = Buckling(BASE)
    one = model.under(FORCE_N, 0.1).index
    assert model.under(2 * FORCE_N, 0.2).index == pytest.approx(2 * one, rel=1e-4)


@pytest.mark.parametrize("across_mm", [0.0, 0.1])
def test_thicker_is_less_by_the_cube(across_mm):
    found = [pull(sheet(t=t), FORCE_N, across_mm) for t in (2.0, 1.5, 1.2, 1.0, 0.8, 0.6)]
    assert rising(found)
    if not across_mm:  # a force is a force in any thickness
        assert found[3] / found[0] == pytest.approx(8.0, rel=1e-3)


@pytest.mark.parametrize("edges", EDGES)
def test_a_smaller_patch_is_less(edges):
    frame = {"edges": edges}
    outer = shapely.box(-350, -300, 350, 300)
    sizes = (80, 120, 180, 260, 380)[: 4 if edges == "free" else 5]
    # a loose sheet goes as a whole, and least where half of it is patch
    assert rising(
        [pull(SeamedSheet(outer, (rounded(w, w / 1.5),), 1.0, STRIP, **frame)) for w in sizes]
    )


@pytest.mark.parametrize("rigidity", [None, 4e7, 4e6])
def test_stiff_lines_nearer_are_less(rigidity):
    lines = [LineString([(-400, 80 + d), (400, 80 + d)]) for d in (8, 20, 40, 80, 140)]
    found = [pull(sheet(stiff=[StiffLine(line, rigidity)])) for line in lines]
    assert rising([*found, pull(BASE)])


def test_stiffer_lines_are_less():
    line = LineString([(-400, 20), (400, 20)])
    found = [pull(sheet(stiff=[StiffLine(line, r)])) for r in (None, 1e8, 1e7, 1e6, 1e5)]
    assert rising([*found, pull(BASE)])


def test_a_seam_beside_a_step_is_less_than_one_in_the_middle_of_the_flat():
    panel = shapely.box(-350, -300, 350, 300)
    step = (StiffLine(LineString([(-350, 200), (350, 200)])),)
    seams = [(rounded(240, 160, 0.0, y),) for y in (110, 0)]
    beside, middle = (pull(SeamedSheet(panel, seam, 1.0, STRIP, "held", step)) for seam in seams)
    assert beside < 0.97 * middle


def test_supports_each_hold_more_than_the_last():
    found = [pull(sheet(beyond=60, edges=edges)) for edges in EDGES]
    assert rising(found[::-1])
    # far away they hold little of a buckle that sits inside the patch
    far = [pull(sheet(beyond=400, edges=edges)) for edges in ("flanged", "held")]
    assert far[0] / far[1] < found[1] / found[2]


def test_the_buckle_sits_in_the_flat_of_the_patch():
    found = Buckling(BASE).under(FORCE_N)
    assert np.abs(found.height).max() == pytest.approx(1.0)
    assert shapely.Polygon(BASE.seams[0]).buffer(-30).contains(found.highest)
    drawn = Buckling(BASE).under(FORCE_N, 0.2)
    assert not shapely.Polygon(BASE.seams[0]).contains(drawn.highest)


def test_a_strip_between_straight_edges_as_a_series_has_it():
    """Squeezed by F / b along its length, with the seam's own strip of it in the middle.

    Ritz with sines: D (m² / L² + n² / b²)² pi⁴ for each wave; the seam's tension, spread over
    its strip, couples the waves across.
    """
    long, wide, t, strip = 1200.0, 200.0, 1.0, 20.0
    seam = LineString([(0, wide / 2), (long, wide / 2)])
    piece = SeamedSheet(shapely.box(0, 0, long, wide), (seam,), t, strip, "flanged")
    n = np.arange(1, 40)
    y = (np.arange(4000) + 0.5) / 4000 * wide
    waves = np.sin(np.outer(n, y) * np.pi / wide)
    squeeze = 1 / wide - (np.abs(y - wide / 2) < strip / 2) / strip
    best = 0.0
    for m in range(1, 25):
        a = m * np.pi / long
        stiff = bending_stiffness_nmm(t) * (a**2 + (n * np.pi / wide) ** 2) ** 2 * wide / 2
        loss = a**2 * (waves * squeeze) @ waves.T * wide / len(y)
        best = max(best, np.linalg.eigvalsh(loss / np.sqrt(np.outer(stiff, stiff))).max())
    # the ends, where the pull is brought in over some hundred mm, are the sheet's own
    assert pull(piece) == pytest.approx(FORCE_N * best, rel=0.05)


def test_finer_triangles_change_little():
    coarse, fine = (Buckling(BASE, size).under(FORCE_N).index for size in (7.5, 4.0))
    assert coarse == pytest.approx(fine, rel=0.03)


def test_a_sheet_nothing_holds_is_in_balance():
    loose = replace(BASE, edges="free")
    found = Buckling(loose).under(FORCE_N)
    assert np.isfinite(found.index) and found.index > pull(BASE)
    moved = replace(loose, seams=(shapely.affinity.rotate(loose.seams[0], 30, origin=(0, 0)),),
                    sheet=shapely.affinity.rotate(loose.sheet, 30, origin=(0, 0)))  # fmt: skip
    assert pull(moved) == pytest.approx(found.index, rel=0.04)


def test_the_range_holds_what_is_unknown_and_can_be_stopped():
    told = []
    found = index(
        BASE, (17_900, 20_000, 23_500), (0.0, 0.0, 0.2), progress=lambda *word: told.append(word)
    )
    assert found.low < found.likely < found.high
    assert found.likely == pytest.approx(pull(BASE), rel=1e-4)
    assert [done for _, done, _ in told] == list(range(len(told)))
    assert index(BASE, (1.0, 1.0, 1.0), (0.0, 0.0, 0.0), stop=lambda: len(told) > 3) is None
    assert index(BASE, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)).likely == 0.0


def test_the_middle_of_the_flat():
    point, away = BASE.middle_of_the_flat
    assert away == pytest.approx(280, abs=2)
    line = StiffLine(LineString([(-400, 100), (400, 100)]))
    point, away = sheet(stiff=[line]).middle_of_the_flat
    assert point.y == pytest.approx(-90, abs=5) and away == pytest.approx(190, abs=3)


def test_what_is_refused():
    with pytest.raises(OutOfRange, match="edges"):
        sheet(edges="glued")
    with pytest.raises(OutOfRange, match="thickness_mm"):
        sheet(t=0.0)
    with pytest.raises(OutOfRange, match="seams"):
        SeamedSheet(BASE.sheet, (), 1.0, STRIP)


def test_bending_stiffness_by_hand():
    # 210 000 / (12 x 0.91) N mm for 1 mm; eight times that for 2 mm
    assert bending_stiffness_nmm(1.0) == pytest.approx(19_231, abs=0.5)
    assert bending_stiffness_nmm(2.0) == pytest.approx(153_846, abs=1)


def test_many_small_patches_take_larger_triangles_and_no_refusal():
    seams = tuple(rounded(70, 70, 150 * i, 150 * k) for i in range(4) for k in range(3))
    piece = SeamedSheet(shapely.box(-150, -150, 600, 450), seams, 1.0, STRIP, "held")
    model = Buckling(piece)
    assert 1000 < len(model.mesh.points) <= POINTS
    assert 0 < model.under(FORCE_N).index < 20
