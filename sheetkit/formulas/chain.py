"""A formula, and a chain of them: every figure computed in order, its names and limits checked.

A formula is a plain function whose name is the figure it gives and whose
parameters are the figures it needs; `@formula` makes it know its unit, its
source and where it holds.  The expression a reader is shown is the function's
own return expression; there is no second copy to drift away.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib import import_module
from math import inf
from operator import mul
from typing import Any

import numpy as np

from ..base.errors import Fault, OutOfRange, SheetkitError, unknown
from ..base.tables import Row

_UNITS = (
    ("_kj_per_mm", "kJ/mm"),
    ("_mm_per_m", "mm/m"),
    ("_g_per_m", "g/m"),
    ("_mm_min", "mm/min"),
    ("_m_min", "m/min"),
    ("_l_min", "l/min"),
    ("_mm2", "mm²"),
    ("_mm3", "mm³"),
    ("_bar", "bar"),
    ("_mpa", "MPa"),
    ("_kj", "kJ"),
    ("_kn", "kN"),
    ("_va", "VA"),
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

MONEY = "money"
"""The unit of a figure in the job's currency."""

Limits = tuple[float, float]
NOT_NEGATIVE: Limits = (0.0, inf)
"""Where a parameter without limits of its own holds: no quantity of a repair is below zero."""


@cache
def _ending(name: str) -> tuple[str, str]:
    return next((pair for pair in _UNITS if name.endswith(pair[0])), ("", "1"))


def unit_of(name: str) -> str:
    """Return the unit a figure's name ends in; "1" for a plain number."""
    return _ending(name)[1]


def stem(name: str) -> str:
    """Return a figure's name without the unit it ends in."""
    return name.removesuffix(_ending(name)[0])


def _limits_in_words(name: str, limits: Limits) -> str:
    unit = "" if unit_of(name) == "1" else f" {unit_of(name)}"
    low, high = limits
    return f"at least {low:g}{unit}" if high == inf else f"{low:g} to {high:g}{unit}"


def _check(name: str, value: Any, limits: Limits) -> None:
    """Refuse a number outside its limits, or an array of which any element is; NaN passes."""
    low, high = limits
    if getattr(value, "ndim", 0):
        if not value.size:
            return
        least, most = value.min(), value.max()
        if least != least:  # a NaN hides the others
            least, most = np.fmin.reduce(value, axis=None), np.fmax.reduce(value, axis=None)
        value = least if least < low else most
    if value < low or value > high:
        unit = "" if unit_of(name) == "1" else f" {unit_of(name)}"
        raise OutOfRange(
            Fault(
                name,
                f"{value:.6g}{unit}",
                f"must be {_limits_in_words(name, limits)}",
                "give a value inside these limits",
            )
        )


@dataclass(frozen=True, eq=False)
class Formula:
    """One formula: called like its function, it refuses what is outside its limits.

    Parameters
    ----------
    name : the figure it gives; the name ends in the figure's unit
    needs : the figures it needs, in the order of its function's parameters
    unit : of the figure; "1" for a plain number, "money" for the job's currency
    title : what it is, in a sentence
    source : where it comes from; empty for plain arithmetic
    valid : parameter -> (low, high) where it holds; what is not named is at least 0
    function : works on numbers and on arrays of one shape alike
    expression : the function's expression, where its source can't be read
    """

    name: str
    needs: tuple[str, ...]
    unit: str
    title: str
    source: str
    valid: Mapping[str, Limits] = field(repr=False)
    function: Callable[..., Any] = field(repr=False)
    expression: str = field(default="", repr=False)

    def __post_init__(self) -> None:
        strange = [name for name in self.valid if name not in self.needs]
        if strange:
            unknown("valid", strange[0], f"must be a parameter of {self.name}", self.needs)
        # what Python's own help and inspection read
        limits = (f"{n} {_limits_in_words(n, self.valid[n])}" for n in self.valid)
        parts = (
            self.title if self.expression else inspect.getdoc(self.function),
            f"Holds for: {', '.join(limits)}." if self.valid else "",
            f"Source: {self.source}" if self.source else "",
        )
        for key, value in {
            "__doc__": "\n\n".join(part for part in parts if part),
            "__name__": self.name,
            "__module__": self.function.__module__,
            "__wrapped__": self.function,
        }.items():
            object.__setattr__(self, key, value)

    def limits(self, parameter: str) -> Limits:
        """Return (low, high) of a parameter."""
        return self.valid.get(parameter, NOT_NEGATIVE)

    def __call__(self, *values: Any, **named: Any) -> Any:
        """Return the figure; OutOfRange names the first parameter outside its limits."""
        for name, value in (*zip(self.needs, values, strict=False), *named.items()):
            _check(name, value, self.limits(name))
        return self.function(*values, **named)

    def named(self, name: str) -> Formula:
        """Return the formula giving its figure under another name."""
        return self if name == self.name else replace(self, name=name)

    def __reduce__(self) -> tuple:
        # the module's own name leads to this object, not to the bare function it wraps
        home = getattr(import_module(self.function.__module__), self.function.__name__, None)
        if isinstance(home, Formula) and home.function is self.function:
            return _at_home, (self.function.__module__, self.function.__name__, self.name)
        return Formula, (
            self.name,
            self.needs,
            self.unit,
            self.title,
            self.source,
            dict(self.valid),
            self.function,
            self.expression,
        )


def _at_home(module: str, function: str, name: str) -> Formula:
    return getattr(import_module(module), function).named(name)


def formula(
    *,
    unit: str | None = None,
    valid: Mapping[str, Limits] | None = None,
    source: str = "",
) -> Callable[[Callable], Formula]:
    """Make a function of figures a `Formula`.

    Parameters
    ----------
    unit : default what the function's name ends in
    valid : parameter -> (low, high) where the formula holds; others are at least 0
    source : where the formula comes from
    """

    def made(function: Callable) -> Formula:
        title = (inspect.getdoc(function) or function.__name__).partition("\n\n")[0]
        return Formula(
            function.__name__,
            tuple(inspect.signature(function).parameters),
            unit_of(function.__name__) if unit is None else unit,
            " ".join(title.split()),
            source,
            dict(valid or {}),
            function,
        )

    return made


def scaled(formula: Formula, by: str) -> tuple[Formula, Formula]:
    """Return a formula as `book_...`, and one of its old name that scales it by an input.

    Parameters
    ----------
    formula : Formula
    by : the input's name, a plain number
    """
    book = formula.named(f"book_{formula.name}")
    what = formula.title.partition(":")[0].rstrip(".")
    return book, Formula(
        formula.name,
        (book.name, by),
        formula.unit,
        f"{what}: the book's x your own factor.",
        "",
        {},
        mul,
        f"{book.name} * {by}",
    )


class Chain(Mapping[str, Formula]):
    """Formulas in the order they are computed, by name.

    Parameters
    ----------
    formulas : in their order
    inputs : names of what is known before the first formula

    Raises
    ------
    UnknownName
        A formula needs what is neither an input nor an earlier figure.
    SheetkitError
        Two figures, or a figure and an input, have one name.
    """

    def __init__(self, formulas: Iterable[Formula], inputs: Iterable[str]):
        self._formulas: dict[str, Formula] = {}
        self._limits: dict[str, Limits] = {}
        names = dict.fromkeys(inputs)
        known = dict(names)
        for one in formulas:
            if one.name in known:
                raise SheetkitError(
                    Fault(
                        "chain",
                        f"{one.name} twice",
                        "every figure and input must have a name of its own",
                        "name one of them otherwise",
                    )
                )
            for need in one.needs:
                if need not in known:
                    unknown(
                        f"chain, {one.name}",
                        need,
                        "must be an input or an earlier figure",
                        known,
                    )
                if need in names:
                    low, high = self._limits.get(need, (-inf, inf))
                    limits = one.limits(need)
                    self._limits[need] = max(low, limits[0]), min(high, limits[1])
            self._formulas[one.name] = one
            known[one.name] = None
        self._steps = [(one.name, one.needs, one.function) for one in self._formulas.values()]

    def __getitem__(self, name: str) -> Formula:
        return self._formulas[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._formulas)

    def __len__(self) -> int:
        return len(self._formulas)

    def check(self, values: Mapping[str, Any]) -> None:
        """Refuse inputs outside the limits of the formulas that need them."""
        for name, limits in self._limits.items():
            value = values[name]
            if type(value) is not float or not limits[0] <= value <= limits[1]:
                _check(name, value, limits)

    def evaluate(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """Return the inputs' values with every figure added, in their order.

        Works on numbers and on arrays of one shape alike.

        Raises
        ------
        OutOfRange
            An input is outside what a formula that needs it holds for.
        """
        self.check(values)
        known = dict(values)
        for name, needs, function in self._steps:
            known[name] = function(*[known[need] for need in needs])
        return known

    def rests_on(self, name: str, inputs: Mapping[str, Row]) -> str:
        """Return the statuses of the inputs a figure rests on, at whatever depth.

        Raises
        ------
        UnknownName
            There is no such figure or input; the nearest names are given.
        """
        if name not in self and name not in inputs:
            unknown("rests_on", name, "must be a figure or an input", [*inputs, *self])
        reached = {name}
        for figure in reversed(self._formulas):
            if figure in reached:
                reached.update(self._formulas[figure].needs)
        return ", ".join(sorted({row.status for key, row in inputs.items() if key in reached}))
