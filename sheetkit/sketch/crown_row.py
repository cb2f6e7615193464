"""How a bent panel curves along its bends too, as a row to type in: a straight edge and its rise."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..base.errors import Fault
from ..job.job import Job
from .profile_rows import NO_CROWN, RowsRefused, reader
from .strip_rows import length_text

ALONG_DEG = 45.0
"""A straight edge laid nearer to the bends' way than this says how the panel curves along them."""


def crown_row(job: Job, display: str) -> dict[str, Any]:
    """Return the row of a job's crown along its bends; not ticked where there is none."""
    n = _along(job)
    if n is None:
        return dict(NO_CROWN)
    crown = job.panel.crowns[n]
    over, rise = length_text(crown.over, display), length_text(crown.rise, display)
    return {"curved": True, "over": over, "rise": rise}


def crowns_of(rows: Mapping[str, Any], job: Job) -> list[Any] | None:
    """Return the job file's crowns with that of the rows in its place; None for none.

    Raises RowsRefused with every fault.
    """
    row = rows.get("crown", NO_CROWN)
    kept = _others(job)
    if row.get("curved"):
        faults: list[Fault] = []
        read = reader("in" if rows.get("unit") == "in" else "mm", faults)
        over = read("crown.over", row.get("over"), "length", 20, 3000)
        rise = read("crown.rise", row.get("rise"), "length", 0.1, 500)
        if faults:
            raise RowsRefused(faults)
        kept.append(
            {"run": _across(rows["run"]), "over": f"{over:.7g} mm", "rise": f"{rise:.7g} mm"}
        )
    return kept or None


def _across(run: str) -> str:
    """Return the bends' way where the section runs as a row says it."""
    if run in ("x", "y"):
        return "y" if run == "x" else "x"
    try:
        return f"{(float(run.removesuffix('deg')) + 90) % 180:g} deg"
    except ValueError:  # the profile is refused for it
        return "x"


def _others(job: Job) -> list[Any]:
    along = _along(job)
    return [c for n, c in enumerate(job.data.get("panel", {}).get("crowns", [])) if n != along]


def _along(job: Job) -> int | None:
    """Return which crown of a job lies along its bends."""
    if job.panel.profile is None:
        return None
    way = job.panel.profile.run
    for n, crown in enumerate(job.panel.crowns):
        apart = abs(crown.run - way) % 180
        if min(apart, 180 - apart) > ALONG_DEG:
            return n
    return None
