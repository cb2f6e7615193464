"""The jobs of a folder: listed by what stands in them, copied and renamed whole."""

from __future__ import annotations

import io
import json
import os
import shutil
from pathlib import Path

import pytest
from PIL import Image

from sheetkit.base import lock
from sheetkit.base.errors import JobRefused, NotWritten
from sheetkit.job.job import load
from sheetkit.sketch import jobs, photo
from sheetkit.sketch.beside import Beside
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.store import Store

RING = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
        "points": [[0, 0], [90, 0], [0, 90]]}  # fmt: skip
OPEN = {"op": "add", "id": "b", "kind": "panel_hole", "points": [[500, 0]]}


@pytest.fixture
def wing(tmp_path):
    path = tmp_path / "wing.json"
    store = Store(path)
    store.save(Drawing().edited(RING).edited(OPEN), {**store.data, "title": "Left wing"})
    stream = io.BytesIO()
    Image.new("RGB", (400, 300), "red").save(stream, "JPEG")
    photo.keep(photo.open_photo(stream.getvalue()), path)
    return path


def test_jobs_are_listed_by_what_they_are_the_newest_first(tmp_path, data_folder, wing):
    for number, name in enumerate(("trunk_floor", "footwell")):
        shutil.copy(data_folder / f"{name}.json", tmp_path)
        os.utime(tmp_path / f"{name}.json", (1000 + number, 1000 + number))
    (tmp_path / "settings.json").write_text('{"colour": 3}')
    (tmp_path / "cut.json").write_text(wing.read_text()[:40])
    os.utime(tmp_path / "cut.json", (10, 10))
    jobs.begin(jobs.place(tmp_path, "sill"), title="Right sill")
    found = jobs.listed(tmp_path)
    assert [one.name for one in found] == ["sill", "wing", "footwell", "trunk_floor", "cut"]
    assert [one.title for one in found[:2]] == ["Right sill", "Left wing"]
    assert [len(one.drawing.shapes) for one in found[:2]] == [0, 2]
    assert found[-1].why and not any(one.why for one in found[:-1])


def test_a_drawing_kept_the_earlier_way_is_listed_too(tmp_path):
    path = jobs.place(tmp_path, "sill")
    jobs.begin(path, title="Right sill")
    beside = Beside(path)
    os.replace(beside.path("draft.json"), beside.earlier("draft.json"))
    beside.folder.rmdir()
    assert [(one.name, one.title) for one in jobs.listed(tmp_path)] == [("sill", "Right sill")]


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("", "at least one letter"),
        (" .json", "at least one letter"),
        ("a/b", "can't hold /"),
        ("..", "can't be a file's name"),
        ("con", "can't be a file's name"),
        ("a\nb", "can't hold"),
        ("x" * 81, "at most 80"),
        ("wing", "is there already"),
        ("wing.json", "is there already"),
    ],
)
def test_a_name_that_will_not_do_is_refused_with_the_reason(tmp_path, wing, name, why):
    with pytest.raises(JobRefused, match=why):
        jobs.place(tmp_path, name)


def test_a_copy_has_everything_and_is_its_own(tmp_path, wing):
    to = jobs.place(tmp_path, "wing two")
    jobs.copy(wing, to)
    assert to.read_bytes() == wing.read_bytes()
    assert Store(to).load() == Store(wing).load()
    assert photo.kept(to).original == photo.kept(wing).original
    Store(to).load()
    before = wing.read_bytes()
    store = Store(to)
    store.save(store.load().edited({"op": "move", "id": "a", "by": [5, 0]}))
    assert wing.read_bytes() == before
    assert jobs.free_name(tmp_path, "wing") == "wing copy"


def test_a_renamed_job_is_whole_and_the_old_name_is_free(tmp_path, wing):
    drawing, to = Store(wing).load(), jobs.place(tmp_path, "front wing")
    jobs.rename(wing, to)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["front wing.json", "front wing.sketch"]
    assert Store(to).load() == drawing and photo.kept(to) is not None
    assert jobs.place(tmp_path, "wing") == wing


@pytest.mark.parametrize("failing", range(6))
def test_a_rename_that_stops_anywhere_leaves_the_job(tmp_path, wing, monkeypatch, failing):
    drawing, to = Store(wing).load(), jobs.place(tmp_path, "front wing")
    calls, replace = [], os.replace

    def stopping(*args):
        calls.append(args)
        if len(calls) == failing:
            raise OSError(28, "No space left on device")
        replace(*args)

    monkeypatch.setattr(os, "replace", stopping)
    try:
        jobs.rename(wing, to)
        left = to
    except NotWritten:
        left = wing
    monkeypatch.undo()
    assert Store(left).load() == drawing
    assert load(left).title == "Left wing"
    assert json.loads(left.read_text())["rust"]
    assert photo.kept(left) is not None
    assert [one.path for one in jobs.listed(tmp_path)] == [left]


def test_nobody_saves_between_the_copy_and_the_end_of_the_old_name(tmp_path, wing, monkeypatch):
    """A save in between would be called saved and be gone with the old name."""
    monkeypatch.setattr(lock, "WAIT_S", 0.05)
    store, unlink, refusals = Store(wing), Path.unlink, []
    drawing = store.load()

    def meanwhile(self, **options):
        if self == wing and not refusals:
            with pytest.raises(NotWritten, match="locked by another program") as told:
                store.save(drawing.edited({"op": "move", "id": "a", "by": [5, 0]}))
            refusals.append(told.value)
        unlink(self, **options)

    monkeypatch.setattr(Path, "unlink", meanwhile)
    jobs.rename(wing, jobs.place(tmp_path, "front wing"))
    assert len(refusals) == 1
