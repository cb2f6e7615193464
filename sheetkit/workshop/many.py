"""Many jobs at once, here or on any executor; one bad job does not stop the rest."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Executor, Future, as_completed
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING, Any

from ..base import amounts
from ..base.errors import SheetkitError, refuse
from ..base.showing import Column, Listing, Range
from ..formulas.ranges import ranges_of_many
from ..job.job import Job, load
from ..repair.estimate import Estimate, estimate

if TYPE_CHECKING:
    import pandas as pd

BATCH = 100
"""Jobs worked out together: enough that arrays pay, few enough that progress moves."""
_RANGED = {"hours_h": "hours", "cost": "cost", "gas_real_l": "gas_l", "wire_bought_g": "wire_g"}
"""Figure -> its column; its low and high stand in columns of their own."""
COLUMNS = (
    "job", "title", "joint", "process", "patches", "seam_m", "tacks", "welds", "arc_min",
    "hours_low", "hours", "hours_high", "cost_low", "cost", "cost_high", "currency",
    "gas_l_low", "gas_l", "gas_l_high", "wire_g_low", "wire_g", "wire_g_high", "fault",
)  # fmt: skip
"""The table's columns; `fault` is empty unless the job could not be worked out.

What differs from repair to repair is its likely figure; hours hold the usual waits.
"""

Work = Job | Mapping | str | os.PathLike


def _job(work: Work) -> Job:
    if isinstance(work, Job):
        return work
    return Job.from_data(work) if isinstance(work, Mapping) else load(work)


def _called(work: Work) -> str:
    if isinstance(work, Job):
        return work.title
    if isinstance(work, Mapping):
        return str(work.get("title", ""))[:200]
    return os.path.basename(os.fspath(work))


def _row(called: str, result: Estimate) -> dict[str, Any]:
    values, job = result.values, result.job
    return {
        "job": called,
        "title": job.title,
        "joint": job.patch.joint,
        "process": job.weld.process,
        "patches": len(result.patches),
        "seam_m": float(values["metres_m"]),
        "tacks": len(result.tacks),
        "welds": len(result.welds),
        "currency": job.shop.currency,
        "fault": "",
    }


def _fault(error: Exception) -> str:
    if isinstance(error, SheetkitError):
        return "; ".join(str(fault) for fault in error.faults)
    return f"{type(error).__name__}: {error}"


def rows(works: Sequence[Work]) -> list[dict[str, Any]]:
    """Return one mapping a job, in order; a job that fails has its reason under "fault"."""
    found: list[dict[str, Any]] = []
    kinds: dict[tuple, list[tuple[int, Estimate]]] = {}
    for number, work in enumerate(works):
        called = "?"
        try:
            called = _called(work)
            result = estimate(_job(work))
            found.append(_row(called, result))
            kinds.setdefault((tuple(result.chain.values()), tuple(result.inputs)), []).append(
                (number, result)
            )
        except Exception as error:  # the reason goes into the table, the rest goes on
            found.append({"job": called, "fault": _fault(error) or "unknown"})
    for members in kinds.values():
        inputs = [result.inputs for _, result in members]
        ranged = ranges_of_many(members[0][1].chain, inputs, [*_RANGED, "arc_time_s"])
        for (number, _), arc_s in zip(members, ranged.pop("arc_time_s")[1].tolist(), strict=True):
            found[number]["arc_min"] = arc_s / 60
        for name, ranges in ranged.items():
            short = _RANGED[name]
            for (number, _), (low, likely, high) in zip(members, ranges.T.tolist(), strict=True):
                found[number] |= {f"{short}_low": low, short: likely, f"{short}_high": high}
    return found


def listing(table: pd.DataFrame, display: str = "mm") -> Listing:
    """Return the chief columns of a table of jobs, with ranges, as rows to look at.

    Inches show seams in ft, gas in cubic feet and wire in oz.
    """
    seam, gas, wire = (
        partial(amounts.converted, kind=kind, units=display)
        for kind in ("wire_length", "volume", "filler")
    )
    rows = [
        (
            row.job, row.joint, seam(1000 * row.seam_m)[0],
            Range(row.hours_low, row.hours, row.hours_high),
            gas(row.gas_l)[0], wire(row.wire_g)[0],
            Range(row.cost_low, row.cost, row.cost_high), row.currency, "",
        )
        if not row.fault
        else (row.job, *[None] * 7, row.fault)
        for row in table.itertuples()
    ]  # fmt: skip
    digits = 2 if display == "in" else 0
    columns: list[Column | str] = [
        "job", "joint", Column("seam", seam(0.0)[1], 2), Column("hours", "h", 1),
        Column("gas", gas(0.0)[1], digits), Column("wire", wire(0.0)[1], digits),
        Column("cost"), "currency",
    ]  # fmt: skip
    if all(not row[-1] for row in rows):
        return Listing(columns, [row[:-1] for row in rows])
    return Listing([*columns, "fault"], rows)


def text_bar(done: int, total: int) -> None:
    """Write a progress bar on the error stream."""
    filled = round(30 * done / max(total, 1))
    end = "\n" if done == total else ""
    print(f"\r[{'#' * filled:<30}] {done} of {total} jobs", end=end, file=sys.stderr, flush=True)


def estimate_many(
    jobs: Iterable[Work],
    executor: Executor | None = None,
    *,
    batch: int = BATCH,
    progress: Callable[[int, int], None] | bool = False,
) -> pd.DataFrame:
    """Return one table of many jobs: a pandas DataFrame, a row a job, in their order.

    Parameters
    ----------
    jobs : iterable of Job, mapping or path
        A path is loaded where the work is done.
    executor : concurrent.futures.Executor, optional
        Threads, processes, or a cluster's (`dask.distributed.Client.get_executor()`).
        Default: here, one after the other.
    batch : int
        Jobs handed over together, at least 1.
    progress : callable(done, total) or bool
        True writes a bar on the error stream.

    Returns
    -------
    pandas.DataFrame
        Columns `COLUMNS`.  A job that can't be worked out has its faults under
        `fault` and nothing else; the rest goes on.  Batches that the executor
        refused, whose worker died, or gave too few rows, are worked out here.

    Raises
    ------
    OutOfRange
        One job instead of several, or a batch that is no whole number from 1 on.
    """
    import pandas as pd

    if isinstance(jobs, Job | Mapping | str | os.PathLike):
        refuse("jobs", "one job", "must be several, in a list", "put it into a list: [job]")
    if not isinstance(batch, int) or batch < 1:
        refuse("batch", batch, "must be a whole number, at least 1", f"leave it out: {BATCH}")
    works = list(jobs)
    tell = text_bar if progress is True else progress or (lambda done, total: None)
    chunks = [works[i : i + batch] for i in range(0, len(works), batch)]
    found: list[list[dict] | None] = [None] * len(chunks)
    done = 0

    def take(number: int, result: list[dict]) -> None:
        nonlocal done
        found[number] = result
        done += len(result)
        tell(done, len(works))

    if executor is not None:
        waiting: dict[Future, int] = {}
        try:
            for number, chunk in enumerate(chunks):
                # a broken pool, a full queue, work that can't be sent: done below
                with suppress(Exception):
                    waiting[executor.submit(rows, chunk)] = number
            for future in as_completed(waiting):
                if future.cancelled() or future.exception() is not None:
                    continue  # its worker died: done below
                result, chunk = future.result(), chunks[waiting[future]]
                if isinstance(result, list) and len(result) == len(chunk):
                    take(waiting[future], result)
        except BaseException:
            for future in waiting:
                future.cancel()
            raise
    for number, chunk in enumerate(chunks):
        if found[number] is None:
            take(number, rows(chunk))
    return pd.DataFrame([row for chunk in found for row in chunk or ()], columns=list(COLUMNS))
