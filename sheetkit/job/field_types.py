"""The job file's field types: each reads one value, or refuses it with its faults.

A number means the job's `drawn_in` unit for lengths and the internal unit
otherwise; a text carries its unit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import BeforeValidator, Field, GetCoreSchemaHandler, PlainValidator, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from ..base import tables, units
from ..base.errors import Fault, SheetkitError, shown
from ..geometry import ring

SMALLEST_SHEET_MM, LARGEST_SHEET_MM = 0.4, 4.0
"""Sheet a small wire-feed machine welds, with room for doubled floors (guess)."""
MOST_TOLD = 20
"""Points of one ring or line whose faults are told."""

Points = tuple[tuple[float, float], ...]


def refusal(*faults: Fault) -> PydanticCustomError:
    """Return the error by which pydantic hands faults on."""
    return PydanticCustomError(
        "fault", "{text}", {"text": "; ".join(map(str, faults)), "faults": faults}
    )


def _drawn_in(info: ValidationInfo) -> str:
    return (info.context or {}).get("drawn_in", "mm")


@dataclass(frozen=True)
class Quantity:
    """The mark of a quantity's field: its dimension, and its limits in internal units."""

    dimension: str
    low: float
    high: float
    example: str = ""

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.with_info_before_validator_function(self.read, handler(source))

    def read(self, value: Any, info: ValidationInfo) -> float:
        """Return the quantity in its internal unit; refuse what is none or outside the limits."""
        length, drawn_in = self.dimension == "length", _drawn_in(info)
        try:
            number = units.parse(value, self.dimension, field="", bare=drawn_in if length else None)
        except SheetkitError as error:
            raise refusal(*error.faults) from None
        if self.low <= number <= self.high:
            return number
        scale = units.length_unit_mm(drawn_in) if length else 1.0
        unit = "in" if scale != 1.0 else units.INTERNAL[self.dimension]
        raise refusal(
            Fault(
                "",
                shown(value) if isinstance(value, str) else f"{value:.6g} {unit}",
                f"must be {self.low / scale:.4g} to {self.high / scale:.4g} {unit}",
                f"write it as {self.example or units.EXAMPLE[self.dimension]}",
            )
        )


@dataclass(frozen=True)
class _Thickness(Quantity):
    """A sheet's thickness: a length, or a gauge of the Manufacturers' Standard table."""

    def read(self, value: Any, info: ValidationInfo) -> float:
        number = units.gauge(value) if isinstance(value, str) else None
        if number is None:
            return super().read(value, info)
        try:
            return tables.row("sheet_gauges", number, "thickness").value
        except LookupError:
            raise refusal(
                Fault(
                    "",
                    shown(value),
                    "must be a gauge of the Manufacturers' Standard table, 10 to 28",
                    'write the thickness itself, such as "1.2 mm"',
                )
            ) from None


def _plain_points(value: list | tuple, scale: float) -> Points | None:
    """Return points that are pairs of plain numbers, quickly; None if any is something else."""
    if not all(type(point) in (list, tuple) and len(point) == 2 for point in value):
        return None
    if not {type(number) for point in value for number in point} <= {int, float}:
        return None
    try:
        with np.errstate(over="ignore"):  # what is beyond all numbers is refused as such
            at = np.asarray(value, float).reshape(-1, 2) * scale
    except OverflowError:
        return None
    return tuple(map(tuple, at.tolist())) if np.isfinite(at).all() else None


def _read_points(value: Any, info: ValidationInfo) -> Points:
    drawn_in = _drawn_in(info)
    if not isinstance(value, list | tuple):
        raise refusal(Fault("", shown(value), "must be a list of points [x, y]", "draw it again"))
    plain = _plain_points(value, units.length_unit_mm(drawn_in))
    if plain is not None:
        return plain
    points: list[tuple[float, float]] = []
    faults: list[Fault] = []
    for index, point in enumerate(value):
        try:
            points.append(_read_one_point(point, f"[{index}]", drawn_in))
        except SheetkitError as error:
            faults += error.faults
        if len(faults) >= MOST_TOLD:
            break
    if faults:
        raise refusal(*faults[:MOST_TOLD])
    return tuple(points)


def _read_one_point(point: Any, field: str, drawn_in: str) -> tuple[float, float]:
    if not isinstance(point, list | tuple) or len(point) != 2:
        raise SheetkitError(
            Fault(field, shown(point), "must be one point [x, y]", "give two numbers")
        )
    x, y = (units.parse(number, "length", field=field, bare=drawn_in) for number in point)
    return x, y


def _read_ring(value: Any, info: ValidationInfo) -> ring.Ring:
    points = _read_points(value, info)
    try:
        return ring.Ring.drawn(points, field="")
    except SheetkitError as error:
        raise refusal(*error.faults) from None


def _read_point(value: Any, info: ValidationInfo) -> tuple[float, float]:
    return _read_points([value], info)[0]


def _read_line(value: Any, info: ValidationInfo) -> Points:
    points = _read_points(value, info)
    different = len(set(points))
    if different < 2:
        raise refusal(
            Fault(
                "",
                f"{different} different points",
                "must have at least 2 different points",
                "draw the line again",
            )
        )
    return points


def _read_process(value: Any) -> Any:
    text = str(value) if isinstance(value, int) and not isinstance(value, bool) else value
    if text == "111":
        raise refusal(
            Fault(
                "",
                '"111"',
                "covered electrodes are not for thin sheet: their lowest steady current "
                "burns through below about 2 mm",
                'choose "135", "136", "114" or "141"',
            )
        )
    if text not in ("135", "136", "114", "141"):
        raise refusal(
            Fault(
                "",
                shown(value),
                "must be a process number of ISO 4063",
                'choose "135" (MIG/MAG, solid wire), "136" (MIG/MAG, flux-cored), '
                '"114" (flux-cored, gasless) or "141" (TIG)',
            )
        )
    return text


def _no_truth(value: Any) -> Any:
    if isinstance(value, bool):
        raise refusal(
            Fault("", shown(value).lower(), "must be a number", "write the number, or leave it out")
        )
    return value


_GAS = re.compile(r"(I1|M20|M21|C1)(-[A-Za-z0-9./-]{1,20})?")


def _read_gas(value: Any) -> str:
    if isinstance(value, str) and _GAS.fullmatch(value):
        return value
    raise refusal(
        Fault(
            "",
            shown(value),
            "must be an ISO 14175 designation of group I1, M20, M21 or C1",
            'write it as "M21" or "M21-ArC-18"',
        )
    )


CELL_SIGNS = frozenset(";,=+-@|\"'")
"""Signs that end a cell, or begin a formula, in one spreadsheet or another."""


def _read_currency(value: Any) -> str:
    fits = isinstance(value, str) and value.strip() and len(value) <= 8 and value.isprintable()
    if fits and not set(value) & CELL_SIGNS:
        return value
    raise refusal(
        Fault(
            "", shown(value), "must be a currency's letters or sign, at most 8", 'write it as "EUR"'
        )
    )


def _read_day(value: Any) -> Any:
    try:
        if value is None or date.fromisoformat(value).isoformat() == value:
            return value
    except (TypeError, ValueError):
        pass
    raise refusal(Fault("", shown(value), "must be a day, year first", 'write it as "2026-11-26"'))


Thickness = Annotated[
    float,
    _Thickness("length", SMALLEST_SHEET_MM, LARGEST_SHEET_MM, '0.9, "0.9 mm" or "20 gauge"'),
]
Ring = Annotated[ring.Ring, PlainValidator(_read_ring)]
Line = Annotated[Points, BeforeValidator(_read_line)]
Point = Annotated[tuple[float, float], BeforeValidator(_read_point)]
Text = Annotated[str, Field(max_length=20_000)]
Name = Annotated[str, Field(max_length=200)]
NotTruth = BeforeValidator(_no_truth)
"""Refuses true and false, which Python counts as 1 and 0."""
Percent = Annotated[float, NotTruth, Field(ge=0, le=100, allow_inf_nan=False)]
Money = Annotated[float, NotTruth, Field(ge=0, le=1_000_000, allow_inf_nan=False)]
Currency = Annotated[str, BeforeValidator(_read_currency)]
Day = Annotated[str, BeforeValidator(_read_day)]
"""A day as ISO 8601 writes it."""
Process = Annotated[Literal["135", "136", "114", "141"], BeforeValidator(_read_process)]
Gas = Annotated[str, BeforeValidator(_read_gas)]
