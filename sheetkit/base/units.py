"""Text or number at the boundary -> sheetkit's internal number, and back.

Inside sheetkit every number is in one internal unit for its dimension:
mm, mm/min, s, A, V, l, l/min, g, bar, deg C, degree, kJ/mm, W/(m K).
pint knows the conversions; this file decides what text is allowed to reach it.
"""

from __future__ import annotations

import math
import re
from functools import cache, lru_cache

from .errors import Fault, SheetkitError, shown

INTERNAL = {
    "length": "mm",
    "area": "mm**2",
    "time": "s",
    "duration": "hour",
    "current": "A",
    "voltage": "V",
    "speed": "mm/min",
    "feed": "m/min",
    "flow": "l/min",
    "volume": "l",
    "mass": "g",
    "pressure": "bar",
    "temperature": "degC",
    "angle": "degree",
}
"""Dimension -> the internal unit, as pint spells it."""

EXAMPLE = {
    "length": '25, "25 mm" or "1 in"',
    "time": '"0.5 s"',
    "duration": '"2 h"',
    "current": '"60 A"',
    "voltage": '"16 V"',
    "speed": '"400 mm/min" or "16 in/min"',
    "feed": '"3 m/min" or "125 in/min"',
    "flow": '"10 l/min" or "25 ft^3/h"',
    "volume": '"10 l"',
    "mass": '"5 kg" or "10 lb"',
    "pressure": '"150 bar" or "2200 psi"',
    "temperature": '"60 degC" or "140 degF"',
    "angle": '"90 deg"',
}

MM_PER_INCH = 25.4


def length_unit_mm(units: str) -> float:
    """Return how many mm one unit of length is: 1 for "mm", 25.4 for "in"."""
    return MM_PER_INCH if units == "in" else 1.0


_NUMBER = r"[+-]?(?:\d{1,12}(?:\.\d{0,12})?|\.\d{1,12})(?:[eE][+-]?\d{1,2})?"
_QUANTITY = re.compile(
    rf"\s*(?P<whole>{_NUMBER})"
    r"(?:(?:\s+|-)(?P<num>\d{1,6})/(?P<den>\d{1,6})|/(?P<den_only>\d{1,6}))?"
    r"\s*(?P<unit>[^\d\s+\-./].{0,30})?\s*"
)
_FACTOR = r"[A-Za-zµ°\"']+(?:(?:\^|\*\*)[23]|[²³])?"


# no bare numbers and no power of a power: pint would work out 3^3^33333
_UNIT = re.compile(rf"{_FACTOR}(?: ?[/*· ] ?{_FACTOR})*")
_GAUGE = re.compile(r"\s*(\d{1,2})\s*(?:ga|gauge|gage|MSG)\.?\s*", re.IGNORECASE)
_SPELLINGS = {
    '"': "in",
    "'": "ft",
    "°C": "degC",
    "C": "degC",
    "°F": "degF",
    "F": "degF",
    "°": "degree",
    "cfh": "ft**3/h",
    "scfh": "ft**3/h",
    "ipm": "in/min",
    "lpm": "l/min",
    "mil": "thou",
}
_TYPED = str.maketrans({
    "\u2212": "-", "\u2103": "°C", "\u2109": "°F", "\u03bc": "\u00b5", "\u00ba": "°",
    "\u02da": "°", "\u2033": '"', "\u201d": '"', "\u2032": "'", "\u2019": "'",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
})  # fmt: skip
"""Signs as word processors and telephones set them, in the plain ones that are read."""


@cache
def _registry():
    """The one pint registry, made at first use (it costs a fifth of a second)."""
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@lru_cache(maxsize=512)
def _conversion(unit: str, internal: str) -> tuple[float, float]:
    """Return (factor, offset) from `unit` to `internal`.

    Raises KeyError if pint doesn't know the unit, ValueError if the dimensions differ.
    """
    spelled = _SPELLINGS.get(unit, unit)
    spelled = spelled.replace("^", "**").replace("²", "**2").replace("³", "**3").replace("·", "*")
    registry = _registry()
    try:
        source = registry.Unit(spelled)
        if source.dimensionality == registry.Unit(internal).dimensionality:
            zero = registry.Quantity(0.0, source).to(internal).magnitude
            # a long step keeps the offset units' factor exact to the last digit
            far = registry.Quantity(1e6, source).to(internal).magnitude
            return (far - zero) / 1e6, zero
    except Exception as error:
        # pint's own parser raises a dozen kinds; to the user they're all one
        raise KeyError(unit) from error
    raise ValueError(f"{unit} and {internal} measure different things")


def gauge(text: str) -> str | None:
    """Return the gauge number in a text such as "18 gauge" or "18 ga", else None."""
    match = _GAUGE.fullmatch(text)
    return match.group(1) if match else None


def parse(value: object, dimension: str, *, field: str, bare: str | None = None) -> float:
    """Turn a number or a text with its unit into sheetkit's internal number.

    Parameters
    ----------
    value : int, float or str
        A number is in `bare`; a text carries its unit: "1/2 in", "25 ft^3/h",
        "1 1/2 in", "0.8 mm".  A text without unit is read as a number.
    dimension : str
        A key of `INTERNAL`.
    field : str
        The field's name, for the fault.
    bare : str, optional
        The unit of a number without one; default the internal unit.

    Returns
    -------
    float
        Finite, in ``INTERNAL[dimension]``.

    Raises
    ------
    SheetkitError
        Not a number, not finite, unknown unit, or a unit of another dimension.

    Source
    ------
    Conversion factors: pint's registry (SI Brochure; NIST SP 811 appendix B).
    """
    internal = INTERNAL[dimension]
    example = EXAMPLE.get(dimension, f'"1 {internal}"')
    unit = bare or internal

    def refuse(limit: str) -> SheetkitError:
        return SheetkitError(Fault(field, shown(value), limit, f"write it as {example}"))

    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise refuse(f"must be a number or a text with a unit of {dimension}")
    try:
        number, said = _number_and_unit(value) if isinstance(value, str) else (float(value), None)
        unit = said or bare or internal
        factor, offset = _factor(unit, internal)
    except OverflowError:
        raise refuse("must be a finite number") from None
    except _NoQuantity as error:
        hint = "; the decimal sign is a point" if isinstance(value, str) and "," in value else ""
        raise refuse(f"must be {error.args[0]}{hint}".replace("(unit)", dimension)) from None
    except ValueError:
        raise refuse(f"must be a {dimension}; {shown(unit)} is a unit of something else") from None
    except KeyError:
        limit = f"must be in a unit of {dimension}; {shown(unit)} is not a known unit"
        raise refuse(limit) from None
    result = number * factor + offset
    if not math.isfinite(result):
        raise refuse("must be a finite number")
    return result


class _NoQuantity(Exception):
    """A text that is no number with a unit; says what it must be."""


def _number_and_unit(text: str) -> tuple[float, str | None]:
    """Return the number in a text and the unit behind it, if there is one."""
    match = _QUANTITY.fullmatch(text.translate(_TYPED)) if len(text) <= 60 else None
    if not match:
        raise _NoQuantity("one number with a unit of (unit)")
    number, below = float(match["whole"]), float(match["den"] or match["den_only"] or 1)
    if match["num"] and (not below or "." in match["whole"]):
        raise _NoQuantity("a plain fraction such as 1 1/2")
    if not below:
        raise _NoQuantity("a number that doesn't divide by zero")
    if match["num"]:
        number += math.copysign(float(match["num"]) / below, number)
    else:
        number /= below
    unit = (match["unit"] or "").strip() or None
    if unit and not _UNIT.fullmatch(unit):
        raise _NoQuantity("a number that ends in a unit of (unit)")
    return number, unit


def _factor(unit: str, internal: str) -> tuple[float, float]:
    """Return (factor, offset) of a unit, also of one typed in capitals (see `_conversion`)."""
    if unit == internal:
        return 1.0, 0.0
    try:
        return _conversion(unit, internal)
    except (KeyError, ValueError):
        if not unit.isupper():
            raise
        try:
            return _conversion(unit.lower(), internal)
        except (KeyError, ValueError):
            pass
        raise
