"""One writer at a time, where the system can; a word where it can't."""

import errno
import importlib.util
import os
import sys
import threading
import types

import pytest

from sheetkit.base import lock
from sheetkit.base.errors import NotWritten
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.store import Store
from sheetkit.widgets import Pad
from sheetkit.workshop import log as job_log

RING = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
        "points": [[0, 0], [90, 0], [0, 90]]}  # fmt: skip
ENTRY = job_log.Entry("floor.json", "2024-05-01", {"welding_h": 1})


def test_one_at_a_time_and_nothing_left_behind(tmp_path):
    path, inside, most = tmp_path / "a.json", [], []

    def work():
        for _ in range(40):
            with lock.held(path) as sure:
                assert sure
                inside.append(1)
                most.append(len(inside))
                inside.pop()

    workers = [threading.Thread(target=work) for _ in range(4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert len(most) == 160 and max(most) == 1
    assert list(tmp_path.iterdir()) == []


def test_a_writer_waits_and_then_says_who_is_in_the_way(tmp_path, monkeypatch):
    monkeypatch.setattr(lock, "WAIT_S", 0.05)
    path = tmp_path / "a.json"
    with lock.held(path):
        with pytest.raises(NotWritten, match="locked by another program") as told, lock.held(path):
            pass
        assert told.value.errno == errno.EAGAIN
    with lock.held(path):
        pass


@pytest.mark.parametrize("code", [errno.ENOLCK, errno.EOPNOTSUPP, errno.EINVAL])
def test_a_file_system_without_locks_is_told_and_works(tmp_path, monkeypatch, code):
    def refuse(*_):
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(lock, "_lock", refuse)
    with pytest.warns(UserWarning, match="knows no locks"):
        job_log.add(tmp_path / "log.csv", ENTRY)
    assert job_log.read_log(tmp_path / "log.csv").entries == (ENTRY,)
    pad = Pad(tmp_path / "job.json")
    pad.edit(**RING)
    assert "Saved in job.json" in pad.state["word"] and "knows no locks" in pad.state["word"]


@pytest.mark.parametrize("code", [errno.EAGAIN, errno.EACCES, errno.EWOULDBLOCK])
def test_a_lock_that_another_holds_is_waited_for(tmp_path, monkeypatch, code):
    tries, lock_it = [], lock._lock

    def busy(handle):
        tries.append(1)
        if len(tries) < 4:
            raise OSError(code, os.strerror(code))
        lock_it(handle)

    monkeypatch.setattr(lock, "_lock", busy)
    job_log.add(tmp_path / "log.csv", ENTRY)
    assert len(tries) == 4


def test_a_lock_that_only_its_owner_may_take_away_stays(tmp_path, monkeypatch):
    """As in a folder for all, where another user's program was killed: the job is saved."""

    def refuse(*_, **__):
        raise PermissionError(errno.EPERM, "Operation not permitted")

    path = tmp_path / "job.json"
    (tmp_path / ".job.json.lock").touch()
    monkeypatch.setattr(os, "unlink", refuse)
    Store(path).save(Drawing().edited(RING))
    monkeypatch.undo()
    assert Store(path).load().shapes and not (tmp_path / ".job.json.lock").exists()


def test_a_lock_left_by_a_killed_writer_is_no_lock(tmp_path):
    (tmp_path / ".job.json.lock").touch()
    Store(tmp_path / "job.json").save(Drawing().edited(RING))
    assert [path.name for path in tmp_path.iterdir()] == ["job.json"]


@pytest.fixture
def windows_lock(monkeypatch):
    """The lock's module as Windows loads it, over locks of bytes that forbid as those do."""
    taken: dict[tuple, int] = {}

    def locking(handle, mode, count):
        at = os.fstat(handle)
        key, holds = (at.st_dev, at.st_ino), taken.get((at.st_dev, at.st_ino))
        assert count == 1 and os.lseek(handle, 0, os.SEEK_CUR) == 0
        if (mode == 0 and holds != handle) or (mode == 2 and holds is not None):
            raise PermissionError(errno.EACCES, "Permission denied")
        taken[key] = handle
        if mode == 0:
            del taken[key]

    system = types.SimpleNamespace(locking=locking, LK_UNLCK=0, LK_NBLCK=2, taken=taken)
    monkeypatch.setitem(sys.modules, "msvcrt", system)
    spec = importlib.util.spec_from_file_location("sheetkit.base._lock_there", lock.__file__)
    module = importlib.util.module_from_spec(spec)
    monkeypatch.setattr(sys, "platform", "win32")
    spec.loader.exec_module(module)
    module.WAIT_S = 0.05
    yield module
    assert taken == {}, "a lock was never let go"


def test_one_at_a_time_on_windows(tmp_path, windows_lock):
    path = tmp_path / "a.json"
    with windows_lock.held(path) as sure:
        assert sure
        with pytest.raises(NotWritten, match="another program"), windows_lock.held(path):
            pass
    with windows_lock.held(path) as sure:
        assert sure


def test_a_disk_without_locks_works_on_windows_too(tmp_path, monkeypatch, windows_lock):
    def refuse(*_):
        raise OSError(errno.EINVAL, "Invalid argument")

    monkeypatch.setattr(windows_lock, "_lock", refuse)
    with windows_lock.held(tmp_path / "a.json") as sure:
        assert not sure
