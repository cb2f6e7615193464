"""The system refuses a write: the old file is whole, no scraps, and plain words what to do."""

import errno
import io
import os

import pytest
from PIL import Image

from sheetkit import load, save
from sheetkit.base import lock
from sheetkit.base.errors import JobRefused, NotWritten, SheetkitError
from sheetkit.sketch import photo
from sheetkit.sketch.store import Store
from sheetkit.workshop import log as job_log

WORDS = {
    errno.ENOSPC: "make room",
    errno.EROFS: "may write to",
    errno.EACCES: "may write to",
    errno.EBUSY: "close the other program",
    errno.EAGAIN: "close the other program",
}


@pytest.mark.parametrize("code", WORDS)
@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_refused_write_says_what_to_do(job, tmp_path, monkeypatch, call, code):
    path, log = tmp_path / "job.json", tmp_path / "log.csv"
    save(job(title="old"), path)
    picture = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(picture, "PNG")
    before = sorted(tmp_path.iterdir())

    def refuse(*_):
        raise OSError(code, os.strerror(code))

    entry = job_log.Entry("job.json", "2024-05-01", {"welding_h": 1})
    for write in (
        lambda: save(job(title="new"), path),
        lambda: job_log.add(log, entry),
        lambda: photo.keep(photo.open_photo(picture.getvalue()), path),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(os, call, refuse)
            with pytest.raises(NotWritten) as told:
                write()
        assert WORDS[code] in str(told.value) and told.value.errno == code
    assert load(path).title == "old"
    assert [p for p in sorted(tmp_path.iterdir()) if p.name != ".log.csv.lock"] == before


def test_steps_of_another_photo_are_left_out(tmp_path):
    def picture(colour):
        stream = io.BytesIO()
        Image.new("RGB", (400, 300), colour).save(stream, "JPEG")
        return photo.open_photo(stream.getvalue(), name="p")

    path = tmp_path / "job.json"
    photo.keep(picture("red").calibrated([[0, 0], [300, 0]], 900), path)
    assert photo.kept(path).relative_error is not None
    (tmp_path / "job.sketch" / "photo.jpg").write_bytes(picture("blue").original)
    assert photo.kept(path).relative_error is None


def test_a_cut_off_draft_does_not_send_for_a_backup_it_has_not(job, tmp_path):
    path = tmp_path / "job.json"
    save(job(), path)
    (tmp_path / "job.json.draft.json").write_text('{"format": "sheetkit-dra')
    with pytest.raises(JobRefused, match="move it away: the job file is whole"):
        Store(path).load()


def test_a_log_held_by_another_program_is_told_and_kept(tmp_path, monkeypatch):
    fcntl = pytest.importorskip("fcntl", reason="locks of this kind are known to POSIX only")
    path = tmp_path / "log.csv"
    job_log.add(path, job_log.Entry("job.json", "2024-05-01", {"welding_h": 1}))
    whole = path.read_bytes()
    monkeypatch.setattr(lock, "WAIT_S", 0.2)
    entry = job_log.Entry("job.json", "2024-05-02", {"welding_h": 2})
    with (tmp_path / ".log.csv.lock").open("a+b") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        with pytest.raises(SheetkitError, match="locked by another program"):
            job_log.add(path, entry)
        assert path.read_bytes() == whole
    job_log.add(path, entry)
    assert len(job_log.read_log(path).entries) == 2


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_pad_that_cannot_write_loses_nothing(tmp_path, monkeypatch, call):
    """The job and its draft stay as they were; the same drawing is written once there is room."""
    ring = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
            "points": [[0, 0], [90, 0], [0, 90]]}  # fmt: skip
    open_ring = {"op": "add", "id": "b", "kind": "panel_hole", "points": [[500, 0]]}
    store = Store(tmp_path / "job.json")
    drawing = store.load().edited(ring)
    store.save(drawing)
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    drawing = drawing.edited(open_ring)

    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(os, call, full)
        with pytest.raises(NotWritten, match="make room"):
            store.save(drawing)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before
    assert not store.newer
    store.save(drawing)
    assert [shape.kind for shape in Store(store.path).load().shapes] == ["rust_holed", "panel_hole"]


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_refused_write_keeps_the_backup_of_the_version_before(job, tmp_path, monkeypatch, call):
    path = tmp_path / "job.json"
    for title in ("first", "second"):
        save(job(title=title), path)

    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, call, full)
    with pytest.raises(NotWritten):
        save(job(title="third"), path)
    assert load(path).title == "second"
    assert load(path.with_name("job.json.bak")).title == "first"
