"""What a job may hold at most, looked at before anything else: no small file may eat the machine."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from annotated_types import MaxLen
from pydantic import BaseModel

from ..base.errors import Fault
from .faults import models_in

MOST_POINTS_IN_ALL = 100_000
"""Points of all rings and lines together: a whole floor pan drawn every tenth of a millimetre."""
MOST_UNKNOWN = 200
"""A job with more unknown keys than this is something else."""
MOST_FAULTS = 100
"""Faults of one job that are told; the others are counted."""


def bound_faults(data: Mapping, model: type[BaseModel]) -> list[Fault]:
    """Return the faults of a job's data that holds too much of anything to be looked at closer."""
    faults, unknown = [], 0
    for found in _excesses(data, model, ""):
        if isinstance(found, Fault):
            faults.append(found)
        else:
            unknown += found
    if unknown > MOST_UNKNOWN:
        faults.append(
            Fault(
                "job",
                f"{unknown} unknown keys",
                f"must have at most {MOST_UNKNOWN} to be told by name",
                "see Job file in README.md",
            )
        )
    points = _points(data)
    if points > MOST_POINTS_IN_ALL:
        faults.append(
            Fault(
                "job",
                f"{points} points in all",
                f"must have at most {MOST_POINTS_IN_ALL}",
                "leave out points closer together than 0.1 mm",
            )
        )
    return faults


def told(faults: list[Fault]) -> list[Fault]:
    """Return as many faults as one reads, and how many there are besides."""
    if len(faults) <= MOST_FAULTS:
        return faults
    more = f"{len(faults) - MOST_FAULTS} more faults"
    return [*faults[:MOST_FAULTS], Fault("job", more, "must have none", "mend those above first")]


def _excesses(data: Mapping, model: type[BaseModel], field: str) -> Iterator[Fault | int]:
    """Give the lists that are too long, and how many keys each object has that no job knows."""
    yield sum(key not in model.model_fields for key in data)
    for name, info in model.model_fields.items():
        value, here = data.get(name), f"{field}.{name}" if field else name
        longest = next((m.max_length for m in info.metadata if isinstance(m, MaxLen)), None)
        if longest is not None and isinstance(value, list | tuple | dict) and len(value) > longest:
            limit = f"must have at most {longest}"
            yield Fault(here, f"{len(value)} entries", limit, "leave out some")
            continue
        inner = models_in(info.annotation)
        if inner and isinstance(value, list | tuple):
            for index, part in enumerate(value):
                if isinstance(part, Mapping):
                    yield from _excesses(part, inner[0], f"{here}[{index}]")
        elif inner and isinstance(value, Mapping):
            yield from _excesses(value, inner[0], here)


def _points(data: Mapping) -> int:
    """Count the lists that hold no other: each point is one; stop where it is too much anyway."""
    count = 0
    ahead: list[Any] = [data]
    for _ in range(10 * MOST_POINTS_IN_ALL):
        if not ahead:
            return count
        part = ahead.pop()
        values = part.values() if isinstance(part, Mapping) else part
        inner = [value for value in values if isinstance(value, list | tuple | Mapping)]
        if not inner and not isinstance(part, Mapping):
            count += 1
        ahead += inner
    return max(count, len(ahead))
