"""The errors a user can meet, and the faults they are made of.

A fault names the field, the value received, the limit it broke and the
remedy.  All faults of one job are collected and raised together.
"""

from __future__ import annotations

import reprlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import NoReturn, TypeVar

import numpy as np

Number = TypeVar("Number", bound=float | Sequence[float] | np.ndarray)


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with an input, in words a user can act on."""

    field: str
    value: str
    limit: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.field}: got {self.value}; {self.limit}; {self.remedy}"


def plain(text: str) -> str:
    """Return a user's text with its control characters escaped, so that it can't steer a terminal."""
    return "".join(c if c.isprintable() else repr(c)[1:-1] for c in text)


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 3] + "..."


def unquoted(text: str, *, longest: int = 60) -> str:
    """Give a name as one short line of text, as `shown` does but without quotes."""
    return _cut(plain(text[: longest + 1]), longest)


_SHORT = reprlib.Repr()
_SHORT.maxlist = _SHORT.maxtuple = _SHORT.maxdict = 20
_SHORT.maxstring = _SHORT.maxother = _SHORT.maxlong = 200
"""Looks no further into a value of millions of parts than one line can show."""


def shown(value: object, *, longest: int = 60) -> str:
    """Give `value` as one short line of text for a fault.

    Control characters are escaped, so that a hostile title can't write on
    the user's terminal.
    """
    try:
        text = value if isinstance(value, str) else _SHORT.repr(value)
    except (RecursionError, ValueError):  # an integer of thousands of digits
        text = f"a huge {type(value).__name__}"
    text = plain(text[: longest + 1])
    return _cut(f'"{text}"' if isinstance(value, str) else text, longest)


class SheetkitError(ValueError):
    """The root of sheetkit's error tree; `faults` holds every fault found."""

    def __init__(self, faults: Iterable[Fault] | Fault):
        self.faults = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class JobRefused(SheetkitError):
    """A job file or job can't be used; nothing was changed."""


class NotWritten(SheetkitError, OSError):
    """The system refused to write a file; the one before is whole."""

    __str__ = Exception.__str__


class OutOfRange(SheetkitError):
    """A number given to a calculation is outside the range it is valid in."""


class UnknownName(SheetkitError, LookupError):
    """No figure, table or row has this name; the nearest known ones are told."""

    __str__ = Exception.__str__


def nearest(wanted: str, known: Iterable[str]) -> str:
    """Return a remedy that names the known names nearest to the wanted one, or the first few."""
    names = tuple(dict.fromkeys(known))
    near = get_close_matches(str(wanted), names, n=5, cutoff=0.5) or names[:12]
    return f"try {', '.join(near)}" if near else "there is none"


def unknown(field: str, wanted: str, limit: str, known: Iterable[str]) -> NoReturn:
    """Raise UnknownName for a name that is not among the known ones; the nearest are its remedy."""
    raise UnknownName(Fault(field, shown(wanted), limit, nearest(wanted, known)))


def refuse(field: str, value: object, limit: str, remedy: str) -> NoReturn:
    """Raise OutOfRange naming field, value, limit and remedy."""
    raise OutOfRange(Fault(field, str(value), limit, remedy))


def check(field: str, value: Number, low: float, high: float, unit: str = "") -> Number:
    """Return a number or array if all of it lies in low..high (NaN never does), else refuse it."""
    numbers = np.asarray(value, float)
    if not np.all((numbers >= low) & (numbers <= high)):
        given = f"{numbers:g}" if numbers.ndim == 0 else str(numbers.tolist())
        limit = f"must be {low:g} to {high:g} {unit}".strip()
        refuse(field, f"{given} {unit}".strip(), limit, "give a value inside these limits")
    return value
