"""The cross-section of a panel that is not flat, as the job gives it; its faults."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Any, Literal

import numpy as np
import shapely
from pydantic import BeforeValidator, Field, ValidationInfo
from shapely.geometry.base import BaseGeometry

from ..base import units
from ..base.errors import Fault, SheetkitError, shown
from ..geometry.measured import section
from ..geometry.section import Section
from .field_types import Line, NotTruth, Quantity, refusal
from .part import Part

Position = Literal["flat", "vertical", "overhead"]
OVER_END_MM = 2.0
"""How far a drawing may reach beyond the profile's ends: two measurings differ by that (guess)."""
LARGEST_RADIUS_MM = 5000.0
"""A rolled part of a larger radius is flat to the eye over a patch (guess)."""


def _read_radii(value: Any) -> Any:
    """Take one radius for all bends."""
    return value if isinstance(value, list | tuple) else [value]


def _read_run(value: Any, info: ValidationInfo) -> float:
    """Return the direction of "x", "y" or an angle, degrees from +x toward +y."""
    if value in ("x", "y"):
        return 0.0 if value == "x" else 90.0
    try:
        angle = units.parse(value, "angle", field="", bare=None)
    except SheetkitError:
        angle = None
    if angle is None or not -360 <= angle <= 360:
        raise refusal(
            Fault(
                "",
                shown(value),
                'must be "x", "y" or an angle from -360 to 360 degrees',
                'write it as "x", or "30 deg"',
            )
        )
    return angle


class Profile(Part):
    """The panel's cross-section; with one, the drawing is the unrolled sheet, seen on its face.

    points : the corners of the section from end to end, mm, drawn sharp
    radii : inside radius of each bend, or one for all, mm; a large one is a rolled part
    measured : what a leg's length reaches to at a bend (`geometry.measured.Measured`)
    run : which way of the drawing the section runs, degrees from +x toward +y, or "x", "y"
    start : where the first point lies along that way on the drawing, mm
    face : on which side of the polyline, followed along its run, the drawn face lies
    k : K of this sheet from a test strip, in thicknesses; None: DIN 6935's
    positions, closed : of each flat along the run, the welding position and whether its back is
        a closed section; empty: sheet.position, not sheet.back_access
    """

    points: Annotated[Line, Field(max_length=200)]
    radii: Annotated[
        tuple[Annotated[float, Quantity("length", 0.1, LARGEST_RADIUS_MM)], ...],
        Field(max_length=200),
        BeforeValidator(_read_radii),
    ] = (1.0,)
    measured: Literal["outside", "face", "back", "inside", "tape"] = "outside"
    run: Annotated[float, BeforeValidator(_read_run)] = 0.0
    start: Annotated[float, Quantity("length", -100_000, 100_000)] = 0.0
    face: Literal["left", "right"] = "left"
    k: Annotated[float, NotTruth, Field(ge=0.2, le=0.6, allow_inf_nan=False)] | None = None
    positions: Annotated[tuple[Position, ...], Field(max_length=200)] = ()
    closed: Annotated[tuple[bool, ...], Field(max_length=200)] = ()

    def section(self, thickness: float) -> Section:
        """Return the unrolled section; OutOfRange with every fault, its fields "points[n]"."""
        return section(
            self.points,
            self.radii,
            thickness,
            measured=self.measured,
            face=self.face,
            k_factor=self.k,
            way_deg=self.run,
            start=self.start,
        )


def profile_faults(
    profile: Profile, thickness: float, drawn: Sequence[tuple[str, BaseGeometry]]
) -> Iterator[Fault]:
    """Yield what is wrong with a profile in a sheet, and with what is drawn beyond it.

    drawn : (field, shape) of outline and rust
    """
    here = "panel.profile"
    try:
        found = profile.section(thickness)
    except SheetkitError as error:
        for fault in error.faults:
            yield Fault(f"{here}.{fault.field}", fault.value, fault.limit, fault.remedy)
        return
    if found.collides:
        yield Fault(
            f"{here}.points",
            "a section that runs through itself when it is folded",
            "the sheet must pass clear of itself",
            'look at the turns and lengths again, and at panel.profile.measured ("outside" counts '
            "the legs from outermost to outermost)",
        )
    flats = len(found.flats)
    for name, given in (("positions", profile.positions), ("closed", profile.closed)):
        if given and len(given) != flats:
            yield Fault(
                f"{here}.{name}",
                f"{len(given)} entries",
                f"must be {flats}: one for each flat, in the order of the points",
                "add or leave out some, or leave the field out",
            )
    for field, shape in drawn:
        at = found.along(shapely.get_coordinates(shape))
        low, high = float(np.min(at)), float(np.max(at))
        over = max(found.start_mm - low, high - found.end_mm)
        if over > OVER_END_MM:
            yield Fault(
                field,
                f"drawn from {low:.4g} to {high:.4g} mm along the profile's run",
                f"must lie on the unrolled sheet, {found.start_mm:.4g} to {found.end_mm:.4g} mm "
                f"(up to {OVER_END_MM:g} mm over is taken as flat)",
                "move panel.profile.start, add the flange that is missing to panel.profile.points, "
                "or draw on the unrolled sheet",
            )
