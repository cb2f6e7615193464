"""The demo's files: laid out whole or not at all, usable where they lie, never over one's own."""

import json
import re

import pytest

import sheetkit
from sheetkit import SheetkitError
from sheetkit.base import files
from sheetkit.workshop import demo
from sheetkit.workshop.book import Book


def test_jobs_photo_book_and_notebooks_are_laid_out(root, tmp_path):
    written = demo.lay_out(tmp_path / "a" / "shop")
    names = {path.relative_to(tmp_path / "a" / "shop").as_posix() for path in written}
    assert {"data/trunk_floor.json", "data/photo/floor.json.photo.jpg"} <= names
    tracked = [*(root / "notebooks").glob("[!m]*.ipynb"), *(root / "data").rglob("*.json")]
    assert {path.relative_to(root).as_posix() for path in tracked} <= names
    for path in written:
        original = root / path.relative_to(tmp_path / "a" / "shop")
        assert path.read_bytes() == original.read_bytes()
    data = tmp_path / "a" / "shop" / "data"
    assert len(sheetkit.estimate(sheetkit.load(data / "trunk_floor.json")).patches) == 2
    assert len(Book.open(data / "job_book").table()) == 7


def test_what_the_notebooks_read_lies_beside_them(tmp_path):
    written = demo.lay_out(tmp_path)
    cells = "".join(
        "".join(cell["source"])
        for path in written
        if path.suffix == ".ipynb"
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]
    )
    read = set(re.findall(r'"\.\./([^"]+)"', cells))
    assert {"data/trunk_floor.json", "data/job_book", "data/photo/floor.json"} <= read
    assert [name for name in read if not (tmp_path / name).exists()] == []


def test_what_the_notebooks_write_is_no_part_of_it(tmp_path, monkeypatch):
    for name in ("data/job.json", "notebooks/a.ipynb", "notebooks/my_patch.json", "data/b.json.bak",
                 "notebooks/.ipynb_checkpoints/a.ipynb", "notebooks/my_book/log.csv"):  # fmt: skip
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("{}")
    monkeypatch.setattr(demo, "HOMES", (tmp_path / "absent", tmp_path))
    assert list(demo.demo_files()) == ["data/job.json", "notebooks/a.ipynb"]
    monkeypatch.setattr(demo, "HOMES", (tmp_path / "absent",))
    with pytest.raises(SheetkitError, match="install sheetkit again"):
        demo.demo_files()


def test_files_of_ones_own_are_kept_unless_told(tmp_path):
    own = tmp_path / "data" / "trunk_floor.json"
    own.parent.mkdir()
    own.write_text("mine")
    with pytest.raises(SheetkitError, match=r"trunk_floor\.json; existing files are never"):
        demo.lay_out(tmp_path)
    assert own.read_text() == "mine" and [p.name for p in tmp_path.rglob("*.json")] == [own.name]
    demo.lay_out(tmp_path, overwrite=True)
    assert json.loads(own.read_text(encoding="utf-8"))["format"] == "sheetkit-job/1"


def test_a_disk_that_fills_up_half_way_leaves_nothing(tmp_path, monkeypatch):
    monkeypatch.setattr(files.os, "fsync", Full(after=7))
    with pytest.raises(SheetkitError, match="No space left"):
        demo.lay_out(tmp_path / "shop")
    assert list(tmp_path.iterdir()) == []


class Full:
    """A disk that takes some files and then no more."""

    def __init__(self, after):
        self.left = after

    def __call__(self, handle):
        self.left -= 1
        if self.left < 0:
            raise OSError(28, "No space left on device")
