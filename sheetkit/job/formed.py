"""What is formed beside plain bends, as the job gives it: lips, joggles, swages, crowns; faults."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Annotated, Literal

from pydantic import Field
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..base.errors import Fault, SheetkitError
from ..base.tables import limit
from ..geometry.fold import setback
from ..geometry.formed import Step, joggle
from ..geometry.measured import LEAST_RADIUS
from .field_types import Line, Points, Quantity
from .part import Part
from .profile import Run

ON_EDGE_MM = 1.0
"""A lip's edge this near to the panel's or patch's is on it: two drawings of one edge (guess)."""

MOST_SHARED_MM = 5.0
"""Lips that meet in a corner run along one another no further, or for less than half of one (guess)."""


class Lip(Part):
    """A flange along an edge of the patch, straight or curved: a wheel arch's, or round a hole.

    edge : its outer corner on the drawing, mm, from end to end; closed round a hole
    width : outside height, mm; angle : degrees from flat; radius : inside, mm
    toward : the face it is turned to
    """

    edge: Annotated[Line, Field(max_length=2000)]
    width: Annotated[float, Quantity("length", 3, 200)]
    angle: Annotated[float, Quantity("angle", 15, 170)] = 90.0
    radius: Annotated[float, Quantity("length", 0.1, 100)] = 1.0
    toward: Literal["face", "back"] | None = None


class Joggle(Part):
    """A lap's rim set back by a thickness, so that the faces are flush; lengths in mm.

    on : the sheet that is stepped; run : the step's length seen from above; radius : inside
    """

    on: Literal["panel", "patch"] = "panel"
    run: Annotated[float, Quantity("length", 1, 60)] = Field(
        default_factory=lambda: limit("joggle_run").value
    )
    radius: Annotated[float, Quantity("length", 0.1, 20)] = 1.0


class Swage(Part):
    """A round bead or rib pressed along a line; width and depth across it, mm."""

    line: Annotated[Line, Field(max_length=500)]
    width: Annotated[float, Quantity("length", 2, 200)]
    depth: Annotated[float, Quantity("length", 0.3, 60)]


class Crown(Part):
    """How a panel curves one way: it rises by `rise` under a straight edge of length `over`, mm.

    run : which way of the drawing the straight edge lay, as panel.profile.run
    """

    run: Run = 0.0
    over: Annotated[float, Quantity("length", 20, 3000)]
    rise: Annotated[float, Quantity("length", 0.1, 500)]


def lip_faults(lips: tuple[Lip, ...], thickness: float, folds: int) -> Iterator[Fault]:
    """Yield what is wrong with lips in a sheet."""
    if lips and folds:
        yield Fault(
            "patch.lips",
            f"{len(lips)} beside {folds} patch.folds",
            "a lip needs the unrolled drawing",
            "give the bends as panel.profile, and draw on the unrolled sheet",
        )
    for (n, one), (m, other) in combinations(enumerate(LineString(lip.edge) for lip in lips), 2):
        both = one.intersection(other.buffer(ON_EDGE_MM)).length
        if both > max(MOST_SHARED_MM, min(one.length, other.length) / 2):
            yield Fault(
                f"patch.lips[{m}].edge",
                f"{both:.4g} mm along the edge of lips[{n}]",
                "each lip must have an edge of its own",
                "delete one of them, or shorten it to where the other begins",
            )
    least_radius = LEAST_RADIUS * thickness
    for n, lip in enumerate(lips):
        if lip.radius < least_radius:
            yield Fault(
                f"patch.lips[{n}].radius",
                f"{lip.radius:g} mm",
                f"must be at least {least_radius:g} mm in {thickness:g} mm sheet",
                "bend it over another radius",
            )
            continue
        least = setback(lip.angle, lip.radius, thickness)
        if lip.width < least:
            yield Fault(
                f"patch.lips[{n}].width",
                f"{lip.width:g} mm",
                f"must be at least {least:.3g} mm: its bend takes that much",
                "measure the lip's height again, or give its bend a smaller radius",
            )


def scribble_faults(lines: Sequence[tuple[str, Points]]) -> Iterator[Fault]:
    """Yield the lines (field, points) that cross themselves: no fold does, and the pull would take
    minutes over a scribble."""
    for field, points in lines:
        if not LineString(points).is_simple:
            yield Fault(
                field,
                "a line that crosses itself",
                "must run from end to end without meeting itself",
                "draw it again, each fold or bead as a line of its own",
            )


def off_panel_faults(
    panel: Polygon, lines: Sequence[tuple[str, Points]], over_mm: float
) -> Iterator[Fault]:
    """Yield the lines (field, points) that lie outside a panel: the pull would leave them out."""
    for field, points in lines:
        if (away := panel.distance(LineString(points))) > over_mm:
            yield Fault(
                field,
                f"a line {away:.4g} mm outside the panel",
                "must lie on the panel, inside panel.outline",
                "move it or delete it",
            )


def off_edge_faults(edges: BaseGeometry, lips: tuple[Lip, ...]) -> Iterator[Fault]:
    """Yield the lips along none of a panel's edges: the blank would come out without them."""
    for n, lip in enumerate(lips):
        if (away := edges.distance(LineString(lip.edge))) > ON_EDGE_MM:
            yield Fault(
                f"patch.lips[{n}].edge",
                f"an edge {away:.4g} mm off the panel's",
                f"must lie along panel.outline or a hole, within {ON_EDGE_MM:g} mm",
                "draw it along the panel's edge, or delete it",
            )


def swage_faults(swages: tuple[Swage, ...]) -> Iterator[Fault]:
    """Yield the swages that are deeper than they are wide."""
    for n, swage in enumerate(swages):
        if swage.depth > swage.width:
            yield Fault(
                f"panel.swages[{n}].depth",
                f"{swage.depth:g} mm",
                f"must be at most its width, {swage.width:g} mm",
                "measure across and down again; a fold is no swage",
            )


def joggle_of(given: Joggle, thickness: float, beneath: float | None) -> Step:
    """Return the step of a joggle; OutOfRange where its run is too short.

    thickness : of the patch; beneath : of the panel where it differs, mm
    """
    panel = thickness if beneath is None else beneath
    stepped, over = (panel, thickness) if given.on == "panel" else (thickness, panel)
    return joggle(over, given.run, max(given.radius, LEAST_RADIUS * stepped), stepped)


def joggle_faults(
    given: Joggle | None, joint: str, thickness: float, beneath: float | None
) -> Iterator[Fault]:
    """Yield what is wrong with a joggle beside its joint and sheets."""
    if given is None:
        return
    if joint == "butt":
        yield Fault(
            "patch.joggle",
            "a joggle in a butt joint",
            "only a lap is joggled",
            'leave it out, or patch.joint "lap" or "plug"',
        )
        return
    try:
        joggle_of(given, thickness, beneath)
    except SheetkitError as error:
        for fault in error.faults:
            yield Fault("patch.joggle.run", fault.value, fault.limit, fault.remedy)


def crown_faults(crowns: tuple[Crown, ...]) -> Iterator[Fault]:
    """Yield the crowns that rise more than half a circle does."""
    for n, crown in enumerate(crowns):
        if crown.rise > crown.over / 2:
            yield Fault(
                f"panel.crowns[{n}].rise",
                f"{crown.rise:g} mm",
                f"must be at most half of over, {crown.over / 2:g} mm",
                "lay a shorter straight edge on the panel, or give the curve as panel.profile",
            )
