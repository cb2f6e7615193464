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
from ..geometry.bend_strip import BentStrip, MeasuredK, Within, k_from_strip
from ..geometry.measured import Measured, section
from ..geometry.section import Section
from ..geometry.trace_fit import fitted
from .field_types import Line, NotTruth, Quantity, refusal
from .part import Part

LEAST_K, MOST_K = 0.2, 0.6
"""K of every sheet lies between; one that comes out beyond was measured wrongly (guess)."""
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


Run = Annotated[float, BeforeValidator(_read_run)]
"""A direction of the drawing, degrees from +x toward +y, or "x", "y"."""


class Strip(Part):
    """A test strip of the job's sheet: measured flat, bent over the bends' own edge, measured again.

    legs : outside to outside, mm, from end to end; angle : each bend's, degrees from flat
    within : half-width a length is good to, mm
    """

    blank: Annotated[float, Quantity("length", 10, 2000)]
    legs: Annotated[
        tuple[Annotated[float, Quantity("length", 2, 1000)], ...], Field(min_length=2, max_length=9)
    ]
    radius: Annotated[float, Quantity("length", 0.1, 100)]
    angle: Annotated[float, Quantity("angle", 15, 170)] = 90.0
    within: Annotated[float, Quantity("length", 0.01, 2)] = 0.2


class Profile(Part):
    """The panel's cross-section; with one, the drawing is the unrolled sheet, seen on its face.

    points : the corners of the section from end to end, mm, drawn sharp
    trace : instead, many points along its face (along its back where `measured` is "back"), as a
        contour gauge or a photo of a cut-out gives them; flats, bends and radii are fitted
    trace_within : how true the trace is, mm
    radii : inside radius of each bend, or one for all, mm; a large one is a rolled part
    measured : what a leg's length reaches to at a bend (`geometry.measured.Measured`)
    run : which way of the drawing the section runs, degrees from +x toward +y, or "x", "y"
    start : where the first point lies along that way on the drawing, mm
    face : on which side of the polyline, followed along its run, the drawn face lies
    k : K of this sheet, in thicknesses; None: from strips, or DIN 6935's
    strips : test strips that K is reckoned from
    positions, closed : of each flat along the run, the welding position and whether its back is
        a closed section; empty: sheet.position, not sheet.back_access
    """

    points: Annotated[Line, Field(max_length=200)] | None = None
    trace: Annotated[Line, Field(max_length=5000)] | None = None
    trace_within: Annotated[float, Quantity("length", 0.02, 3)] = 0.3
    radii: Annotated[
        tuple[Annotated[float, Quantity("length", 0.1, LARGEST_RADIUS_MM)], ...],
        Field(max_length=200),
        BeforeValidator(_read_radii),
    ] = (1.0,)
    measured: Literal["outside", "face", "back", "inside", "tape"] = "outside"
    run: Run = 0.0
    start: Annotated[float, Quantity("length", -100_000, 100_000)] = 0.0
    face: Literal["left", "right"] = "left"
    k: Annotated[float, NotTruth, Field(ge=LEAST_K, le=MOST_K, allow_inf_nan=False)] | None = None
    strips: Annotated[tuple[Strip, ...], Field(max_length=20)] = ()
    positions: Annotated[tuple[Position, ...], Field(max_length=200)] = ()
    closed: Annotated[tuple[bool, ...], Field(max_length=200)] = ()

    def measured_k(self, thickness: float) -> MeasuredK | None:
        """Return K by the test strips, with its uncertainty; None without any."""
        if not self.strips:
            return None
        return k_from_strip(
            [BentStrip(s.blank, s.legs, s.radius, thickness, s.angle) for s in self.strips],
            Within(length_mm=max(strip.within for strip in self.strips)),
        )

    def as_measured(
        self, thickness: float
    ) -> tuple[tuple[tuple[float, float], ...], tuple[float, ...], Measured]:
        """Return corners, inside radii and what the legs reach to: given, or fitted to the trace."""
        if self.trace is None:
            return self.points or (), self.radii, self.measured
        on: Measured = "back" if self.measured == "back" else "face"
        fit = fitted(self.trace, self.trace_within)
        left = (self.face == "left") == (on == "face")
        return fit.corners, fit.inside(thickness, left), on

    def section(self, thickness: float) -> Section:
        """Return the unrolled section; OutOfRange with every fault, its fields "points[n]"."""
        found = self.measured_k(thickness)
        points, radii, measured = self.as_measured(thickness)
        return section(
            points,
            radii,
            thickness,
            measured=measured,
            face=self.face,
            k_factor=found.value if found is not None else self.k,
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
    if (profile.points is None) == (profile.trace is None):
        both = profile.points is not None
        yield Fault(
            f"{here}.points",
            "both points and a trace" if both else "neither points nor a trace",
            "needs one of points, trace",
            "keep the one that was measured" if both else 'add "points": [[x, y], ...]',
        )
        return
    if profile.trace is not None and len(profile.radii) > 1:
        yield Fault(
            f"{here}.radii",
            f"{len(profile.radii)} beside a trace",
            "a trace brings its own radii",
            "leave panel.profile.radii out",
        )
        return
    if faults := list(_k_faults(profile, thickness)):
        yield from faults
        return
    try:
        found = profile.section(thickness)
    except SheetkitError as error:
        for fault in error.faults:
            field = fault.field if profile.trace is None else "trace"  # its corners are not given
            yield Fault(f"{here}.{field}", fault.value, fault.limit, fault.remedy)
        return
    if found.collides:
        yield Fault(
            f"{here}.{'points' if profile.trace is None else 'trace'}",
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


def _k_faults(profile: Profile, thickness: float) -> Iterator[Fault]:
    if profile.strips and profile.k is not None:
        yield Fault(
            "panel.profile.k",
            f"{profile.k:g} beside {len(profile.strips)} strips",
            "K is either given or reckoned from strips",
            "leave one of them out",
        )
    found = profile.measured_k(thickness)
    for n, k in enumerate(found.each if found is not None else ()):
        if not LEAST_K <= k <= MOST_K:
            yield Fault(
                f"panel.profile.strips[{n}]",
                f"K {k:.3g}",
                f"must come out between {LEAST_K:g} and {MOST_K:g}",
                "measure blank, legs (outside to outside) and inside radius again",
            )
