"""The job file stays valid, nothing drawn is lost, and nobody is overwritten."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from sheetkit.base import files
from sheetkit.base.errors import JobRefused
from sheetkit.job import file
from sheetkit.job.job import load
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.shape_kinds import EditRefused
from sheetkit.sketch.store import NewerDrawing, Store, fit

RING = {
    "op": "add",
    "id": "a",
    "kind": "rust_holed",
    "points": [[0, 0], [90, 0], [0, 90]],
    "done": True,
}
BOW_TIE = {**RING, "id": "b", "points": [[200, 0], [300, 90], [300, 0], [200, 90]]}
OPEN = {"op": "add", "id": "c", "kind": "panel_hole", "points": [[500, 0]]}


def drawn(*edits, on=None) -> Drawing:
    drawing = on or Drawing()
    for edit in edits:
        drawing = drawing.edited(edit)
    return drawing


@pytest.fixture
def path(tmp_path) -> Path:
    return tmp_path / "job.json"


def points(drawing: Drawing) -> list:
    return [(shape.kind, shape.points, shape.done, shape.value) for shape in drawing.shapes]


def test_new_job_is_made_once_rust_is_sound(path):
    store = Store(path)
    assert store.load() == Drawing()
    assert store.save(drawn(OPEN)).job is None
    assert not path.exists()
    assert store.draft_path.exists()
    assert store.save(drawn(OPEN, RING)).job is not None
    assert load(path).rust[0].ring.points == ((0, 0), (90, 0), (0, 90))
    assert store.draft_path.exists()
    store.save(drawn(RING))
    assert not store.draft_path.exists()


def test_unfit_shapes_come_back_in_place_and_order(path):
    drawing = drawn(OPEN, BOW_TIE, RING)
    fitted = Store(path).save(drawing)
    assert set(fitted.reasons) == {"b", "c"}
    assert "crosses" in fitted.reasons["b"][0].value
    assert len(load(path).rust) == 1
    again = Store(path).load()
    assert again == drawing


@pytest.mark.parametrize("name", ["trunk_floor", "footwell", "wheel_arch"])
def test_untouched_entries_go_back_word_for_word(name, path, data_folder):
    shutil.copy(data_folder / f"{name}.json", path)
    before = file.read(path)
    store = Store(path)
    drawing = store.load()
    first = drawing.shapes[-1].id
    store.save(drawing.edited({"op": "move", "id": first, "by": [1, 0]}))
    assert file.read(path) != before
    store.save(drawing)
    assert file.read(path) == before


def test_changed_entries_keep_their_other_words_and_the_unit(path, data_folder):
    shutil.copy(data_folder / "footwell.json", path)
    store = Store(path)
    drawing = store.load()
    mount, loom, fold = (drawing.of_kind(k)[0].id for k in ("mounting", "protect_line", "fold"))
    drawing = drawn(
        {"op": "move", "id": mount, "by": [25.4, 0]},
        {"op": "describe", "id": loom, "value": 70},
        {"op": "describe", "id": fold, "value": 45, "toward": "back"},
        on=drawing,
    )
    store.save(drawing)
    data = file.read(path)
    assert data["panel"]["mountings"] == [
        {"name": "seat-belt mounting", "at": [2.0, 18.0], "ring": "250 mm"}
    ]
    assert data["panel"]["protect"][0]["limit"] == 70
    assert data["panel"]["protect"][0]["line"] == [[0.5, 1], [27, 1.5]]
    assert data["patch"]["folds"][0] == {
        "line": [[6, 6.5], [21, 6.5]],
        "angle": 45,
        "radius": "1/8 in",
        "toward": "back",
    }
    assert points(Store(path).load()) == points(drawing)


def test_kind_can_change_between_bare_rings_and_entries(path):
    store = Store(path)
    outline = {
        **RING,
        "id": "o",
        "kind": "panel_outline",
        "points": [[-500, -500], [500, -500], [500, 500], [-500, 500]],
    }
    store.save(drawn(RING, outline, {**RING, "id": "x", "points": [[300, 0], [390, 0], [300, 90]]}))
    again = Store(path)
    drawing = again.load()
    there = drawn(
        {"op": "set_kind", "id": drawing.of_kind("rust_holed")[1].id, "kind": "panel_hole"},
        on=drawing,
    )
    assert again.save(there).job.panel.holes
    back = Store(path)
    drawing = back.load()
    hole = drawing.of_kind("panel_hole")[0].id
    assert (
        len(
            back.save(
                drawn({"op": "set_kind", "id": hole, "kind": "rust_pitted"}, on=drawing)
            ).job.rust
        )
        == 2
    )


def test_shapes_that_clash_are_left_out_with_the_reason(path):
    outside = {**RING, "id": "far", "points": [[900, 0], [990, 0], [900, 90]]}
    outline = {
        **RING,
        "id": "o",
        "kind": "panel_outline",
        "points": [[-100, -100], [200, -100], [200, 200], [-100, 200]],
    }
    second = {**outline, "id": "o2"}
    fitted = Store(path).save(drawn(RING, outside, outline, second))
    assert set(fitted.reasons) == {"far", "o2"}
    assert "outside the panel" in str(fitted.reasons["far"][0])
    assert "a panel has one" in str(fitted.reasons["o2"][0])
    no_outline = fit(drawn(RING, {**RING, "id": "h", "kind": "panel_hole"}), Store(path).data)
    assert "need panel.outline" in str(no_outline.reasons["h"][0])


def test_previous_version_is_kept_and_no_scraps_are_left(path):
    store = Store(path)
    store.save(drawn(RING))
    store.save(drawn(RING, {"op": "move", "id": "a", "by": [5, 0]}))
    backup = json.loads((path.parent / "job.sketch" / "job.bak").read_text())
    assert backup["rust"][0]["ring"][0] == [0, 0]
    assert sorted(p.name for p in path.parent.iterdir()) == ["job.json", "job.sketch"]
    assert [p.name for p in (path.parent / "job.sketch").iterdir()] == ["job.bak"]


@pytest.mark.parametrize("failing", [1, 2])
def test_a_crash_between_the_two_writes_loses_nothing(path, monkeypatch, failing):
    store = Store(path)
    store.save(drawn(RING, OPEN))
    wanted = drawn(RING, OPEN, BOW_TIE, {"op": "move", "id": "a", "by": [7, 0]})
    write, calls = files.write_text_atomically, []

    def crash(*args, **kwargs):
        calls.append(args)
        if len(calls) == failing:
            raise OSError(28, "No space left on device")
        write(*args, **kwargs)

    monkeypatch.setattr(files, "write_text_atomically", crash)
    with pytest.raises(OSError, match="No space"):
        store.save(wanted)
    monkeypatch.undo()
    expected = wanted if failing == 2 else drawn(RING, OPEN)
    assert Store(path).load() == expected
    load(path)
    store.save(wanted)
    assert Store(path).load() == wanted


def test_second_writer_is_told_and_nothing_is_overwritten(path):
    one = Store(path)
    one.save(drawn(RING))
    two = Store(path)
    mine = two.load()
    one.save(drawn(RING, {"op": "move", "id": "a", "by": [5, 0]}))
    before = path.read_bytes()
    assert two.newer and not one.newer
    with pytest.raises(NewerDrawing, match="load the newer drawing"):
        two.save(mine)
    assert path.read_bytes() == before
    assert two.load().shapes[0].points[0] == (5, 0)
    two.save(mine)
    assert one.newer


def test_job_changed_by_hand_counts_and_unfit_shapes_are_added(path):
    store = Store(path)
    store.save(drawn(RING, BOW_TIE))
    data = file.read(path)
    data["rust"][0]["ring"] = [[1, 1], [50, 1], [1, 50]]
    data["title"] = "by hand"
    path.write_text(json.dumps(data))
    again = Store(path)
    drawing = again.load()
    assert [shape.points[0] for shape in drawing.shapes] == [(1, 1), (200, 0)]
    again.save(drawing)
    assert file.read(path)["title"] == "by hand"


@pytest.mark.parametrize("text", ["", "{", '{"format": "sheetkit-job/1"}', "[1]"])
def test_faulty_job_file_is_refused_and_left_alone(path, text):
    path.write_text(text)
    with pytest.raises(JobRefused):
        Store(path).load()
    assert path.read_text() == text


@pytest.mark.parametrize("text", ["{}", '{"format": "sheetkit-draft/1", "shapes": 3}'])
def test_faulty_draft_is_refused_by_name(path, text):
    store = Store(path)
    store.beside.ready()
    store.draft_path.write_text(text)
    with pytest.raises(JobRefused, match=r"draft\.json of job\.json"):
        store.load()


def test_folder_must_exist(tmp_path):
    with pytest.raises(JobRefused, match="folder must exist"):
        Store(tmp_path / "no" / "job.json")


def test_a_line_that_stays_straight_is_kept_with_its_name(path):
    line = {
        "op": "add",
        "id": "s",
        "kind": "stiff_line",
        "points": [[0, 20], [90, 20]],
        "done": True,
    }
    store = Store(path)
    store.save(drawn(RING, line, {"op": "describe", "id": "s", "name": "brace"}))
    assert file.read(path)["panel"]["stiff"] == [{"name": "brace", "line": [[0, 20], [90, 20]]}]
    assert load(path).panel.stiff[0].name == "brace"
    again = Store(path).load()
    assert again.of_kind("stiff_line")[0].points == ((0, 20), (90, 20))


def test_a_swage_is_kept_with_its_width_and_depth(path):
    line = {"op": "add", "id": "s", "kind": "swage", "points": [[0, 20], [90, 20]], "done": True}
    store = Store(path)
    store.save(drawn(RING, line))
    made = load(path).panel.swages[0]
    assert (made.width, made.depth) == (20, 4), "what is begun with: both must be in the file"
    again = Store(path).load()
    deeper = again.edited({"op": "describe", "id": again.of_kind("swage")[0].id, "depth": 6.5})
    store.save(deeper)
    written = file.read(path)["panel"]["swages"]
    assert written == [{"line": [[0, 20], [90, 20]], "width": "20 mm", "depth": "6.5 mm"}]
    assert Store(path).load().of_kind("swage")[0].depth == 6.5
    store.save(drawn(RING, line, {"op": "describe", "id": "s", "value": 5, "depth": 8}))
    assert store.draft_path.exists(), "deeper than wide: told, and kept beside the job"
    assert Store(path).load().of_kind("swage")[0].depth == 8
    with pytest.raises(EditRefused, match=r"0\.3 to 60 mm"):
        deeper.edited({"op": "describe", "id": deeper.of_kind("swage")[0].id, "depth": 70})
    with pytest.raises(EditRefused, match="has no depth"):
        deeper.edited({"op": "describe", "id": deeper.of_kind("rust_holed")[0].id, "depth": 7})
