"""The parts of a job, frozen and validated; their fields are in internal units."""

from __future__ import annotations

from typing import Annotated, Any, Literal

import shapely
from pydantic import Field
from shapely import Polygon

from ..base.tables import limit
from ..geometry.offset import polygons
from ..geometry.section import Section
from .field_types import (
    Currency,
    Day,
    Gas,
    Line,
    Money,
    Name,
    NotTruth,
    Percent,
    Point,
    Process,
    Quantity,
    Ring,
    Thickness,
)
from .formed import Crown, Joggle, Lip, Swage
from .part import Part
from .profile import Position, Profile


def _usual(name: str) -> Any:
    """Return a field whose default is a value of the table "limits"."""
    return Field(default_factory=lambda: limit(name).value)


_StockSide = Annotated[float, Quantity("length", 10, 10_000)]


class Sheet(Part):
    """The sheet that is welded; `beneath`, mm: the one under a lap or plug, None: as thick."""

    thickness: Thickness
    beneath: Annotated[float, Quantity("length", 0.4, 6)] | None = None
    coating: Literal["bare", "zinc", "painted"] = "painted"
    back_access: bool = True
    position: Position = "flat"
    role: Literal["skin", "floor", "structural"] = "floor"


class Surroundings(Part):
    """What the sheet loses its heat to while it is welded; the order's waits hang on it.

    ambient : air, and the sheet before the first weld, degC; back of None: open where
    sheet.back_access is true, else closed
    """

    ambient: Annotated[float, Quantity("temperature", -30, 45)] = 20.0
    air: Literal["still", "draught", "wind"] = "still"
    front: Literal["open", "covered"] = "open"
    back: Literal["open", "closed", "covered"] | None = None


class Mounting(Part):
    """A belt, brake, steering or suspension mounting, with the ring inspectors look at."""

    name: Name
    at: Point
    ring: Annotated[float, Quantity("length", 1, 2000)] = _usual("mounting_ring")


class Protected(Part):
    """Something near the weld that must not get hot: a point or a line, with its limit in degC."""

    name: Name
    at: Point | None = None
    line: Line | None = None
    limit: Annotated[float, Quantity("temperature", 25, 400)] = 80.0


class Stiffener(Part):
    """A line of the panel that stays straight: a fold, a step, a box section or brace behind it."""

    name: Name = ""
    line: Annotated[Line, Field(max_length=500)]


class Panel(Part):
    """The panel round the rust: outline and holes, mm; mountings; what must stay cool.

    edges : what holds the panel's edges while and after it is welded: nothing, a flange, the
    body it is welded to; None: not said; stiff : its lines that stay straight
    profile : the cross-section of a panel that is not flat; outline and the rest are then
    drawn on the unrolled sheet
    swages : beads and ribs; crowns : how it curves, each measured one way
    """

    profile: Profile | None = None
    swages: Annotated[tuple[Swage, ...], Field(max_length=50)] = ()
    crowns: Annotated[tuple[Crown, ...], Field(max_length=4)] = ()
    outline: Ring | None = None
    holes: Annotated[tuple[Ring, ...], Field(max_length=200)] = ()
    mountings: Annotated[tuple[Mounting, ...], Field(max_length=100)] = ()
    protect: Annotated[tuple[Protected, ...], Field(max_length=100)] = ()
    edges: Literal["free", "flanged", "held"] | None = None
    stiff: Annotated[tuple[Stiffener, ...], Field(max_length=50)] = ()


class Rust(Part):
    """One rust-out: its ring, mm; holed (through) or pitted (thin)."""

    ring: Ring
    grade: Literal["holed", "pitted"] = "holed"


class FoldLine(Part):
    """A line the patch is bent along: mm, angle in degrees, inner radius in mm.

    toward : the face it is bent to, that of the drawing (up, to whoever looks at it) or its
    back; None: not said, so that the pattern has a box to tick
    """

    line: Line
    angle: Annotated[float, Quantity("angle", 1, 170)]
    radius: Annotated[float, Quantity("length", 0.1, 100)] = 1.0
    toward: Literal["face", "back"] | None = None


class PatchChoice(Part):
    """How the patch is cut and joined; lengths in mm. A gap of None is suggested."""

    margin: Annotated[float, Quantity("length", 0, 200)] = _usual("margin")
    shape: Literal["follow", "hull", "box"] = "follow"
    corner_radius: Annotated[float, Quantity("length", 0, 200)] = _usual("corner_radius")
    joint: Literal["butt", "lap", "plug"] = "butt"
    gap: Annotated[float, Quantity("length", 0, 10)] | None = None
    overlap: Annotated[float, Quantity("length", 3, 100)] = _usual("overlap")
    web: Annotated[float, Quantity("length", 0, 200)] = _usual("web")
    folds: Annotated[tuple[FoldLine, ...], Field(max_length=50)] = ()
    lips: Annotated[tuple[Lip, ...], Field(max_length=50)] = ()
    joggle: Joggle | None = None


class WeldChoice(Part):
    """How it is welded; what is None is suggested from the tables."""

    process: Process = "135"
    wire: Annotated[float, Quantity("length", 0.5, 3.2)] | None = None
    gas: Gas | None = None
    current: Annotated[float, Quantity("current", 5, 400)] | None = None
    voltage: Annotated[float, Quantity("voltage", 5, 40)] | None = None
    travel: Annotated[float, Quantity("speed", 20, 3000)] | None = None
    flow: Annotated[float, Quantity("flow", 0, 40)] | None = None
    fill: Literal["stitch", "dots"] = "stitch"
    stitch: Annotated[float, Quantity("length", 3, 500)] = _usual("stitch")
    spacing: Annotated[float, Quantity("length", 0, 500)] = 0.0
    tack: Annotated[float, Quantity("length", 5, 1000)] | None = None
    interpass_limit: Annotated[float, Quantity("temperature", 30, 300)] = _usual("interpass_limit")
    pre_flow: Annotated[float, Quantity("time", 0, 10)] | None = None
    post_flow: Annotated[float, Quantity("time", 0, 60)] | None = None
    plug_hole: Annotated[float, Quantity("length", 3, 25)] | None = None
    plug_pitch: Annotated[float, Quantity("length", 10, 500)] | None = None


class Cylinder(Part):
    """The gas cylinder: water volume in l, gauge pressure in bar."""

    water_volume: Annotated[float, Quantity("volume", 0.2, 200)] = 10.0
    pressure: Annotated[float, Quantity("pressure", 0, 300)] = 200.0


class Shop(Part):
    """Who works, with what, for how much; None is suggested from the tables.

    date : the day the offer is made; None: the day it is printed
    """

    labour_rate: Money | None = None
    currency: Currency = "USD"
    skill: Literal["first", "practised", "trade"] = "practised"
    prices: Annotated[dict[str, Money], Field(max_length=100)] = Field(default_factory=dict)
    cylinder: Cylinder = Cylinder()
    spool: Annotated[float, Quantity("mass", 50, 50_000)] | None = None
    sheet_stock: Annotated[tuple[tuple[_StockSide, _StockSide], ...], Field(max_length=50)] = ()
    tolerance: Percent = 10.0
    tax: Percent = 0.0
    name: Name = ""
    address: Name = ""
    phone: Name = ""
    registration: Name = ""
    date: Day | None = None
    quote: Literal["estimate", "fixed price"] = "estimate"
    stop_limit: Money | None = None
    valid_days: Annotated[int, NotTruth, Field(ge=1, le=730)] = 30
    exclusions: Annotated[tuple[Name, ...], Field(max_length=30)] = ()
    photos: Annotated[int, NotTruth, Field(ge=0, le=24)] = 4


def section_of(panel: Panel, thickness: float) -> Section | None:
    """Return a panel's unrolled cross-section in a sheet of a thickness, mm; None where it is flat."""
    return panel.profile.section(thickness) if panel.profile is not None else None


def panel_shape(panel: Panel) -> Polygon | None:
    """Return the panel's outline less its holes, mm; None if it wasn't drawn."""
    if panel.outline is None:
        return None
    return panel_pieces(panel)[0]


def panel_pieces(panel: Panel) -> list[Polygon]:
    """Return the pieces, largest first, that the holes leave of a panel's outline, mm."""
    if panel.outline is None:
        return []
    if not panel.holes:
        return [panel.outline.polygon]
    holes = shapely.union_all([ring.polygon for ring in panel.holes])
    return polygons(panel.outline.polygon.difference(holes))
