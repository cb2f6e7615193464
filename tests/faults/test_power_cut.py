"""The power goes, the process is killed, the clock jumps: the last good job is there, and words."""

import json
import os
import random
import signal
import subprocess
import sys
import time

import pytest

from sheetkit import SheetkitError, load, save
from sheetkit.base.errors import JobRefused
from sheetkit.job.job import dumps
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.store import Store
from sheetkit.workshop import log

RING = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
        "points": [[0, 0], [90, 0], [0, 90]]}  # fmt: skip
OPEN = {"op": "add", "id": "c", "kind": "panel_hole", "points": [[500, 0]]}


def test_job_cut_off_at_every_byte_is_told_and_its_backup_loads(job, tmp_path):
    path = tmp_path / "job.json"
    save(job(title="old"), path)
    save(job(title="new"), path)
    whole = path.read_bytes()
    backup = path.with_name("job.json.bak")
    for length in range(len(whole) - 1):  # without its last newline it is whole
        path.write_bytes(whole[:length])
        with pytest.raises(JobRefused) as told:
            load(path)
        assert "backup" in str(told.value) or ".bak" in str(told.value)
    assert load(backup).title == "old"


def test_backup_or_scrap_cut_off_at_any_byte_is_no_harm(job, tmp_path):
    path = tmp_path / "job.json"
    save(job(title="old"), path)
    save(job(title="new"), path)
    whole = path.read_bytes()
    for length in range(0, len(whole), 7):
        path.with_name("job.json.bak").write_bytes(whole[:length])
        path.with_name(".job.json.abc.part").write_bytes(whole[:length])
        assert load(path).title == "new"
    save(job(title="newest"), path)
    assert load(path.with_name("job.json.bak")).title == "new"


def test_draft_cut_off_at_every_byte_leaves_the_job(tmp_path):
    store = Store(tmp_path / "job.json")
    store.load()
    store.save(Drawing().edited(RING).edited(OPEN))
    whole = store.draft_path.read_bytes()
    for length in range(len(whole) - 1):
        store.draft_path.write_bytes(whole[:length])
        with pytest.raises(JobRefused) as told:
            Store(store.path).load()
        assert store.draft_path.name in str(told.value)
        assert len(load(store.path).rust) == 1
    store.draft_path.unlink()
    assert [shape.kind for shape in Store(store.path).load().shapes] == ["rust_holed"]


def test_log_cut_off_at_every_byte_keeps_its_whole_rows(tmp_path):
    path = tmp_path / "log.csv"
    for day in range(1, 4):
        note = f'day {day}, "fine"' + ("\nsecond line" if day == 2 else "")
        log.add(path, log.Entry("floor.json", f"2024-05-0{day}", {"welding_h": day}, note))
    whole = path.read_bytes()
    ends = [whole.index(b"second line") + 13, len(whole)]
    added = refused = 0
    for length in range(len(whole)):
        path.write_bytes(whole[:length])
        before = log.read_log(path).entries
        assert len(before) >= sum(length >= end for end in ends)
        try:
            log.add(path, log.Entry("last.json", "2024-06-01", {"welding_h": 9}))
        except SheetkitError as error:
            assert path.read_bytes() == whole[:length]
            assert any(word in str(error) for word in ("quote", "head", "UTF-8"))
            refused += 1
            continue
        after = log.read_log(path).entries
        assert [e.job for e in after][-1] == "last.json"
        assert list(before) == list(after[:-1])
        added += 1
    assert added > 50 and refused > 50


SAVER = """
import itertools, sys
import sheetkit
path = sys.argv[1]
two = [sheetkit.load(path).changed(title=t * 2000) for t in "ab"]
for job in itertools.cycle(two):
    sheetkit.save(job, path)
    print("saved", flush=True)
"""


def test_killed_in_the_middle_of_a_write_the_job_is_whole(job, tmp_path):
    path, rng, titles = tmp_path / "job.json", random.Random(3), set()
    save(job(title="b" * 2000), path)
    for _ in range(12):
        saver = subprocess.Popen(
            [sys.executable, "-c", SAVER, str(path)], stdout=subprocess.PIPE, text=True
        )
        for _ in range(rng.randint(1, 20)):  # killed wherever in the next save it is by then
            assert saver.stdout.readline() == "saved\n"
        time.sleep(rng.uniform(0.0, 0.01))
        saver.send_signal(signal.SIGKILL if os.name != "nt" else signal.SIGTERM)
        saver.wait()
        saver.stdout.close()
        titles.add(load(path).title[0])
        assert load(path.with_name("job.json.bak")).title[0] in "ab"
    assert titles <= {"a", "b"}
    save(job(title="after"), path)
    assert load(path).title == "after"


def test_a_clock_that_jumps_decides_nothing(job, tmp_path, monkeypatch):
    path = tmp_path / "job.json"
    store = Store(path)
    store.load()
    store.save(Drawing().edited(RING))
    for moment in (0, 4e9):  # a file from 1970, a file from 2096
        os.utime(path, (moment, moment))
        assert not store.newer
        monkeypatch.setattr(time, "time", lambda moment=moment: 4e9 - moment)
        store.save(Store(path).load().edited({"op": "move", "id": "job-1", "by": [1, 0]}))
    data = json.loads(path.read_text())
    assert data["rust"][0]["ring"][0] == [2, 0]
    path.write_text(dumps(job(title="by another hand")))
    os.utime(path, (0, 0))
    assert store.newer
