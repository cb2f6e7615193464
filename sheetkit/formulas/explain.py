"""How a figure came about: the formula's own expression with its numbers, inputs and sources."""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from html import escape
from math import pi
from typing import Any

import numpy as np

from ..base.errors import unknown
from ..base.tables import Row
from .chain import Chain, Formula
from .montecarlo import draw
from .ranges import Ranges, Span


@cache
def _expression(formula: Formula) -> str:
    """Return a formula's return expression as code."""
    if formula.expression:
        return formula.expression
    tree = ast.parse(textwrap.dedent(inspect.getsource(formula.function)))
    returned = [node.value for node in ast.walk(tree) if isinstance(node, ast.Return)]
    if len(returned) != 1 or returned[0] is None:
        raise TypeError(f"{formula.name} must have one return expression")
    return ast.unparse(returned[0])


class _Put(ast.NodeTransformer):
    """Put numbers in for names: the figures', and the constants' of the formula's own module."""

    def __init__(self, formula: Formula, values: Mapping[str, Any]):
        self.needs = formula.needs
        self.values = values
        self.known = getattr(formula.function, "__globals__", {})

    def visit_Name(self, node: ast.Name) -> ast.AST:
        if node.id in self.values:
            return ast.Name(f"{float(self.values[node.id]):.6g}", ast.Load())
        constant = None if node.id in self.needs else self.known.get(node.id)
        if isinstance(constant, int | float) and constant is not pi:
            return ast.Name(f"{constant:.12g}", ast.Load())
        return node

    def visit_Attribute(self, node: ast.Attribute) -> ast.AST:
        used = getattr(self.known.get(getattr(node.value, "id", "")), node.attr, None)
        return ast.Name("max", ast.Load()) if used is np.maximum else node


def _readable(formula: Formula, values: Mapping[str, Any]) -> str:
    text = ast.unparse(_Put(formula, values).visit(ast.parse(_expression(formula), mode="eval")))
    for old, new in ((" ** 2", "²"), (" ** 4", "⁴"), (" * ", " × ")):
        text = text.replace(old, new)
    return text


@dataclass(frozen=True)
class Explanation:
    """How one figure came about; `str()` gives it as text.

    `likely` is the middle of the draws, `low` and `high` are their one-in-ten
    ends; an input's are its row's.  `value` is the formula's with every input at
    its own value, as if every step went as usual; `numbers` and the figures
    among `inputs` are that chain's too, so that it can be reckoned through.
    """

    name: str
    value: float
    low: float
    likely: float
    high: float
    unit: str
    title: str
    formula: str
    numbers: str
    inputs: tuple[Row, ...]
    source: str

    def __str__(self) -> str:
        unit = "" if self.unit == "1" else f" {self.unit}"
        span = f" (range {self.low:.4g} to {self.high:.4g})" if self.low != self.high else ""
        differs = self.low != self.high and self.likely != self.value
        word = "likely " if differs else ""
        lines = [f"{self.name} = {word}{self.likely:.4g}{unit}{span}", f"  {self.title}"]
        if self.formula and differs:
            lines += [
                f"  = {self.formula}",
                "  If every step goes as usual:",
                f"  = {self.numbers} = {self.value:.4g}{unit}",
            ]
        elif self.formula:
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

    def __repr__(self) -> str:
        return str(self)

    def _repr_html_(self) -> str:
        return f"<pre>{escape(str(self))}</pre>"


def explain(
    name: str,
    chain: Chain,
    inputs: Mapping[str, Row],
    values: Mapping[str, float],
    spans: Mapping[str, Span] | None = None,
) -> Explanation:
    """Return how the figure or input `name` came about, with its numbers put in.

    Raises
    ------
    UnknownName
        There is no such figure; the nearest names are given.
    """
    if name not in values:
        unknown("explain", name, "must be a figure of this estimate", values)
    spans = Ranges(chain.evaluate(draw(inputs)), inputs, values) if spans is None else spans
    if name in inputs:
        row = inputs[name]
        return Explanation(
            name, row.value, *spans[name], row.unit, row.note or "an input", "", "", (row,), ""
        )

    def figure(key: str) -> Row:
        told, unit = f'explain("{key}")', chain[key].unit
        return Row("figures", key, key, None, float(values[key]), None, unit, told, "derived", "")

    formula = chain[name]
    return Explanation(
        name,
        float(values[name]),
        *spans[name],
        formula.unit,
        formula.title,
        _readable(formula, {}),
        _readable(formula, {key: values[key] for key in formula.needs}),
        tuple(inputs[key] if key in inputs else figure(key) for key in formula.needs),
        formula.source,
    )
