"""A lip drawn by its ends: it follows the panel's edge, and is kept in the job file."""

import json

import numpy as np
import pytest

import sheetkit as sk
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.job_entries import from_job, into_job_data
from sheetkit.sketch.lip_edge import NEAR_MM, on_edge
from sheetkit.sketch.shape_kinds import KINDS
from sheetkit.widgets import Bench

ARC = [(100 + 50 * np.cos(t), 50 * np.sin(t)) for t in np.linspace(np.pi, 0, 31)]
OUTLINE = [(0.0, 0.0), *ARC, (200.0, 0.0), (200.0, 150.0), (0.0, 150.0)]
"""A panel over a wheel opening: its lower edge rises in half a circle of radius 50."""


def test_two_ends_near_a_curved_edge_give_the_edge_between_them():
    found = np.array(on_edge([(52, 3), (148, -2)], OUTLINE))
    assert np.hypot(found[:, 0] - 100, found[:, 1]) == pytest.approx(50, abs=0.2)
    assert len(found) >= 31 and found[0][0] < 55 and found[-1][0] > 145
    back = np.array(on_edge([(148, -2), (52, 3)], OUTLINE))
    assert back[::-1] == pytest.approx(found)


def test_the_way_that_was_drawn_is_taken_over_the_rings_end_too():
    """The outline begins at (0, 0): a lip round that corner goes over it."""
    found = on_edge([(1, 40), (0, 0), (30, 1)], OUTLINE)
    assert found == [(0, 40), (0, 0), (30, 0)]
    assert on_edge([(30, 1), (0, 0), (1, 40)], OUTLINE) == found[::-1]
    long = on_edge([(1, 40), (0, 149), (199, 149), (200, 1)], OUTLINE)
    assert long[1:-1] == [(0, 150), (200, 150)], "the other way round"


@pytest.mark.parametrize("points", [[(52, 3), (100, NEAR_MM + 61)], [(60, 100), (120, 100)]])
def test_what_lies_off_the_edge_stays_as_it_was_drawn(points):
    assert on_edge(points, OUTLINE) == points
    assert on_edge([(1, 1), (9, 1)], []) == [(1, 1), (9, 1)]


def test_a_lip_is_drawn_on_the_bench_and_the_blank_grows_by_it(tmp_path, data_folder):
    data = json.loads((data_folder / "sill_end.json").read_text())
    edge = data["patch"].pop("lips")[0]["edge"]
    (tmp_path / "sill.json").write_text(json.dumps(data))
    bench = Bench(tmp_path / "sill.json", draw=True)
    flat = bench.result.patches[0].blank.area
    ends = [np.add(edge[0], (2, 3)).tolist(), np.add(edge[-1], (-2, 1)).tolist()]
    bench.pad.edit(op="add", id="lip", kind="lip", points=ends, done=True)
    bench.form.set("drawn__lip__value", "12")
    bench.form.set("drawn__lip__radius", "1.5")
    bench.form.set("drawn__lip__toward", "back")
    assert bench.form.refused == {} and bench.pad.fitted.reasons == {}
    (lip,) = sk.load(tmp_path / "sill.json").patch.lips
    assert (lip.width, lip.radius, lip.angle, lip.toward) == (12, 1.5, 90, "back")
    corners = {(x, y) for x, y in edge}
    assert len(lip.edge) >= 12 and set(lip.edge[1:-1]) <= corners, "the outline's own points"
    (found,) = bench.result.patches[0].lips
    assert bench.result.patches[0].blank.area > flat + 0.8 * found.edge.length * found.developed_mm
    assert found.stretch > 0.05


def test_a_lip_of_the_job_goes_back_word_for_word_and_keeps_its_angle(data_folder):
    data = json.loads((data_folder / "sill_end.json").read_text())
    data["patch"]["lips"][0]["angle"] = "75 deg"
    drawing = from_job(sk.Job.from_data(data))
    assert into_job_data(data, drawing.shapes)[0]["patch"]["lips"] == data["patch"]["lips"]
    (lip,) = drawing.of_kind("lip")
    changed = drawing.edited({"op": "describe", "id": lip.id, "value": 20.0})
    (entry,) = into_job_data(data, changed.shapes)[0]["patch"]["lips"]
    assert entry["angle"] == "75 deg" and entry["width"] == "20.0 mm"
    assert entry["edge"] == data["patch"]["lips"][0]["edge"] and entry["radius"] == "1.5 mm"
    without = Drawing(tuple(s for s in drawing.shapes if s.kind != "lip"))
    assert "lips" not in into_job_data(data, without.shapes)[0]["patch"]


def test_a_fold_becomes_a_lip_and_back(data_folder):
    fold = {"op": "add", "id": "f", "kind": "fold", "points": [[0, 0], [90, 0]], "done": True}
    drawing = Drawing().edited(fold).edited({"op": "describe", "id": "f", "radius": 2.0})
    lip = drawing.edited({"op": "set_kind", "id": "f", "kind": "lip"})["f"]
    assert lip.kind == "lip" and lip.value is None and KINDS["lip"].default == 15
    data, owners = into_job_data({"format": "sheetkit-job/1"}, [lip])
    assert data["patch"]["lips"] == [
        {"edge": [[0, 0], [90, 0]], "width": "15 mm", "radius": "2.0 mm"}
    ]
    assert owners == {"patch.lips[0]": "f"}
