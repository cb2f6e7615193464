"""Jobs on screen: the list, and what its buttons do; no word of code, no traceback."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from sheetkit import load
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.store import Store
from sheetkit.widgets import Bench
from sheetkit.widgets.jobs.thumbnail import HEIGHT, WIDTH, thumbnail

DATA = Path(__file__).parents[2] / "data"
RING = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
        "points": [[100, 100], [200, 100], [200, 180], [100, 180]]}  # fmt: skip


@pytest.fixture
def folder(tmp_path, monkeypatch):
    for name in ("trunk_floor", "footwell"):
        shutil.copy(DATA / f"{name}.json", tmp_path)
    os.utime(tmp_path / "footwell.json", (1000, 1000))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def asked(bench, **message):
    bench.shelf._receive(None, message, [])
    return bench.shelf.told["text"]


def names(bench):
    return [one["name"] for one in bench.shelf.jobs]


def test_a_bench_of_nothing_is_the_list_of_jobs(folder):
    bench = Bench()
    assert bench.shelf.listing and bench.children == (bench.shelf,)
    assert names(bench) == ["trunk_floor", "footwell"]
    assert all(one["marks"] for one in bench.shelf.jobs)
    assert bench.result is None and repr(bench) == "Bench()"


def test_a_bench_of_a_folder_is_the_list_of_its_jobs(folder, tmp_path, monkeypatch):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    monkeypatch.chdir(elsewhere)
    bench = Bench(folder)
    assert bench.shelf.listing and bench.job is None
    assert {one["name"] for one in bench.shelf.jobs} == {
        path.stem for path in folder.glob("*.json")
    }
    assert bench.shelf.told["text"] == ""


def test_a_new_job_is_an_empty_pad_that_is_kept_from_the_start(folder):
    bench = Bench()
    assert asked(bench, do="new", name="Left wing") == ""
    assert bench.pad.drawing == Drawing() and bench.result is None
    assert "Draw a ring" in bench.strip.word["text"]
    assert not bench.shelf.listing and bench.shelf.at == "Left wing"
    assert bench.form.row("title")["text"] == "Left wing"
    assert bench.strip in [part for box in bench.children for part in getattr(box, "children", ())]
    assert names(Bench())[0] == "Left wing"
    bench.pad.edit(**RING)
    assert load(folder / "Left wing.json").title == "Left wing"
    assert bench.result is not None


def test_a_name_that_is_taken_is_refused_in_words(folder):
    bench = Bench()
    assert "is there already" in asked(bench, do="new", name="footwell")
    assert "letters" in asked(bench, do="new", name="a/b")
    assert bench.pad is None and bench.shelf.listing


def test_jobs_are_opened_one_after_the_other(folder):
    bench = Bench()
    asked(bench, do="open", name="footwell")
    first = bench.result
    assert bench.display == bench.pad.units == "in"
    asked(bench, do="list")
    assert bench.shelf.listing
    asked(bench, do="open", name="trunk_floor")
    assert bench.result is not first and bench.display == "mm"
    bench.form.set("patch__margin", 31)
    assert load(folder / "trunk_floor.json").patch.margin == 31
    assert load(folder / "footwell.json").patch.margin == pytest.approx(25.4)


def test_what_was_open_stays_where_the_next_cannot_be_opened(folder):
    (folder / "cut.json").write_text('{"format": "sheetkit-job/1", "she')
    bench = Bench()
    asked(bench, do="open", name="trunk_floor")
    result = bench.result
    assert "cut.json" in asked(bench, do="open", name="cut") or bench.shelf.told["text"]
    assert bench.result is result and bench.shelf.at == "trunk_floor"


def test_a_job_goes_on_under_another_name_and_the_old_one_stays(folder):
    bench = Bench("trunk_floor.json", draw=True)
    before = (folder / "trunk_floor.json").read_bytes()
    asked(bench, do="save_as", name="trunk, second try")
    assert bench.shelf.at == "trunk, second try"
    bench.form.set("patch__margin", 31)
    assert load(folder / "trunk, second try.json").patch.margin == 31
    assert (folder / "trunk_floor.json").read_bytes() == before


def test_a_job_is_renamed_and_drawn_on(folder):
    bench = Bench("trunk_floor.json", draw=True)
    asked(bench, do="rename", name="boot floor")
    assert not (folder / "trunk_floor.json").exists()
    bench.form.set("patch__margin", 31)
    assert load(folder / "boot floor.json").patch.margin == 31
    assert sorted(p.name for p in folder.iterdir()) == [
        "boot floor.json", "boot floor.sketch", "footwell.json"]  # fmt: skip


def test_a_copy_stands_in_the_list(folder):
    bench = Bench()
    asked(bench, do="duplicate", name="footwell")
    assert "footwell copy" in names(bench)
    asked(bench, do="duplicate", name="footwell")
    assert "footwell copy 2" in names(bench)


def test_the_other_side_is_the_job_mirrored_beside_it(folder):
    (folder / "sill left.json").write_bytes((DATA / "sill_end.json").read_bytes())
    bench = Bench("sill left.json", draw=True)
    bench.form.set("hand", "left")
    before = bench.result
    assert "pages say the right side" in asked(bench, do="other_side", name="sill left")
    assert bench.shelf.at == "sill right" and bench.job.hand == "right"
    assert [(b.angle_deg, b.toward) for b in bench.job.section.bends] == [
        (b.angle_deg, b.toward) for b in before.job.section.bends
    ], "the face stays the face"
    here, there = (result.patches[0].outline for result in (before, bench.result))
    assert there.area == pytest.approx(here.area)
    left, _, right, _ = before.job.panel_shape.bounds
    assert there.bounds[0] == pytest.approx(left + right - here.bounds[2], abs=1e-6)
    assert load(folder / "sill left.json").hand == "left"
    asked(bench, do="other_side", name="sill right")
    assert bench.shelf.at == "sill left 2", "nothing that is there is written over"


def test_a_job_that_tells_no_side_gets_a_name_and_is_asked_for_one(folder):
    bench = Bench("trunk_floor.json", draw=True)
    assert "choose it under" in asked(bench, do="other_side", name="trunk_floor")
    assert bench.shelf.at == "trunk_floor other side"
    empty = Bench("new.json", draw=True)
    assert "can't be mirrored yet" in asked(empty, do="other_side", name="new")


def test_a_job_that_is_not_there_is_offered(folder):
    bench = Bench("wing.json")
    assert bench.shelf.offered == "wing" and bench.shelf.listing
    assert not (folder / "wing.json").exists()
    asked(bench, do="new", name=bench.shelf.offered)
    assert bench.pad is not None and bench.shelf.at == "wing"


def test_a_damaged_job_is_told_on_the_list(folder):
    (folder / "cut.json").write_text('{"format": "sheetkit-job/1", "she')
    bench = Bench("cut.json")
    assert "cut.json line 1" in bench.shelf.told["text"] and bench.shelf.listing
    damaged = next(one for one in bench.shelf.jobs if one["name"] == "cut")
    assert damaged["why"]


def test_a_job_that_is_looked_at_is_never_written(folder):
    bench = Bench("trunk_floor.json")
    before = (folder / "trunk_floor.json").read_bytes()
    bench.form.set("patch__margin", 31)
    assert bench.result is not None and not bench.shelf.kept
    assert (folder / "trunk_floor.json").read_bytes() == before


def test_a_page_can_name_nothing_outside_the_folder(folder):
    outside = folder.parent / "outside.json"
    shutil.copy(DATA / "wheel_arch.json", outside)
    bench = Bench()
    for name in ("../outside", str(outside), "..", 7, None):
        asked(bench, do="open", name=name)
        assert bench.pad is None
    asked(bench, do="duplicate", name="../outside")
    outside.unlink()


def test_a_small_picture_holds_everything_drawn(folder):
    drawing = Store(folder / "footwell.json").seen()
    marks = thumbnail(drawing)
    assert len(marks) == len(drawing.shapes)
    numbers = [float(n) for m in marks for n in m["d"].replace("M", " ").replace("L", " ").replace("Z", " ").split()]  # fmt: skip
    assert min(numbers[::2]) >= 0 and max(numbers[::2]) <= WIDTH
    assert min(numbers[1::2]) >= 0 and max(numbers[1::2]) <= HEIGHT
    assert thumbnail(Drawing()) == []
