"""A chain of formulas: compute every figure, its range, and how it came about.

A formula is a plain function whose name is the figure it gives and whose
parameters are the figures it needs.  Inputs are `tables.Row`s, so each number
knows its unit, range, status and source.  The expression a reader is shown is
the function's own return expression; there is no second copy to drift away.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from functools import cache, lru_cache

from ..base.tables import Row

_UNITS = (
    ("_kj_per_mm", "kJ/mm"),
    ("_g_per_m", "g/m"),
    ("_mm_min", "mm/min"),
    ("_m_min", "m/min"),
    ("_l_min", "l/min"),
    ("_mm2", "mm²"),
    ("_mm3", "mm³"),
    ("_bar", "bar"),
    ("_ml", "ml"),
    ("_mm", "mm"),
    ("_g", "g"),
    ("_m", "m"),
    ("_s", "s"),
    ("_h", "h"),
    ("_l", "l"),
    ("_v", "V"),
    ("_a", "A"),
)


@cache
def unit_of(name: str) -> str:
    """Return the unit a figure's name ends in; "1" for a plain number."""
    return next((unit for ending, unit in _UNITS if name.endswith(ending)), "1")


@lru_cache(maxsize=1024)
def _parameters(formula: Callable) -> tuple[str, ...]:
    return tuple(inspect.signature(formula).parameters)


def evaluate(formulas: Mapping[str, Callable], values: Mapping[str, float]) -> dict[str, float]:
    """Return `values` with every figure of `formulas` added, in their order.

    Works on numbers and on arrays of one shape alike.
    """
    known = dict(values)
    for name, formula in formulas.items():
        known[name] = formula(*[known[key] for key in _parameters(formula)])
    return known


def rests_on(name: str, formulas: Mapping[str, Callable], inputs: Mapping[str, Row]) -> str:
    """Return the statuses of the inputs a figure rests on, at whatever depth."""
    reached = {name}
    for figure in reversed(formulas):
        if figure in reached and figure not in inputs:
            reached.update(_parameters(formulas[figure]))
    return ", ".join(sorted({row.status for key, row in inputs.items() if key in reached}))


Chain = Mapping[str, Callable]
