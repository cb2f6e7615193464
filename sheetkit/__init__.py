"""sheetkit: plan a welded repair patch before the first cut.

    import sheetkit as sk

    job = sk.load("data/trunk_floor.json")
    result = sk.estimate(job)
    print(result.explain("wire_g"))
    order = sk.plan(result)

Every room can be reached from here and is opened when asked for: ``sk.workshop.shopping``,
``sk.views.range_charts``, ``sk.widgets.Bench``; tab completion shows what there is.
Importing sheetkit loads nothing but the names; what is behind one loads when it is first used, and
neither Jupyter nor a plotting module nor numba nor pandas before something needs it.
"""

from __future__ import annotations

from importlib import import_module as _import_module
from types import ModuleType as _Module

from .base import showing as _showing

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from .base.errors import Fault, JobRefused, OutOfRange, SheetkitError
    from .job.job import Job, load, save
    from .repair.estimate import Estimate, estimate
    from .repair.plan import plan
    from .sequence.plan import SequencePlan
    from .workshop.many import estimate_many

__all__ = [
    "Estimate",
    "Fault",
    "Job",
    "JobRefused",
    "OutOfRange",
    "SequencePlan",
    "SheetkitError",
    "estimate",
    "estimate_many",
    "load",
    "plan",
    "save",
]
__version__ = "0.1.0"

_HOMES = {
    "Fault": "base.errors", "JobRefused": "base.errors", "OutOfRange": "base.errors",
    "SheetkitError": "base.errors", "Job": "job.job", "load": "job.job", "save": "job.job",
    "Estimate": "repair.estimate", "estimate": "repair.estimate", "plan": "repair.plan",
    "SequencePlan": "sequence.plan", "estimate_many": "workshop.many",
}  # fmt: skip
_ROOMS = (
    "base", "formulas", "geometry", "heat", "job", "lesson", "paper", "pull", "repair", "sequence",
    "sketch", "views", "workshop",
)  # fmt: skip


def _files(package: _Module) -> list[str]:
    from pkgutil import iter_modules

    return [found.name for found in iter_modules(package.__path__)]


def _open(room: _Module) -> None:
    """Let an empty room give its files when they are asked for, and name them to tab completion."""

    def give(name: str) -> _Module:
        if name in _files(room):
            return _import_module(f"{room.__name__}.{name}")
        raise AttributeError(f"module {room.__name__!r} has no attribute {name!r}")

    room.__dict__.update(__getattr__=give, __dir__=lambda: _files(room))


for _room in _ROOMS:  # empty files all of them: nothing is loaded yet
    _open(_import_module(f".{_room}", __name__))


def _views() -> Any:
    from .views import results

    return results


_showing.shown_by(_views)


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        found = getattr(_import_module(f".{_HOMES[name]}", __name__), name)
        globals()[name] = found  # from now on it is simply there
        return found
    if name == "widgets":  # loads Jupyter's widgets
        return _import_module(".widgets", __name__)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*__all__, "__version__", *_ROOMS, "widgets"])
