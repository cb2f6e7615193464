"""Files written whole: links followed, permissions kept, scraps of the dead taken away."""

import errno
import os
import stat
import subprocess
import sys
import time

import pytest

from sheetkit import load, save
from sheetkit.base import files, lock
from sheetkit.base.errors import NotWritten
from sheetkit.sketch.store import Store
from sheetkit.workshop import log as job_log

posix = pytest.mark.skipif(os.name == "nt", reason="permissions of this kind are POSIX")
ENTRY = {"job": "floor.json", "date": "2024-05-01", "measured": {"welding_h": 1}}


def mode(path):
    return stat.S_IMODE(path.stat().st_mode)


@posix
@pytest.mark.parametrize("private", [0o600, 0o640, 0o664])
def test_a_file_and_its_backup_stay_as_private_as_it_was(job, tmp_path, private):
    path, backup = tmp_path / "job.json", tmp_path / "job.json.bak"
    save(job(), path)
    save(job(title="b"), path)
    assert backup.exists()
    path.chmod(private)
    save(job(title="c"), path)
    assert (mode(path), mode(backup)) == (private, private)


@posix
@pytest.mark.parametrize("mask", [0o077, 0o027, 0o002])
def test_a_new_file_is_as_private_as_the_system_says(tmp_path, mask):
    code = (
        "import os, sys; os.umask(int(sys.argv[2])); from sheetkit.base import files;"
        "files.write_text_atomically(sys.argv[1] + '/new', 'x')"
    )
    subprocess.run([sys.executable, "-c", code, str(tmp_path), str(mask)], check=True)
    assert mode(tmp_path / "new") == 0o666 & ~mask


@posix
def test_a_private_file_is_never_readable_by_others_on_its_way(job, tmp_path, monkeypatch):
    path, seen = tmp_path / "job.json", []
    save(job(), path)
    path.chmod(0o600)
    fsync = os.fsync

    def watch(handle):
        seen.append(stat.S_IMODE(os.fstat(handle).st_mode))
        fsync(handle)

    monkeypatch.setattr(os, "fsync", watch)
    save(job(title="b"), path)
    assert seen[:2] == [0o600, 0o600]


@pytest.fixture
def linked(tmp_path):
    """A folder with a file, and a link to it in another folder."""
    for name in ("real", "here"):
        (tmp_path / name).mkdir()

    def make(name):
        link = tmp_path / "here" / name
        try:
            link.symlink_to(tmp_path / "real" / name)
        except OSError:
            pytest.skip("no links for this user")
        return tmp_path / "real" / name, link

    return make


def test_a_linked_job_is_written_where_it_leads(job, linked):
    real, link = linked("job.json")
    save(job(title="one"), link)  # it leads to nothing yet
    save(job(title="two"), link)
    assert link.is_symlink() and load(real).title == "two"
    assert real.with_name("job.json.bak").exists() and len(list(link.parent.iterdir())) == 1


def test_a_linked_drawing_and_log_are_written_where_they_lead(job, linked):
    real, link = linked("job.json")
    save(job(), real)
    store = Store(link)
    store.save(store.load().edited({"op": "move", "id": "job-1", "by": [5, 0]}))
    assert link.is_symlink() and load(real).rust[0].ring.points[0] == (5, 0)
    assert Store(link).load() == Store(real).load()
    real, link = linked("log.csv")
    job_log.add(real, job_log.Entry(**ENTRY))
    job_log.add(link, job_log.Entry(**ENTRY | {"date": "2024-05-02"}))
    assert link.is_symlink() and len(job_log.read_log(real).entries) == 2


def test_the_folder_is_settled_after_the_file_is_in_its_place(tmp_path, monkeypatch):
    if os.name == "nt":
        pytest.skip("a folder can't be opened there")
    done = []
    replace, fsync = os.replace, os.fsync
    monkeypatch.setattr(os, "replace", lambda *at: done.append("replace") or replace(*at))

    def settle(handle):
        done.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        fsync(handle)

    monkeypatch.setattr(os, "fsync", settle)
    files.write_text_atomically(tmp_path / "a", "x")
    assert done == ["file", "replace", "folder"]


@pytest.mark.filterwarnings("ignore:.*knows no locks")
@pytest.mark.parametrize("locks", [True, False])
def test_scraps_go_at_the_next_start_and_without_locks_only_old_ones(
    job, tmp_path, monkeypatch, locks
):
    path, log = tmp_path / "job.json", tmp_path / "log.csv"
    save(job(), path)
    long_ago = time.time() - 2 * files.STALE_S
    (tmp_path / "job.sketch").mkdir()
    for name in (".job.json.1a", "job.sketch/.draft.json.2b", ".log.csv.3c"):
        for start, moment in (("old", long_ago), ("new", time.time())):
            scrap = tmp_path / f"{name}{start}.part"
            scrap.write_text("half")
            os.utime(scrap, (moment, moment))
    other = tmp_path / ".job2.json.4d.part"
    other.write_text("of another job")
    os.utime(other, (long_ago, long_ago))
    if not locks:

        def refuse(*_):
            raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

        monkeypatch.setattr(lock, "_lock", refuse)
    Store(path).load()
    job_log.add(log, job_log.Entry(**ENTRY))
    fresh = [".draft.json.2bnew.part", ".job.json.1anew.part", ".log.csv.3cnew.part"]
    left = sorted([other.name, *(() if locks else fresh)])
    assert sorted(p.name for p in tmp_path.rglob(".*")) == left


def test_a_writer_at_work_keeps_its_scraps(job, tmp_path, monkeypatch):
    """Whoever opens the job in the middle of a write waits for it, or reads without cleaning."""
    path = tmp_path / "job.json"
    save(job(title="one"), path)
    monkeypatch.setattr(lock, "WAIT_S", 0.05)
    replace = os.replace

    def meanwhile(*at):
        Store(path).load()
        replace(*at)

    monkeypatch.setattr(os, "replace", meanwhile)
    save(job(title="two"), path)
    assert load(path).title == "two"


@pytest.mark.parametrize(
    "name",
    [
        *("CON", "nul.json", "com1.txt", "lpt9", "job.", "job ", "Aux.a.b", "con .json", "CONIN$"),
        *("wing:1.json", "a?.json", 'a"', "a|b", "a<b>", "tab\t.json"),
    ],
)
def test_names_that_windows_keeps_for_itself(name):
    assert files.reserved_on_windows(name)


@pytest.mark.parametrize(
    "name",
    ["console.json", "com10.json", "job.json", "a con.json", ".nul", "a b.json", "T\u00fcr.json"],
)
def test_names_that_windows_takes(name):
    assert not files.reserved_on_windows(name)


def test_a_name_too_long_to_be_written_beside_is_told_so(job, tmp_path):
    """The system takes it; the copy that is written first, and the lock, have longer names."""
    with pytest.raises(NotWritten, match="give it a shorter name, then save again"):
        save(job(), tmp_path / ("f" * 246 + ".json"))
    assert not list(tmp_path.iterdir())


# Windows, as far as another system can play it ---------------------------------------------


@pytest.fixture
def windows(monkeypatch):
    monkeypatch.setattr(files, "WINDOWS", True)
    monkeypatch.setattr(files, "_BUSY_S", 0.0)


def refused_at_first(times):
    """Return a wrapper of an act that is refused so many times, as while a scanner looks."""
    left = [times]

    def wrap(act):
        def tried(*args, **options):
            if left[0]:
                left[0] -= 1
                raise PermissionError(errno.EACCES, "The process cannot access the file")
            return act(*args, **options)

        return tried

    return wrap


@pytest.mark.parametrize("act", ["replace", "unlink"])
def test_a_file_that_a_scanner_looks_at_is_written_a_moment_later(
    job, tmp_path, monkeypatch, windows, act
):
    store = Store(tmp_path / "job.json")
    ring = {"op": "add", "id": "a", "kind": "rust_holed", "points": [[0, 0], [90, 0], [0, 90]]}
    drawing = store.load().edited(ring)
    store.save(drawing)
    lasting = files._BUSY_TRIES - 1
    monkeypatch.setattr(os, act, refused_at_first(lasting)(getattr(os, act)))
    store.save(drawing.edited({"op": "finish", "id": "a"}))
    assert load(tmp_path / "job.json").rust and not (tmp_path / "job.sketch").exists()


@pytest.mark.parametrize("act", ["replace", "unlink"])
def test_a_file_that_stays_in_use_is_told_and_nothing_is_lost(
    job, tmp_path, monkeypatch, windows, act
):
    store = Store(tmp_path / "job.json")
    ring = {"op": "add", "id": "a", "kind": "rust_holed", "points": [[0, 0], [90, 0], [0, 90]]}
    drawing = store.load().edited(ring)
    store.save(drawing)
    closed = drawing.edited({"op": "finish", "id": "a"})
    with monkeypatch.context() as inside:
        inside.setattr(os, act, refused_at_first(10_000)(getattr(os, act)))
        with pytest.raises(NotWritten, match="cannot access the file"):
            store.save(closed)
    assert Store(tmp_path / "job.json").load().shapes[0].points == drawing.shapes[0].points
    store.save(closed)
    assert load(tmp_path / "job.json").rust and not (tmp_path / "job.sketch").exists()


def test_a_file_marked_read_only_is_refused_at_once_there(job, tmp_path, monkeypatch, windows):
    """The system would refuse it after all tries, and keep the copy, which is marked too."""
    path, tries = tmp_path / "job.json", []
    save(job(title="one"), path)
    path.chmod(0o444)
    monkeypatch.setattr(os, "replace", lambda *at: tries.append(at))
    with pytest.raises(NotWritten, match="marked read-only"):
        save(job(title="two"), path)
    assert tries == [] and load(path).title == "one"
    assert [p.name for p in tmp_path.iterdir()] == ["job.json"]


@pytest.mark.parametrize("name", ["con.json", "wing:1.json", "wing.json."])
def test_a_name_windows_keeps_is_refused_before_anything_is_written(job, tmp_path, windows, name):
    with pytest.raises(NotWritten, match="Windows keeps for itself"):
        save(job(), tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_whole_disk_is_no_file(job):
    with pytest.raises(NotWritten, match="whole disk"):
        save(job(), os.path.abspath(os.sep))


def test_trouble_while_cleaning_up_does_not_hide_the_first(tmp_path, monkeypatch):
    def refuse(code):
        def act(*_, **__):
            raise OSError(code, os.strerror(code))

        return act

    monkeypatch.setattr(os, "replace", refuse(errno.ENOSPC))
    monkeypatch.setattr(os, "unlink", refuse(errno.EACCES))
    with pytest.raises(NotWritten, match="make room on the disk"):
        files.write_text_atomically(tmp_path / "a", "x")
