"""Names that one system tells apart and another doesn't: capitals, and accents by themselves."""

from __future__ import annotations

import io
import os
import shutil
import unicodedata
from pathlib import Path

import pytest

from sheetkit.base.errors import JobRefused, NotWritten
from sheetkit.sketch import jobs, visitors
from sheetkit.sketch.beside import Beside
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.store import Store
from sheetkit.widgets import Bench
from sheetkit.workshop.book import Book

RING = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
        "points": [[0, 0], [90, 0], [0, 90]]}  # fmt: skip
OPEN = {"op": "add", "id": "b", "kind": "panel_hole", "points": [[500, 0]]}
COMPOSED, APART = "T\u00fcr", "Tu\u0308r"


def drawn(path: Path) -> Drawing:
    store = Store(path)
    drawing = Drawing().edited(RING).edited(OPEN)
    store.save(drawing, {**store.data, "title": "Left wing"})
    return store.load()


@pytest.fixture
def careless(tmp_path, monkeypatch):
    """A disk that keeps names as they were written, and takes all spellings of one for it."""
    listdir, isdir = os.listdir, os.path.isdir
    real = {name: getattr(os, name) for name in (
        "stat", "lstat", "open", "mkdir", "rmdir", "unlink", "scandir", "listdir", "rename", "replace",
    )}  # fmt: skip

    def key(name: str) -> str:
        return unicodedata.normalize("NFD", name.upper())

    def found(path):
        """Return the path as it is spelled on the disk."""
        if not isinstance(path, str | os.PathLike) or not Path(path).is_relative_to(tmp_path):
            return path
        at = str(tmp_path)
        for part in Path(path).relative_to(tmp_path).parts:
            there = listdir(at) if os.access(at, os.R_OK) else []
            at = os.path.join(at, next((n for n in there if key(n) == key(part)), part))
        return at

    def by(act):
        return lambda path, *args, **options: act(found(path), *args, **options)

    def rename(old, new):
        old, there = found(old), found(new)
        if old == there:  # the same file: it gets the new spelling
            return real["rename"](old, os.path.join(os.path.dirname(there), os.path.basename(new)))
        return real["rename"](old, there)

    for name in ("stat", "lstat", "open", "mkdir", "rmdir", "unlink", "scandir", "listdir"):
        monkeypatch.setattr(os, name, by(real[name]))
    monkeypatch.setattr(os, "rename", rename)
    monkeypatch.setattr(os, "replace", lambda old, new: real["replace"](found(old), found(new)))
    monkeypatch.setattr(io, "open", by(io.open))
    yield tmp_path, lambda: sorted(listdir(tmp_path))
    assert isdir(tmp_path)


def test_the_disk_here_takes_all_spellings_for_one(careless):
    folder, names = careless
    (folder / COMPOSED).write_text("x")
    assert (folder / APART.upper()).read_text() == "x"
    (folder / APART).rename(folder / COMPOSED.lower())
    assert names() == [COMPOSED.lower()]


@pytest.mark.parametrize(
    ("before", "after"), [("wing", "Wing"), ("Left Wing", "left wing"), (APART, COMPOSED)]
)
def test_a_name_is_spelled_anew_where_the_disk_takes_both_for_one(careless, before, after):
    folder, names = careless
    path = folder / f"{before}.json"
    drawing = drawn(path)
    to = jobs.place(folder, after, instead_of=path)
    jobs.rename(path, to)
    assert names() == [f"{after}.json", f"{after}.sketch"]
    assert Store(to).load() == drawing
    assert [one.name for one in jobs.listed(folder)] == [after]


def test_a_job_that_is_only_a_draft_is_spelled_anew_too(careless):
    folder, names = careless
    path = jobs.place(folder, "sill")
    jobs.begin(path)
    os.replace(Beside(path).path("draft.json"), Beside(path).earlier("draft.json"))
    jobs.rename(path, jobs.place(folder, "Sill", instead_of=path))
    assert names() == ["Sill.sketch"] and [one.name for one in jobs.listed(folder)] == ["Sill"]


@pytest.mark.parametrize("failing", range(1, 3))
def test_spelling_anew_that_stops_leaves_the_job(careless, monkeypatch, failing):
    folder, _ = careless
    path = folder / "wing.json"
    drawing, calls, rename = drawn(path), [], os.rename

    def stopping(*args):
        calls.append(args)
        if len(calls) == failing:
            raise OSError(5, "Input/output error")
        rename(*args)

    monkeypatch.setattr(os, "rename", stopping)
    with pytest.raises(NotWritten, match="Input/output error"):
        jobs.rename(path, jobs.place(folder, "Wing", instead_of=path))
    assert len(jobs.listed(folder)) == 1
    assert Store(path).load() == drawing == Store(folder / "Wing.json").load()


def test_on_a_disk_that_tells_them_apart_it_is_renamed_like_any_other(tmp_path):
    path = tmp_path / "wing.json"
    drawing = drawn(path)
    to = jobs.place(tmp_path, "Wing", instead_of=path)
    jobs.rename(path, to)
    assert len(list(tmp_path.iterdir())) == 2 and Store(to).load() == drawing


@pytest.mark.parametrize(
    ("there", "asked"),
    [("wing", "Wing"), ("WING.json", "wing"), (APART, COMPOSED), (COMPOSED, APART)],
)
def test_a_job_gets_no_twin_by_another_spelling(tmp_path, there, asked):
    """A folder with both could not be carried to a system that takes them for one."""
    drawn(tmp_path / f"{there.removesuffix('.json')}.json")
    with pytest.raises(JobRefused, match="is there already"):
        jobs.place(tmp_path, asked)


def test_a_folder_beside_without_its_job_holds_the_name_too(tmp_path):
    jobs.begin(tmp_path / "Sill.json")
    with pytest.raises(JobRefused, match=r"is there already, as Sill\.sketch"):
        jobs.place(tmp_path, "sill")


def test_a_job_keeps_its_own_name_and_takes_no_others(tmp_path):
    path = tmp_path / "wing.json"
    drawn(path), drawn(tmp_path / "sill.json")
    for name in ("wing", "Sill"):
        with pytest.raises(JobRefused, match="is there already"):
            jobs.place(tmp_path, name, instead_of=path)


def test_a_name_is_kept_composed_and_its_ending_taken_off_in_capitals_too(tmp_path):
    assert jobs.place(tmp_path, f"{APART}.JSON").name == f"{COMPOSED}.json"


def test_a_visitor_comes_back_to_a_folder_spelled_another_way(tmp_path):
    (tmp_path / APART).mkdir()
    assert visitors.place(tmp_path, COMPOSED.upper()).name == APART


def test_files_of_other_systems_are_known_for_what_they_are(tmp_path, data_folder):
    """An ending in capitals is one; what macOS puts beside a file on such a disk is no job."""
    shutil.copy(data_folder / "footwell.json", tmp_path / "FOOTWELL.JSON")
    (tmp_path / "._FOOTWELL.JSON").write_bytes(b"\0\5\26\7\0\2\0\0Mac OS X        ")
    assert [one.path.name for one in jobs.listed(tmp_path)] == ["FOOTWELL.JSON"]
    assert [path.name for path in Book.open(tmp_path).files] == ["FOOTWELL.JSON"]


def test_such_a_file_is_opened_from_the_list_under_its_own_name(tmp_path, data_folder, monkeypatch):
    shutil.copy(data_folder / "footwell.json", tmp_path / "FOOTWELL.JSON")
    monkeypatch.chdir(tmp_path)
    bench = Bench()
    (listed,) = bench.shelf.jobs
    bench.shelf._receive(None, {"do": "open", "name": listed["name"]}, [])
    assert bench.shelf.told["text"] == ""
    assert bench.pad.job is not None and bench.pad.job.title
    assert [path.name for path in tmp_path.iterdir()] == ["FOOTWELL.JSON"]
