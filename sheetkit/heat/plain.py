"""The march in plain numpy: forty times slower than compiled, but there at once.

The wait rule, the order of the steps and their coefficients are the compiled
functions' own source, run by the interpreter; only what goes over all cells stands here a
second time, as array expressions.
"""

from __future__ import annotations

from types import FunctionType, SimpleNamespace
from typing import Any

import numpy as np

from . import kernel, wait_rule

INNER = (slice(1, -1), slice(1, -1))


def _interpreted(compiled: Any, **instead: Any) -> FunctionType:
    """Return a compiled function's source for the interpreter, calling these functions instead."""
    source = getattr(compiled, "py_func", compiled)
    return FunctionType(source.__code__, source.__globals__ | instead, source.__name__,
                        source.__defaults__)  # fmt: skip


coefficients = _interpreted(kernel.coefficients)
"""As `kernel.coefficients`."""


def _rate(field: np.ndarray, east: np.ndarray, north: np.ndarray, inverse: np.ndarray,
          loss: np.ndarray) -> np.ndarray:  # fmt: skip
    """Return M field on the inner cells, K/s."""
    along = east[1:-1, :-1] * (field[1:-1, 1:] - field[1:-1, :-1])
    across = north[:-1, 1:-1] * (field[1:, 1:-1] - field[:-1, 1:-1])
    flux = along[:, 1:] - along[:, :-1]
    flux += across[1:]
    flux -= across[:-1]
    flux *= inverse
    flux -= loss * field[INNER]
    return flux


def _of_cells(loss: Any, field: np.ndarray) -> np.ndarray:
    """Return the loss rate of the inner cells, given as one number, a row or all rows."""
    return np.broadcast_to(np.asarray(loss, field.dtype), field.shape)[INNER]


def cross(out, field, links, per_capacity, factor):
    """As `kernel.cross`."""
    (a, b), conductance = links.cells.T, links.conductance
    target, rise, inverse = out.reshape(-1), field.reshape(-1), per_capacity.reshape(-1)
    flux = factor * conductance * (rise[b] - rise[a])
    np.add.at(target, a, inverse[a] * flux)
    np.subtract.at(target, b, inverse[b] * flux)


def rate_of_change(out, field, east, north, links, per_capacity, loss):
    """As `kernel.rate_of_change`."""
    out[INNER] = _rate(field, east, north, per_capacity[INNER], _of_cells(loss, field))
    if links.conductance.size:
        cross(out, field, links, per_capacity, field.dtype.type(1))


def step(field, work, east, north, links, per_capacity, loss, explicit, dt):
    """As `kernel.step`."""
    (*_, begin, _), *later = coefficients(dt, explicit)
    number = field.dtype.type
    first, second, rate = np.zeros_like(field), np.zeros_like(field), work[2][INNER]
    inverse, lost = per_capacity[INNER], _of_cells(loss, field)
    second[INNER] = number(begin) * rate
    for mu, nu, mt, gt in later:
        change = _rate(second, east, north, inverse, lost)
        change *= number(mt)
        change += number(mu) * second[INNER]
        change += number(gt) * rate
        older = first[INNER]
        older *= number(nu)
        older += change
        if links.conductance.size:
            cross(first, second, links, per_capacity, number(mt))
        first, second = second, first
    field[INNER] += second[INNER]


def highest(field, probes, index):
    """As `kernel.highest`."""
    lines = slice(probes.begin[index], probes.begin[index + 1])
    values = (probes.weights[lines] * field.reshape(-1)[probes.cells[lines]]).sum(axis=1)
    return float(values.max(initial=-1e30))


def watch(field, probes, peak, watched, lines):
    """As `kernel.watch`."""
    if peak.size > 1:
        np.maximum(peak, field, out=peak)
    for n in range(watched.size):
        watched[n] = max(watched[n], highest(field, probes, lines + n))


_cells: dict[str, Any] = {
    "rate_of_change": rate_of_change, "step": step, "highest": highest, "watch": watch,
    "copy": np.copyto,
}  # fmt: skip
_flow = _cells | {
    name: _interpreted(getattr(kernel, name), **_cells) for name in ("cool", "arc", "close_kerf")
}
_rule = {"over": _interpreted(wait_rule.over, **_flow)}
_rule["time_welds"] = _interpreted(wait_rule.time_welds, **_flow, **_rule)

flow = SimpleNamespace(**_flow)
"""What `kernel` has, uncompiled."""
rule = SimpleNamespace(**_rule)
"""What `wait_rule` has, uncompiled."""
