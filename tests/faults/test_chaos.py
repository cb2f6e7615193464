"""Two kernels on one drawing and one log, killed again and again: what was called saved is there."""

import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from pathlib import Path

import pytest
from kernel_at_work import mark

from sheetkit import load
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.store import Store
from sheetkit.workshop import log

SECONDS = float(os.environ.get("SHEETKIT_CHAOS", "10"))
"""How long they work, and until enough has happened; set SHEETKIT_CHAOS=600 for a long run."""
SLOWEST_S = 900.0
ENOUGH = {"killed": 6, "saved": 30, "logged": 20, "refused": 1}
PROGRAM = Path(__file__).with_name("kernel_at_work.py")
KILL, KILLED = (signal.SIGTERM, 1) if os.name == "nt" else (signal.SIGKILL, -signal.SIGKILL)


class Ledger:
    """What the kernels told, kept where no kill can reach it."""

    def __init__(self):
        self.told, self.count, self.errors = [], Counter(), []
        self.lock = threading.Lock()

    def note(self, line: dict) -> None:
        with self.lock:
            self.told.append(line)
            self.count[line["did"]] += 1

    def all(self, did: str) -> list[dict]:
        return [line for line in self.told if line["did"] == did]

    @property
    def enough(self) -> bool:
        return all(self.count[what] >= most for what, most in ENOUGH.items())

    def wants_more(self, end: float) -> bool:
        """Say whether a slow machine needs longer."""
        return not self.enough and time.monotonic() < end + SLOWEST_S


def lives(folder: Path, desk: str, ledger: Ledger, end: float) -> None:
    """Start a kernel, read what it tells, kill it at a random moment; and again."""
    rng, life = random.Random(desk), 0
    while not ledger.errors and (time.monotonic() < end or ledger.wants_more(end)):
        life += 1
        command = [sys.executable, str(PROGRAM), str(folder), f"{desk}{life}"]
        kernel = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        for _ in range(rng.randint(2, 40)):
            line = kernel.stdout.readline()
            if not line:
                break
            ledger.note(json.loads(line))
        time.sleep(rng.uniform(0.0, 0.02))  # wherever it is by then
        kernel.send_signal(KILL)
        rest, errors = kernel.stdout.read(), kernel.stderr.read()
        kernel.wait()
        for line in rest.splitlines():  # what it told before it died
            ledger.note(json.loads(line))
        if errors or kernel.returncode != KILLED:
            ledger.errors.append(f"{desk}{life} ended with {kernel.returncode}: {errors[-2000:]}")
            return
        ledger.note({"did": "killed"})


@pytest.fixture(scope="module")
def worked(tmp_path_factory):
    """A folder that two kernels worked in, and what they told."""
    folder, ledger = tmp_path_factory.mktemp("chaos"), Ledger()
    end = time.monotonic() + SECONDS
    desks = [threading.Thread(target=lives, args=(folder, d, ledger, end)) for d in "ab"]
    for desk in desks:
        desk.start()
    for desk in desks:
        desk.join()
    print(dict(ledger.count))
    return folder, ledger


@pytest.fixture(scope="module")
def way(worked):
    """The drawings from the last one back to the first, by the steps the kernels told."""
    folder, ledger = worked
    steps = {line["after"]: line["before"] for line in ledger.all("draws")}
    assert len(steps) == ledger.count["draws"], "each makes a drawing that there never was"
    found = [mark(Store(folder / "job.json").load())]
    while found[-1] in steps:
        found.append(steps[found[-1]])
    return found


def test_no_kernel_stumbled_over_what_a_dead_one_left(worked):
    _, ledger = worked
    assert ledger.errors == []
    assert ledger.enough, ledger.count
    assert ledger.all("trouble") == [] and ledger.all("not logged") == []


def test_every_drawing_called_saved_lies_on_the_way_to_the_last_one(worked, way):
    """Nothing was overwritten unseen, and nothing is there that no kernel drew."""
    folder, ledger = worked
    assert way[-1] == mark(Drawing()), "the way begins with the empty drawing"
    for line in ledger.all("saved"):
        assert line["after"] in way, f"called saved and lost: {line}"
    for line in ledger.all("opened"):
        assert line["state"] in way, f"a drawing that nobody called saved: {line}"
    load(folder / "job.json")


def test_every_refusal_was_told_and_lost_nothing(worked, way):
    for line in worked[1].all("refused"):
        assert "Nothing was overwritten" in line["words"]
        assert line["kept"], "what was refused stays on the pad"
        assert line["after"] not in way


def test_every_entry_called_logged_is_in_the_log_once(worked):
    folder, ledger = worked
    found = log.read_log(folder / "log.csv")
    assert found.set_aside == ()
    rows = [[e.entry, e.date, e.measured["welding_h"], e.note] for e in found.entries]
    tried = [line["row"] for line in ledger.all("logs")]
    assert [line["row"] for line in ledger.all("logged") if line["row"] not in rows] == []
    assert [row for row in rows if row not in tried] == []


def test_the_next_start_takes_scraps_and_locks_of_the_dead_away(worked):
    folder, _ = worked
    Store(folder / "job.json").load()
    log.add(folder / "log.csv", log.Entry("job.json", "2024-06-01", {"welding_h": 1}))
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*")}
    kept = {"job.json", "job.sketch", "job.sketch/job.bak", "job.sketch/draft.json"}
    assert there <= kept | {"log.csv", "log.csv.bak"}
