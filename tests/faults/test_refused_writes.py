"""The system refuses a write: the old file is whole, no scraps, and plain words what to do."""

import errno
import io
import os

import pytest
from PIL import Image

from sheetkit import joblog, load, save
from sheetkit.errors import JobRefused, NotWritten
from sheetkit.widgets import photo
from sheetkit.widgets.store import Store

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

    entry = joblog.Entry("job.json", "2024-05-01", {"welding_h": 1})
    for write in (
        lambda: save(job(title="new"), path),
        lambda: joblog.add(log, entry),
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
    (tmp_path / "job.json.photo.jpg").write_bytes(picture("blue").original)
    assert photo.kept(path).relative_error is None


def test_a_cut_off_draft_does_not_send_for_a_backup_it_has_not(job, tmp_path):
    path = tmp_path / "job.json"
    save(job(), path)
    (tmp_path / "job.json.draft.json").write_text('{"format": "sheetkit-dra')
    with pytest.raises(JobRefused, match="move it away: the job file is whole"):
        Store(path).load()
