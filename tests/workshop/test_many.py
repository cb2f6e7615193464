"""Many jobs: the same table here, through executors and a cluster; a bad job; a dead worker."""

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

import sheetkit as sk
from sheetkit.workshop import many

DATA = Path(__file__).parents[2] / "data"
DEMOS = ("trunk_floor", "footwell", "wheel_arch")


def jobs(count: int) -> list[sk.Job]:
    """The demo jobs, each with another margin."""
    made = []
    bases = [sk.load(DATA / f"{name}.json") for name in DEMOS]
    for i in range(count):
        made.append(bases[i % 3].changed(title=f"job {i}", patch__margin=f"{25 + 0.31 * i:.2f} mm"))
    return made


@pytest.fixture(scope="module")
def eighteen():
    return jobs(18)


@pytest.fixture(scope="module")
def here(eighteen):
    return many.estimate_many(eighteen)


def test_each_row_is_the_estimate(eighteen, here):
    """Ranges come from one evaluation over all jobs; the single estimate is the other route."""
    assert list(here.columns) == list(many.COLUMNS) and len(here) == 18
    for job, row in zip(eighteen, here.itertuples(), strict=True):
        alone = sk.estimate(job)
        assert row.title == job.title and row.fault == ""
        assert row.seam_m == pytest.approx(alone.values["seam_length_mm"] / 1000)
        for short, name in (("hours", "hours_h"), ("cost", "cost"), ("gas_l", "gas_real_l")):
            span = alone.range(name)
            assert getattr(row, f"{short}_low") == pytest.approx(span.low)
            assert getattr(row, short) == pytest.approx(span.likely)
            assert getattr(row, f"{short}_high") == pytest.approx(span.high)


def test_the_batch_does_not_matter(eighteen, here):
    assert_frame_equal(many.estimate_many(eighteen, batch=7), here, rtol=1e-12)


def test_threads_and_processes_give_the_same_table(eighteen, here):
    with ThreadPoolExecutor(2) as threads:
        assert_frame_equal(many.estimate_many(eighteen, threads, batch=8), here, rtol=1e-12)
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=spawn) as processes:
        assert_frame_equal(many.estimate_many(eighteen, processes, batch=8), here, rtol=1e-12)


def test_one_bad_job_does_not_stop_the_rest(eighteen, tmp_path):
    (tmp_path / "torn.json").write_text('{"format": "sheetkit-job/1"')
    wide = eighteen[0].data | {
        "patch": {"margin": 20, "gap": 9.0, "joint": "butt"},
        "title": "all gap",
    }
    wide["rust"] = [{"ring": [[300, 300], [303, 300], [303, 303], [300, 303]]}]
    wide["patch"] |= {"margin": 1, "corner_radius": 0}
    mixed = [
        eighteen[0],
        tmp_path / "torn.json",
        {"format": "x"},
        7,
        wide,
        tmp_path / "none.json",
        eighteen[1],
    ]
    table = many.estimate_many(mixed, batch=3)
    assert (table["fault"] == "").tolist() == [True, False, False, False, False, False, True]
    assert "must be JSON" in table.loc[1, "fault"] and "no such file" in table.loc[5, "fault"]
    assert "no patch" in table.loc[4, "fault"]
    assert table.loc[1, "job"] == "torn.json" and pd.isna(table.loc[1, "hours"])
    assert_frame_equal(table.loc[[6], ["hours", "cost"]].reset_index(drop=True),
                       many.estimate_many([eighteen[1]])[["hours", "cost"]], rtol=1e-12)  # fmt: skip


@pytest.mark.parametrize("batch", [0, -1, 2.5])
def test_a_batch_is_a_whole_number_from_one_on(eighteen, batch):
    with pytest.raises(sk.OutOfRange, match="batch: got"):
        many.estimate_many(eighteen[:3], batch=batch)


@pytest.mark.parametrize("one", ["job", "data", "path", "folder"])
def test_one_job_instead_of_several_is_refused(eighteen, one):
    path = DATA / "footwell.json"
    given = {"job": eighteen[0], "data": eighteen[0].data, "path": path, "folder": str(path)}
    with pytest.raises(sk.OutOfRange, match=r"jobs: got one job.*\[job\]"):
        many.estimate_many(given[one])


class Odd(ThreadPoolExecutor):
    """An executor that refuses some work as it is handed over, or loses rows."""

    def __init__(self, refuses=None, loses=False):
        super().__init__(1)
        self.refuses, self.loses, self.count = refuses, loses, 0

    def submit(self, function, chunk):
        self.count += 1
        if self.refuses and self.count % 2:
            raise self.refuses("not today")
        return super().submit(lambda: function(chunk)[: -1 if self.loses else None])


@pytest.mark.parametrize(
    "refuses", [ValueError, TypeError, KeyError, MemoryError, RuntimeError, OSError]
)
def test_what_an_executor_refuses_is_worked_out_here(eighteen, here, refuses):
    with Odd(refuses) as odd:
        assert_frame_equal(many.estimate_many(eighteen, odd, batch=4), here, rtol=1e-12)
    assert odd.count == 5


def test_a_worker_that_gives_too_few_rows_is_noticed(eighteen, here):
    with Odd(loses=True) as odd:
        assert_frame_equal(many.estimate_many(eighteen, odd, batch=4), here, rtol=1e-12)


def test_progress_counts_every_job_to_the_end(eighteen, capsys):
    seen = []
    many.estimate_many(eighteen, batch=8, progress=lambda done, total: seen.append((done, total)))
    assert seen == [(8, 18), (16, 18), (18, 18)]
    many.estimate_many(eighteen[:2], progress=True)
    assert "2 of 2 jobs" in capsys.readouterr().err


def test_the_widget_bar_follows(eighteen):
    from sheetkit.widgets import JobProgress

    bar = JobProgress()
    many.estimate_many(eighteen[:3], batch=2, progress=bar)
    assert (bar.bar.value, bar.bar.max, bar.count.value) == (3, 3, "3 of 3 jobs")


def test_no_jobs_is_an_empty_table():
    assert many.estimate_many([]).empty


def test_own_factors_and_given_values_in_one_batch(eighteen):
    given = [eighteen[0], eighteen[0].changed(weld__current=60, shop__labour_rate=None)]
    table = many.estimate_many(given)
    for job, row in zip(given, table.itertuples(), strict=True):
        assert row.cost_high == pytest.approx(sk.estimate(job).cost.high)


def test_the_front_door_stays_light():
    """`import sheetkit` loads no notebook, plotting, compiling, table or cluster module."""
    heavy = "{'pandas', 'matplotlib', 'numba', 'IPython', 'ipywidgets', 'distributed', 'dask'}"
    code = f"import sys, sheetkit; print(sorted({heavy} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


class Dying:
    """Work that ends the process of the first worker that takes it up."""

    def __init__(self, job, flag):
        self.job, self.flag = job, str(flag)

    def __reduce__(self):
        return _take_up, (self.job, self.flag, os.getpid())


def _take_up(job, flag, home):
    if os.getpid() != home and not os.path.exists(flag):
        open(flag, "w").close()
        os.kill(os.getpid(), signal.SIGKILL)
    return job


@pytest.mark.skipif(os.name == "nt", reason="there is no SIGKILL there")
def test_a_killed_process_loses_no_job(eighteen, here, tmp_path):
    spawn = multiprocessing.get_context("spawn")
    work = [*eighteen[:9], Dying(eighteen[9], tmp_path / "died"), *eighteen[10:]]
    # what is worked out in the parent is the plain job: the trap springs on unpickling only
    with ProcessPoolExecutor(1, mp_context=spawn) as processes:
        table = many.estimate_many(_plain_here(work), processes, batch=5)
    assert (tmp_path / "died").exists()
    assert_frame_equal(table, here, rtol=1e-12)


class _Trap(sk.Job):
    """A job that is itself here, and springs its trap where it is unpickled."""

    def __reduce__(self):
        return _take_up, (sk.Job.from_data(self.data), self.__dict__["_flag"], os.getpid())


def _plain_here(work):
    plain = []
    for item in work:
        if isinstance(item, Dying):
            trap = _Trap.from_data(item.job.data)
            trap.__dict__["_flag"] = item.flag
            item = trap
        plain.append(item)
    return plain


@pytest.fixture(scope="module")
def cluster():
    distributed = pytest.importorskip("distributed")
    import dask

    quiet = {"distributed.worker.daemon": True, "distributed.admin.log-format": "%(message)s"}
    with (
        dask.config.set(quiet),
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=None,
            silence_logs=50,
        ) as made,
        distributed.Client(made) as client,
    ):  # fmt: skip
        yield client


def test_a_dask_cluster_gives_the_same_table(cluster, eighteen, here):
    assert_frame_equal(
        many.estimate_many(eighteen, cluster.get_executor(), batch=4), here, rtol=1e-12
    )


@pytest.mark.skipif(os.name == "nt", reason="there is no SIGKILL there")
def test_a_killed_dask_worker_loses_no_job(cluster, eighteen, here):
    pids = list(cluster.run(os.getpid).values())
    killed = []

    def kill_one(done, total):
        if not killed:
            os.kill(pids[0], signal.SIGKILL)
            killed.append(done)

    table = many.estimate_many(eighteen, cluster.get_executor(), batch=1, progress=kill_one)
    assert killed and killed[0] < 18
    assert_frame_equal(table, here, rtol=1e-12)
    end = time.monotonic() + 600
    while pids[0] in cluster.run(os.getpid).values() and time.monotonic() < end:
        time.sleep(0.1)
    assert pids[0] not in cluster.run(os.getpid).values()


def test_the_batchs_listing_in_inches():
    table = many.estimate_many([sk.load(DATA / "trunk_floor.json"), {"format": "no"}])
    metric, inch = (many.listing(table, unit).table() for unit in ("mm", "in"))
    assert inch["seam, ft"][0] * 0.3048 == pytest.approx(metric["seam, m"][0])
    assert inch["gas, ft³"][0] * 28.316846592 == pytest.approx(metric["gas, l"][0])
    assert inch["wire, oz"][0] * 28.349523125 == pytest.approx(metric["wire, g"][0])
    assert metric["fault"][1] == inch["fault"][1] != ""
