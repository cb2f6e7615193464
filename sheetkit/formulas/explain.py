"""How a figure came about: the formula's own expression with its numbers, inputs and sources."""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from ..base.errors import Fault, SheetkitError, shown
from ..base.tables import Row
from .chain import _parameters, unit_of
from .ranges import ranges


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
