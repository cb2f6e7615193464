"""A chain of formulas: compute every figure, its range, and how it came about.

A formula is a plain function whose name is the figure it gives and whose
parameters are the figures it needs.  Inputs are `tables.Row`s, so each number
knows its unit, range, status and source.  The expression a reader is shown is
the function's own return expression; there is no second copy to drift away.
"""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np

from .errors import Fault, SheetkitError, shown
from .tables import Row

GIVEN = "given by the user"
"""The status of an input that stands in the job."""

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


@cache
def _expression(formula: Callable) -> ast.expr:
    tree = ast.parse(textwrap.dedent(inspect.getsource(formula)))
    returned = [node.value for node in ast.walk(tree) if isinstance(node, ast.Return)]
    if len(returned) != 1 or returned[0] is None:
        raise TypeError(f"{formula.__name__} must have one return expression")
    return returned[0]


class _Put(ast.NodeTransformer):
    """Put numbers in for names."""

    def __init__(self, values: Mapping[str, float]):
        self.values = values

    def visit_Name(self, node: ast.Name) -> ast.AST:
        if node.id not in self.values:
            return node
        return ast.Name(f"{float(self.values[node.id]):.6g}", ast.Load())


def _readable(expression: ast.expr) -> str:
    text = ast.unparse(expression)
    for old, new in (
        (" ** 2", "²"),
        (" ** 4", "⁴"),
        (" * ", " × "),
        ("np.maximum", "max"),
        ("STEEL_G_PER_MM3", "0.00785"),
        ("LESNEWICH_DIAMETER_MM", "1.2"),
        ("REFERENCE_BAR", "1.01325"),
    ):
        text = text.replace(old, new)
    return text


def evaluate(formulas: Mapping[str, Callable], values: Mapping[str, float]) -> dict[str, float]:
    """Return `values` with every figure of `formulas` added, in their order.

    Works on numbers and on arrays of one shape alike.
    """
    known = dict(values)
    for name, formula in formulas.items():
        known[name] = formula(*[known[key] for key in _parameters(formula)])
    return known


def ranges(
    formulas: Mapping[str, Callable], inputs: Mapping[str, Row]
) -> dict[str, tuple[float, float]]:
    """Return each figure's (low, high) when its inputs vary over their ranges.

    Every input is moved alone to each end of its range; the departures are
    added as squares, since the inputs err independently of one another.
    """
    moved = [
        row_name
        for row_name, row in inputs.items()
        if row.low is not None and row.high is not None and row.low < row.high
    ]
    size = 1 + 2 * len(moved)
    columns = {name: np.full(size, row.value) for name, row in inputs.items()}
    for k, name in enumerate(moved):
        columns[name][1 + 2 * k] = inputs[name].low
        columns[name][2 + 2 * k] = inputs[name].high
    known = evaluate(formulas, columns)
    table = np.empty((len(known), size))
    for line, column in zip(table, known.values(), strict=True):
        line[:] = column
    likely = table[:, 0]
    pairs = (table[:, 1:] - table[:, :1]).reshape(len(known), len(moved), 2)
    down = np.minimum(pairs.min(axis=2), 0.0)
    up = np.maximum(pairs.max(axis=2), 0.0)
    low = likely - np.hypot.reduce(down, axis=1, initial=0.0)
    high = likely + np.hypot.reduce(up, axis=1, initial=0.0)
    return dict(zip(known, zip(low.tolist(), high.tolist(), strict=True), strict=True))


@dataclass(frozen=True)
class Explanation:
    """How one figure came about; `str()` gives it as text."""

    name: str
    value: float
    low: float
    high: float
    unit: str
    title: str
    formula: str
    numbers: str
    inputs: tuple[Row, ...]
    source: str

    def __str__(self) -> str:
        unit = "" if self.unit == "1" else f" {self.unit}"
        span = "" if self.low == self.high else f" (range {self.low:.4g} to {self.high:.4g})"
        lines = [f"{self.name} = {self.value:.4g}{unit}{span}", f"  {self.title}"]
        if self.formula:
            lines += [f"  = {self.formula}", f"  = {self.numbers}"]
        for row in self.inputs:
            row_unit = "" if row.unit == "1" else f" {row.unit}"
            row_span = ""
            if row.low is not None and row.high is not None and row.low < row.high:
                row_span = f" ({row.low:.4g} to {row.high:.4g})"
            lines.append(f"  {row.quantity} = {row.value:.4g}{row_unit}{row_span}; {row.origin}")
        if self.source:
            lines.append(f"  Source: {self.source}")
        return "\n".join(
            textwrap.fill(line, 96, subsequent_indent="      ", break_on_hyphens=False)
            for line in lines
        )


def _documentation(formula: Callable) -> tuple[str, str]:
    """Return a formula's first line and its source, from its docstring."""
    text = inspect.getdoc(formula) or ""
    title, _, rest = text.partition("\n\n")
    marker = next(
        (m for m in ("Source\n------\n", "Source: ", "Source of the allowance: ") if m in rest),
        None,
    )
    source = rest.split(marker, 1)[1].split("\n\n", 1)[0] if marker else ""
    return " ".join(title.split()), " ".join(source.split())


def explain(
    name: str,
    formulas: Mapping[str, Callable],
    inputs: Mapping[str, Row],
    values: Mapping[str, float],
    spans: Mapping[str, tuple[float, float]] | None = None,
) -> Explanation:
    """Return how the figure or input `name` came about, with its numbers put in.

    Raises
    ------
    SheetkitError
        If there is no such figure; the nearest names are given.
    """
    spans = ranges(formulas, inputs) if spans is None else spans
    if name not in values:
        import difflib

        near = difflib.get_close_matches(name, values, 3)
        raise SheetkitError(
            Fault(
                "explain",
                shown(name),
                "must be a figure of this estimate",
                f"try {', '.join(near)}" if near else "see list(estimate.values)",
            )
        )
    low, high = spans[name]
    if name in inputs:
        row = inputs[name]
        return Explanation(
            name, row.value, low, high, row.unit, row.note or "an input", "", "", (row,), ""
        )
    formula = formulas[name]
    title, source = _documentation(formula)
    rows = tuple(
        inputs[key]
        if key in inputs
        else Row(
            "figures",
            key,
            key,
            spans[key][0],
            float(values[key]),
            spans[key][1],
            unit_of(key),
            f'explain("{key}")',
            "derived",
            "",
        )
        for key in _parameters(formula)
    )
    expression = _expression(formula)
    put = _Put({key: values[key] for key in _parameters(formula)})
    return Explanation(
        name,
        float(values[name]),
        low,
        high,
        unit_of(name),
        title,
        _readable(expression),
        _readable(put.visit(ast.parse(ast.unparse(expression), mode="eval").body)),
        rows,
        source,
    )


def rests_on(name: str, formulas: Mapping[str, Callable], inputs: Mapping[str, Row]) -> str:
    """Return the statuses of the inputs a figure rests on, at whatever depth."""
    reached = {name}
    for figure in reversed(formulas):
        if figure in reached and figure not in inputs:
            reached.update(_parameters(formulas[figure]))
    return ", ".join(sorted({row.status for key, row in inputs.items() if key in reached}))


def given(name: str, value: float, unit: str, note: str = "") -> Row:
    """Return an input the user gave, as a row."""
    return Row("job", name, name, None, float(value), None, unit, "the job", GIVEN, note)


def derived(name: str, value: float, unit: str, source: str) -> Row:
    """Return an input computed outside the chain (geometry, counts), as a row."""
    return Row("geometry", name, name, None, float(value), None, unit, source, "derived", "")


@lru_cache(maxsize=4096)
def renamed(row: Row, name: str, scale: float = 1.0, unit: str | None = None) -> Row:
    """Return a table's row under the name it has in the chain."""

    def by(x: float | None) -> float | None:
        return None if x is None else x * scale

    return Row(
        row.table,
        row.name,
        name,
        by(row.low),
        by(row.value),
        by(row.high),
        unit or row.unit,
        row.source,
        row.status,
        row.note,
    )


Chain = Mapping[str, Callable]
