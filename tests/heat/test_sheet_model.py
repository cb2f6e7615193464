import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely
from seams import SQUARE, runs_on, sheet_of
from shapely import LineString, Point, Polygon

import sheetkit
from sheetkit.base.errors import OutOfRange
from sheetkit.heat.air import Losses
from sheetkit.heat.closed_forms import instantaneous_line_source
from sheetkit.heat.hot_steel import heat_content, temperature_of
from sheetkit.heat.record import simulate
from sheetkit.heat.steel import Steel
from sheetkit.heat.weld_source import WeldRun


@pytest.mark.parametrize("precision", [np.float32, np.float64])
@pytest.mark.parametrize("film", [0.0, 25.0])
def test_heat_balance(precision, film):
    tacks, stitches = runs_on(SQUARE, 12, 5), runs_on(SQUARE, 18)
    model = sheet_of(
        None, [SQUARE], thickness_mm=0.8, tacks=tacks, stitches=stitches, film=film, precision=precision,
    )  # fmt: skip
    run = simulate(model, range(30), 15.0 * np.arange(30), until_s=600)
    assert run.input_j == pytest.approx(sum(w.energy_j for w in tacks + stitches))
    assert abs(run.imbalance) < 1e-4
    assert (run.lost_j == 0) == (film == 0)


def gaussian_error(cell, step):
    """Worst error of a spot spreading for 20 s from a state 40 s old, in a closed square."""
    model = sheet_of(
        shapely.box(-160, -160, 160, 160), [], thickness_mm=1.0, cell_mm=cell, film=25,
        precision=np.float64, steps=(step, 1.0, step),
    )  # fmt: skip
    x, y = np.meshgrid(model.grid.x, model.grid.y)
    radius = np.hypot(x, y)

    def exact(time_s):
        mirrored = sum(
            instantaneous_line_source(
                1000, np.hypot(x - 320 * i, y - 320 * j), time_s, thickness_mm=1.0,
                losses=Losses(25, 25),
            )
            for i in (-1, 0, 1) for j in (-1, 0, 1)
        )  # fmt: skip
        return np.where(model.grid.active > 0, mirrored, 0)

    state = model.cold()
    state.field[:] = exact(40.0)
    model.cool(state, 20.0)
    assert radius.min() < cell
    return np.abs(state.field - exact(60.0)).max()


def test_second_order_in_space():
    errors = [gaussian_error(cell, 0.25) for cell in (10, 5, 2.5)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert (orders > 1.9).all() and (orders < 2.1).all()


def test_second_order_in_time():
    reference = gaussian_error(8, 0.25)
    errors = [abs(gaussian_error(8, step) - reference) for step in (10, 5)]
    assert errors[0] / errors[1] > 3


def test_open_kerf_lets_no_heat_through_and_a_tack_does():
    inside = WeldRun(np.array([[50.0, 40.0], [50.0, 40.0]]), 2000.0, 1.0)
    tacks = runs_on(SQUARE, 4, 5, joule_mm=0.0)
    model = sheet_of(None, [SQUARE], thickness_mm=1.0, tacks=tacks, stitches=[inside], film=0)  # fmt: skip
    outside = ~shapely.contains_xy(Polygon(SQUARE), *np.meshgrid(model.grid.x, model.grid.y))
    alone = model.play([4], [0.0]).state
    model.cool(alone, 300.0)
    assert np.abs(alone.field[outside]).max() == 0
    bridged = model.play([0, 1, 2, 3, 4], [0, 1, 2, 3, 4]).state
    model.cool(bridged, 300.0)
    assert bridged.field[outside].max() > 1
    held = [float((s.field * model.capacity).sum()) for s in (alone, bridged)]
    assert held == pytest.approx([2000, 2000], rel=1e-4)


@pytest.mark.parametrize("seam", [
    SQUARE,
    LineString(Point(3.3, 1.7).buffer(47, 40).exterior.coords),
    shapely.affinity.rotate(SQUARE, 33),
])  # fmt: skip
def test_closed_seam_of_any_shape_is_tight_and_opens_where_welded(seam):
    spot = seam.centroid
    inside = WeldRun(np.repeat([[spot.x, spot.y]], 2, axis=0), 2000.0, 1.0)
    stitches = runs_on(seam, 12, joule_mm=0.0)
    model = sheet_of(None, [seam], thickness_mm=1.0, stitches=[*stitches, inside], film=0)  # fmt: skip
    outside = ~shapely.contains_xy(
        Polygon(seam).buffer(model.cell_mm), *np.meshgrid(model.grid.x, model.grid.y)
    )
    alone = model.play([12], [0.0]).state
    model.cool(alone, 200.0)
    assert np.abs(alone.field[outside]).max() == 0
    welded = model.play(range(13), 4.0 * np.arange(13)).state
    assert (welded.closed[: model.kerf.offset[-1]] == 1).all()
    whole = sheet_of(model.piece.sheet, [], thickness_mm=1.0, stitches=[inside], film=0,
                       far_growth=1.0)  # fmt: skip
    same = whole.play([0], [0.0]).state
    model.cool(welded, 100.0)
    whole.cool(same, 100.0)
    far = [(spot.x + 70, spot.y + 60), (spot.x - 90, spot.y)]
    got = [
        (w * s.field.reshape(-1)[c]).sum(axis=1)
        for m, s in ((model, welded), (whole, same))
        for c, w in [m.grid.spread(np.array(far), None)]
    ]
    assert got[0] == pytest.approx(got[1], abs=0.15)


def test_kerf_to_the_panel_edge_parts_the_sheet():
    cut = LineString([(120, 0), (120, 200)])
    weld = WeldRun(np.array([[60.0, 90], [60, 110]]), 2000, 3.0)
    model = sheet_of(shapely.box(0, 0, 250, 200), [cut], thickness_mm=1.0, stitches=[weld])
    state = model.play([0], [0.0]).state
    model.cool(state, 200.0)
    assert np.abs(state.field[:, model.grid.x > 120]).max() == 0


def test_weld_heats_both_sides_of_the_kerf_alike():
    cut = LineString([(100, 0), (100, 200)])
    weld = WeldRun(np.array([[100.0, 90], [100, 110]]), 2000, 3.0)
    model = sheet_of(shapely.box(0, 0, 200, 200), [cut], thickness_mm=1.0, stitches=[weld])
    state = model.play([0], [0.0]).state
    left = (state.field * model.capacity)[:, model.grid.x < 100].sum()
    assert left == pytest.approx((state.field * model.capacity).sum() / 2, rel=1e-5)


def test_panel_with_hole_and_concave_panel_keep_their_area():
    panel = Polygon(
        [(-200, -150), (200, -150), (200, 0), (60, 150), (-200, 150)],
        [Point(-120, 0).buffer(40).exterior.coords],
    )
    seam = LineString(Point(40, -40).buffer(40).exterior.coords)
    model = sheet_of(panel, [seam], thickness_mm=1.0, stitches=runs_on(seam, 8), far_cell_mm=12)
    assert model.grid.area_mm2.sum() == pytest.approx(panel.area, rel=0.01)
    state = model.play(range(8), 20.0 * np.arange(8)).state
    x, y = np.meshgrid(model.grid.x, model.grid.y)
    assert (state.field[shapely.contains_xy(Point(-120, 0).buffer(30), x, y)] == 0).all()


def test_lossy_edges_take_heat():
    weld = WeldRun(np.array([[20.0, 50], [20, 50]]), 2000, 1.0)
    held = []
    for edges in (0.0, 50.0, 5000.0):
        model = sheet_of(shapely.box(0, 0, 100, 100), [], thickness_mm=1.0, stitches=[weld],
                           film=0, edges=edges)  # fmt: skip
        held.append(simulate(model, [0], [0.0], until_s=120).held_j)
    assert held[0] == pytest.approx(2000, rel=1e-4)
    assert held[0] > held[1] + 10 > held[2] + 20


def test_simulation_gives_frames_peaks_and_protected_places():
    stitches = runs_on(SQUARE, 6, 20)
    model = sheet_of(
        None, [SQUARE], thickness_mm=1.0, stitches=stitches,
        protect=[Point(50, -20), LineString([(120, 0), (120, 80)])],
    )  # fmt: skip
    run = simulate(model, range(6), 50.0 * np.arange(6), until_s=305, every_s=5)
    assert run.time_s[0] == 0 and run.time_s[-1] == pytest.approx(305)
    assert (np.diff(run.time_s) > 0).all()
    assert run.frames_c.shape == (len(run.time_s), len(run.y_mm), len(run.x_mm))
    assert run.welds_c.shape == (len(run.time_s), 6) and run.points_c.shape[1] == 2
    assert (run.peak_c >= run.frames_c.max(axis=0) - 1e-3).all()
    assert (run.points_peak_c >= run.points_c.max(axis=0) - 1e-6).all()


def test_steel_by_en1993_keeps_heat_and_agrees_when_lukewarm():
    assert temperature_of(heat_content(np.array([20, 735, 900.0]))) == pytest.approx([20, 735, 900])
    stitches = runs_on(SQUARE, 6, 20)
    model = sheet_of(None, [SQUARE], thickness_mm=1.0, stitches=stitches, film=0)
    run = simulate(model, range(2), [0.0, 50.0], until_s=120, properties="en1993", frames=False)
    assert run.held_j == pytest.approx(run.input_j, rel=1e-4)
    assert np.isnan(run.lost_j)
    mild = runs_on(SQUARE, 6, 20, joule_mm=2.0)
    cool = sheet_of(None, [SQUARE], thickness_mm=1.0, stitches=mild,
                    steel=Steel(53.3, 7850e-9 * 440.5))  # fmt: skip
    both = [simulate(cool, [0], [0.0], until_s=60, properties=p, frames=False).welds_c[-1] - 20
            for p in ("constant", "en1993")]  # fmt: skip
    assert both[1] == pytest.approx(both[0], rel=0.01)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"thickness_mm": 10}, ["thickness_mm", "10", "0.3 to 6"]),
        ({"cell_mm": 0}, ["cell_mm", "0.25"]),
        ({"film": -1}, ["h_top", "-1"]),
        ({"edges": -1, "film": 0}, ["edges", "-1"]),
        ({"far_cell_mm": 1}, ["far_cell_mm", "1"]),
        ({"seams": [LineString([(0, 0), (0, 0.1)])]}, ["seams", "1 mm"]),
        ({"panel": Polygon([(0, 0), (9, 9), (9, 0), (0, 9)])}, ["panel", "valid"]),
        ({"panel": None, "seams": []}, ["panel", "needs"]),
    ],
)
def test_refusals(change, words):
    given = {
        "panel": shapely.box(-50, -50, 150, 150),
        "seams": [SQUARE],
        "thickness_mm": 1.0,
    } | change
    with pytest.raises(OutOfRange) as refused:
        sheet_of(given.pop("panel"), given.pop("seams"), **given)
    for word in words:
        assert word in str(refused.value)


def test_schedules_that_overlap_are_refused():
    model = sheet_of(None, [SQUARE], thickness_mm=1.0, stitches=runs_on(SQUARE, 6, 20))
    with pytest.raises(OutOfRange, match="busy"):
        simulate(model, [0, 1], [0.0, 1.0])
    with pytest.raises(OutOfRange, match="order"):
        simulate(model, [9], [0.0])


def test_first_use_on_a_read_only_install(tmp_path):
    """With nowhere to write a cache the kernels still compile and run."""
    shutil.copytree(Path(sheetkit.__file__).parent, tmp_path / "sheetkit",
                    ignore=shutil.ignore_patterns("__pycache__"))  # fmt: skip
    for path in [*tmp_path.rglob("*"), tmp_path]:
        path.chmod(0o555 if path.is_dir() else 0o444)
    code = (
        "import numba.core.caching as c\n"
        "kinds = [name for name in dir(c) if name.endswith('CacheLocator')]\n"
        "assert len(kinds) >= 4, kinds\n"
        "for kind in kinds:\n"
        "    getattr(c, kind).from_function = classmethod(lambda cls, *a: None)\n"
        "import sheetkit.heat.kernel as k, numpy as np\n"
        "a = np.zeros((5, 5))\n"
        "from sheetkit.heat.conduction import Links\n"
        "links = Links(np.zeros((0, 2), np.int32), a[0, :0])\n"
        "k.rate_of_change(a, a + 1, a, a, links, a, a[:1] + 0.5); assert a[2, 2] == -0.5\n"
        "print(k.__file__)"
    )
    environment = os.environ | {"PYTHONPATH": str(tmp_path), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True,
                          text=True, cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert str(tmp_path) in done.stdout
    for path in [tmp_path, *tmp_path.rglob("*")]:
        path.chmod(0o755)
