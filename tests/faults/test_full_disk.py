"""The system stops a write half way: what was on the disk is whole, no scraps, and a word.

A limit on the size of files stops the write inside the kernel, as a full disk does.
"""

import subprocess
import sys

import pytest

from sheetkit import load, save
from sheetkit.sketch.store import Store
from sheetkit.workshop import log as job_log

resource = pytest.importorskip("resource", reason="limits of this kind are known to POSIX only")

LIMIT = """
import resource, sys
import sheetkit
from sheetkit.workshop import log as job_log
from sheetkit.sketch.store import Store
path = sys.argv[1]
job = sheetkit.load(path)
result = sheetkit.estimate(job)
def limited():
    resource.setrlimit(resource.RLIMIT_FSIZE, (2000, resource.RLIM_INFINITY))
"""
WRITES = {
    "job": 'limited(); sheetkit.save(job.changed(title="b" * 3000), path)',
    "log": 'limited(); job_log.add(sys.argv[2], job_log.Entry("job.json", "2024-05-09", '
    '{"welding_h": 1}, "n" * 1900))',
    "pad": "store = Store(path); drawing = store.load(); limited()\n"
    "for n in range(200):\n"
    '    drawing = drawing.edited({"op": "insert", "id": drawing.shapes[0].id, "index": 1, '
    '"at": [9 + n / 7, -n / 7]})\n'
    "    store.save(drawing)",
    "pages": "from sheetkit.paper import write\n"
    "plan = sheetkit.plan(result)\n"
    "limited(); write.write_sheets(result, plan, sys.argv[3])",
    "pages drawn before": "from sheetkit.paper import write\n"
    "plan = sheetkit.plan(result)\n"
    'files = write.rendered(result, plan, paper="a4", display="mm", front=None)\n'
    "write.rendered = lambda *_, **__: files\n"
    "limited(); write.write_sheets(result, plan, sys.argv[3])",
}


@pytest.mark.parametrize("name", WRITES)
def test_a_write_stopped_half_way_leaves_what_was_there(job, tmp_path, name):
    path, log, pages = tmp_path / "job.json", tmp_path / "log.csv", tmp_path / "pages"
    save(job(title="a"), path)
    job_log.add(log, job_log.Entry("job.json", "2024-05-01", {"welding_h": 2}))
    store = Store(path)
    store.save(store.load())
    ended = f"""
try:
{chr(10).join("    " + line for line in WRITES[name].splitlines())}
except sheetkit.SheetkitError as error:
    print(error)
else:
    raise SystemExit("it was written")
"""
    done = subprocess.run(
        [sys.executable, "-c", LIMIT + ended, str(path), str(log), str(pages)],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert "can't be written (File too large)" in done.stdout
    assert load(path).title == "a"
    assert [entry.measured for entry in job_log.read_log(log).entries] == [{"welding_h": 2}]
    assert not list(tmp_path.rglob("*.part"))
    if pages.exists():
        assert not list(pages.iterdir())
    again = Store(path)
    again.save(again.load().edited({"op": "add", "id": "more", "kind": "rust_pitted", "done": True,
                                    "points": [[300, 0], [340, 0], [300, 40]]}))  # fmt: skip
    assert len(load(path).rust) == 2
    kinds = [shape.kind for shape in again.load().shapes]
    assert kinds.count("rust_pitted") == 1
