"""Lengths, masses and other figures as text, metric or inch."""

from __future__ import annotations

from .units import INTERNAL, _conversion

_INCH_SHOWN = {
    "length": ("in", 2),
    "thickness": ("in", 4),
    "wire": ("in", 3),
    "area": ("in**2", 1),
    "speed": ("in/min", 1),
    "feed": ("in/min", 0),
    "flow": ("ft**3/h", 1),
    "volume": ("ft**3", 2),
    "mass": ("lb", 3),
    "filler": ("oz", 2),
    "temperature": ("degF", 0),
    "pressure": ("psi", 0),
    "wire_length": ("ft", 1),
    "energy": ("kJ/in", 3),
    "heat": ("kJ", 2),
}
_METRIC_SHOWN = {
    "length": ("mm", 0),
    "thickness": ("mm", 2),
    "wire": ("mm", 1),
    "area": ("cm**2", 0),
    "speed": ("mm/min", 0),
    "feed": ("m/min", 2),
    "flow": ("l/min", 1),
    "volume": ("l", 1),
    "mass": ("g", 1),
    "filler": ("g", 1),
    "temperature": ("degC", 0),
    "pressure": ("bar", 0),
    "wire_length": ("m", 1),
    "energy": ("kJ/mm", 3),
    "heat": ("kJ", 2),
}
_MEASURED_IN = {
    "thickness": "mm", "wire": "mm", "wire_length": "mm", "energy": "kJ/mm",
    "heat": "kJ", "filler": "g",
}  # fmt: skip
_SHOWN_AS = {
    "in**2": "in²",
    "cm**2": "cm²",
    "ft**3": "ft³",
    "ft**3/h": "ft³/h",
    "degC": "°C",
    "degF": "°F",
}

_WIRE_SOLD_IN = {
    0.6: 0.024,
    0.8: 0.030,
    0.9: 0.035,
    1.0: 0.040,
    1.2: 0.047,
    1.6: 1 / 16,
    2.4: 3 / 32,
}
"""The inch size a metric wire or rod is sold as (AWS A5.02; value from memory)."""


def converted(value: float, kind: str, *, units: str = "mm") -> tuple[float, str, int]:
    """Return an internal number in the unit it is shown in, that unit, and the usual digits.

    `kind` is a dimension, or "thickness", "wire" or "wire_length", which are lengths
    shown with other digits, or "energy", an arc energy by the length of seam, or "filler",
    a mass of wire and weld metal (ounces); `units` is "mm" or "in".  A metric wire is given in inches by the size it is sold as
    (0.8 mm: 0.030 in).
    """
    table = _INCH_SHOWN if units == "in" else _METRIC_SHOWN
    internal = _MEASURED_IN.get(kind) or INTERNAL[kind]
    unit, digits = table.get(kind, (internal, 1))
    conversion = _conversion(internal, unit) if unit != internal else (1.0, 0.0)
    if conversion is None:
        raise KeyError(kind)
    factor, offset = conversion
    sold = _WIRE_SOLD_IN.get(round(value, 3)) if kind == "wire" and units == "in" else None
    number = value * factor + offset if sold is None else sold
    return number, _SHOWN_AS.get(unit, unit), digits


def mass_kind(grams: float) -> str:
    """Return the kind a mass is shown as: what is under a pound is shown in ounces."""
    return "filler" if abs(converted(grams, "mass", units="in")[0]) < 1 else "mass"


def show(value: float | None, kind: str, *, units: str = "mm", digits: int | None = None) -> str:
    """Give an internal number as text with its unit, metric or inch; see `converted`.

    None is shown as a dash; a mass under a pound in ounces.
    """
    if value is None:
        return "–"
    if kind == "mass":
        kind = mass_kind(value)
    number, unit, usual = converted(value, kind, units=units)
    return f"{number:.{usual if digits is None else digits}f} {unit}"
