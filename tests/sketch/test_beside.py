"""One folder holds what a drawing has besides its job; what lay elsewhere moves in, never gets lost."""

from __future__ import annotations

import io
import os

import pytest
from PIL import Image

from sheetkit.base.errors import NotWritten
from sheetkit.job.job import load, save
from sheetkit.sketch import photo
from sheetkit.sketch.beside import BACKUP, DRAFT, PICTURE, STEPS, Beside
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.store import Store

RING = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
        "points": [[0, 0], [90, 0], [0, 90]]}  # fmt: skip
OPEN = {"op": "add", "id": "b", "kind": "panel_hole", "points": [[500, 0]]}
FILES = (DRAFT, PICTURE, STEPS, BACKUP)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "wing.json"


def picture(colour="red"):
    stream = io.BytesIO()
    Image.new("RGB", (400, 300), colour).save(stream, "JPEG")
    return photo.open_photo(stream.getvalue(), name="p").calibrated([[0, 0], [300, 0]], 900)


def lay_out_as_before(path) -> Drawing:
    """Leave job, draft, photo and backup where they lay before there was a folder."""
    drawing = Drawing().edited(RING).edited(OPEN)
    Store(path).save(drawing)
    photo.keep(picture(), path)
    beside = Beside(path)
    (beside.folder / BACKUP).write_bytes(path.read_bytes())
    for name in FILES:
        os.replace(beside.path(name), beside.earlier(name))
    beside.folder.rmdir()
    return drawing


def test_everything_but_the_job_is_in_one_folder(path):
    store = Store(path)
    store.save(Drawing().edited(RING))
    store.save(Drawing().edited(RING).edited(OPEN))
    photo.keep(picture(), path)
    store.save(Drawing().edited({**RING, "points": [[0, 0], [95, 0], [0, 95]]}).edited(OPEN))
    assert sorted(p.name for p in path.parent.iterdir()) == ["wing.json", "wing.sketch"]
    assert sorted(p.name for p in (path.parent / "wing.sketch").iterdir()) == sorted(FILES)


def test_the_earlier_places_are_read_and_move_in_at_the_next_save(path):
    drawing = lay_out_as_before(path)
    store = Store(path)
    assert store.load() == drawing and not store.newer
    assert photo.kept(path).relative_error is not None
    assert not Beside(path).folder.exists(), "to look is not to write"
    store.save(drawing.edited({"op": "move", "id": "a", "by": [5, 0]}))
    assert sorted(p.name for p in path.parent.iterdir()) == ["wing.json", "wing.sketch"]
    assert photo.kept(path).relative_error is not None
    again = Store(path).load()
    assert [shape.kind for shape in again.shapes] == ["rust_holed", "panel_hole"]
    assert load(path.parent / "wing.sketch" / BACKUP).rust[0].ring.points[0] == (0, 0)


@pytest.mark.parametrize("moved", range(len(FILES) + 1))
def test_a_move_that_stops_anywhere_loses_nothing(path, monkeypatch, moved):
    drawing = lay_out_as_before(path)
    calls, replace = [], os.replace

    def stopping(*args):
        calls.append(args)
        if len(calls) > moved:
            raise OSError(5, "Input/output error")
        replace(*args)

    monkeypatch.setattr(os, "replace", stopping)
    changed = drawing.edited({"op": "move", "id": "a", "by": [5, 0]})
    store = Store(path)
    store.load()
    with pytest.raises(NotWritten):
        store.save(changed)
    monkeypatch.undo()
    assert Store(path).load() == drawing
    assert photo.kept(path).relative_error is not None
    assert set(Beside(path).files()) == set(FILES)
    store.save(changed)
    assert Store(path).load() == changed


def test_a_draft_that_goes_is_gone_from_both_places(path):
    lay_out_as_before(path)
    store = Store(path)
    store.save(Drawing(tuple(s for s in store.load().shapes if s.kind == "rust_holed")))
    assert DRAFT not in Beside(path).files()


def test_a_backup_that_python_wrote_later_counts(path, job):
    Store(path).save(Drawing().edited(RING))
    beside = Beside(path)
    beside.folder.mkdir()
    beside.path(BACKUP).write_text("old")
    os.utime(beside.path(BACKUP), (1, 1))
    save(job(title="by Python"), path)  # leaves its own backup beside the job
    store = Store(path)
    drawing = store.load()
    beside.ready()
    assert load(beside.path(BACKUP)).title == ""
    store.save(drawing.edited({"op": "delete", "id": drawing.shapes[0].id}).edited(RING))
    assert load(beside.path(BACKUP)).title == "by Python"


def test_names_alike_have_folders_of_their_own(tmp_path):
    names = ("wing.json", "wing", "wing.txt", "wing.sketch.json", ".json")
    folders = {Beside(tmp_path / name).folder.name for name in names}
    assert len(folders) == len(names) and "wing.sketch" in folders
