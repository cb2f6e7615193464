"""The job file's field types: each reads one value, or refuses it with its faults.

A number means the job's `drawn_in` unit for lengths and the internal unit
otherwise; a text carries its unit.
"""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from ..base import tables, units
from ..base.errors import Fault, SheetkitError, shown
from ..geometry.ring import ring_faults

SMALLEST_SHEET_MM, LARGEST_SHEET_MM = 0.4, 4.0
"""Sheet a small wire-feed machine welds, with room for doubled floors (guess)."""


def refusal(faults: list[Fault]) -> PydanticCustomError:
    """Return the error by which pydantic hands faults on."""
    return PydanticCustomError(
        "fault", "{text}", {"text": "; ".join(map(str, faults)), "faults": faults}
    )


def quantity(dimension: str, low: float, high: float, *, example: str = ""):
    """Return the field type of a quantity between `low` and `high` internal units."""
    internal = units.INTERNAL[dimension]

    def read(value: Any, info) -> float:
        drawn_in = (info.context or {}).get("drawn_in", "mm")
        try:
            number = units.parse(
                value, dimension, field="", bare=drawn_in if dimension == "length" else None
            )
        except SheetkitError as error:
            raise refusal(list(error.faults)) from None
        if not low <= number <= high:
            given = shown(value) if isinstance(value, str) else f"{value:.6g}"
            scale = 25.4 if dimension == "length" and drawn_in == "in" else 1.0
            unit = "in" if scale != 1.0 else internal
            raise refusal(
                [
                    Fault(
                        "",
                        f"{given}{'' if isinstance(value, str) else ' ' + unit}",
                        f"must be {low / scale:.4g} to {high / scale:.4g} {unit}",
                        f"write it as {example or units.EXAMPLE[dimension]}",
                    )
                ]
            )
        return number

    return Annotated[float, BeforeValidator(read)]


def _read_thickness(value: Any, info) -> float:
    number = units.gauge(value) if isinstance(value, str) else None
    if number is None:
        return _plain_thickness_reader(value, info)
    try:
        return tables.row("sheet_gauges", number, "thickness").value
    except LookupError:
        raise refusal(
            [
                Fault(
                    "",
                    shown(value),
                    "must be a gauge of the Manufacturers' Standard table, 10 to 28",
                    'write the thickness itself, such as "1.2 mm"',
                )
            ]
        ) from None


_Thickness = quantity(
    "length", SMALLEST_SHEET_MM, LARGEST_SHEET_MM, example='0.9, "0.9 mm" or "20 gauge"'
)
_plain_thickness_reader = _Thickness.__metadata__[0].func


def _read_points(value: Any, info) -> tuple[tuple[float, float], ...]:
    drawn_in = (info.context or {}).get("drawn_in", "mm")
    scale = 25.4 if drawn_in == "in" else 1.0
    if not isinstance(value, list | tuple):
        raise refusal([Fault("", shown(value), "must be a list of points [x, y]", "draw it again")])
    points, faults = [], []
    for index, point in enumerate(value):
        if not isinstance(point, list | tuple) or len(point) != 2:
            faults.append(
                Fault(f"[{index}]", shown(point), "must be one point [x, y]", "give two numbers")
            )
            continue
        try:
            points.append(
                tuple(
                    c * scale
                    if type(c) in (int, float) and abs(c) < 1e9
                    else units.parse(c, "length", field=f"[{index}]", bare=drawn_in)
                    for c in point
                )
            )
        except SheetkitError as error:
            faults += error.faults
    if faults:
        raise refusal(faults[:20])
    return tuple(points)


def _read_ring(value: Any, info) -> tuple[tuple[float, float], ...]:
    points = _read_points(value, info)
    faults = ring_faults(points, "")
    if faults:
        raise refusal(faults)
    return points[:-1] if points[0] == points[-1] else points


def _read_point(value: Any, info) -> tuple[float, float]:
    return _read_points([value], info)[0]


def _read_line(value: Any, info) -> tuple[tuple[float, float], ...]:
    points = _read_points(value, info)
    if len(points) < 2 or len(set(points)) < 2:
        raise refusal(
            [
                Fault(
                    "",
                    f"{len(set(points))} different points",
                    "must have at least 2 different points",
                    "draw the line again",
                )
            ]
        )
    return points


def _read_process(value: Any) -> Any:
    text = str(value) if isinstance(value, int) and not isinstance(value, bool) else value
    if text == "111":
        raise refusal(
            [
                Fault(
                    "",
                    '"111"',
                    "covered electrodes are not for thin sheet: their lowest steady current "
                    "burns through below about 2 mm",
                    'choose "135", "136", "114" or "141"',
                )
            ]
        )
    if text not in ("135", "136", "114", "141"):
        raise refusal(
            [
                Fault(
                    "",
                    shown(value),
                    "must be a process number of ISO 4063",
                    'choose "135" (MIG/MAG, solid wire), "136" (MIG/MAG, flux-cored), '
                    '"114" (flux-cored, gasless) or "141" (TIG)',
                )
            ]
        )
    return text


_GAS = re.compile(r"(I1|M20|M21|C1)(-[A-Za-z0-9./-]{1,20})?")


def _read_gas(value: Any) -> str:
    if isinstance(value, str) and _GAS.fullmatch(value):
        return value
    raise refusal(
        [
            Fault(
                "",
                shown(value),
                "must be an ISO 14175 designation of group I1, M20, M21 or C1",
                'write it as "M21" or "M21-ArC-18"',
            )
        ]
    )


Thickness = Annotated[float, BeforeValidator(_read_thickness)]
Ring = Annotated[tuple[tuple[float, float], ...], BeforeValidator(_read_ring)]
Line = Annotated[tuple[tuple[float, float], ...], BeforeValidator(_read_line)]
Point = Annotated[tuple[float, float], BeforeValidator(_read_point)]
Text = Annotated[str, Field(max_length=20_000)]
Name = Annotated[str, Field(max_length=200)]
Percent = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Money = Annotated[float, Field(ge=0, le=1_000_000, allow_inf_nan=False)]
Process = Annotated[Literal["135", "136", "114", "141"], BeforeValidator(_read_process)]
Gas = Annotated[str, BeforeValidator(_read_gas)]
