"""A folder is judged before the work, by the system itself, and left as it was."""

import os

import pytest

from sheetkit import SheetkitError
from sheetkit.base import folder
from sheetkit.base.folder import check_folder, write_into

NAMES = ("a.txt", "inside/b.txt")


def refusal(where, **options) -> str:
    with pytest.raises(SheetkitError) as told:
        check_folder(where, NAMES, **options)
    (fault,) = told.value.faults
    assert fault.field == "out" and str(fault).isprintable()
    return str(fault)


def test_a_folder_that_can_be_written_stays_as_it_is(tmp_path):
    before = os.stat(tmp_path).st_mtime_ns
    assert check_folder(tmp_path / "new" / "one", NAMES) == tmp_path / "new" / "one"
    assert check_folder(tmp_path, NAMES) == tmp_path
    assert list(tmp_path.iterdir()) == []
    assert os.stat(tmp_path).st_mtime_ns >= before


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ("", "it has no name"),
        ("a\0b", "zero byte"),
        ("file", "not a folder"),
        ("file/below", "can't be written"),
        ("x" * 300, "can't be written"),
        ("half \ud83d", "can't be part"),
        ("dangling", "not a folder"),
    ],
)
def test_what_is_no_folder_is_refused(tmp_path, monkeypatch, where, words):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file").write_text("")
    (tmp_path / "dangling").symlink_to("nowhere")
    assert words in refusal(where)


def test_a_folder_the_system_guards_is_refused(tmp_path, monkeypatch):
    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    assert "Permission denied" in refusal(tmp_path / "new")
    assert "Permission denied" in refusal(tmp_path)


def test_a_drive_that_is_not_there_is_refused(tmp_path, monkeypatch):
    def nowhere(path, **_):
        raise FileNotFoundError(2, "The system cannot find the path specified", str(path))

    monkeypatch.setattr(os, "lstat", nowhere)
    assert "cannot find the path" in refusal(tmp_path / "new" / "one")


@pytest.mark.skipif(not os.path.isdir("/proc/self"), reason="a folder nobody can write into")
def test_the_system_is_asked_not_its_permissions():
    assert "can't be written" in refusal("/proc/new")


def test_existing_files_are_told(tmp_path):
    (tmp_path / "a.txt").write_text("")
    assert "with a.txt; existing files are never overwritten" in refusal(tmp_path)
    check_folder(tmp_path, NAMES, overwrite=True)
    (tmp_path / "inside" / "b.txt").mkdir(parents=True)
    assert "inside/b.txt in it is a folder" in refusal(tmp_path, overwrite=True)


def test_files_are_written_into_folders_of_their_own(tmp_path):
    paths = write_into(tmp_path / "out", {"a": b"1", "in/b": b"2"})
    assert [path.read_bytes() for path in paths] == [b"1", b"2"]
    with pytest.raises(SheetkitError, match="never overwritten"):
        write_into(tmp_path / "out", {"c": b"", "in/b": b"3"})
    assert not (tmp_path / "out" / "c").exists()


def test_a_failed_write_takes_its_new_folders_away_and_no_others(tmp_path, monkeypatch):
    (tmp_path / "there").mkdir()

    def refuse(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(folder, "write_together", refuse)
    with pytest.raises(SheetkitError, match="No space left"):
        write_into(tmp_path / "there" / "x" / "y", {"a/b": b""})
    assert list(tmp_path.rglob("*")) == [tmp_path / "there"]
