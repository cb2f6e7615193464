"""What is welded: a sheet with its seams, its welds, its steel and what it loses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from ..base.errors import check, refuse
from ..base.tables import limit
from .air import Losses
from .steel import MILD_STEEL, Steel
from .weld_source import WeldRun

LOSS_LENGTHS = 6.0
"""Margin of a panel that isn't given: this many times sqrt(k t / h), where e^-6 is left."""
MARGIN_MM = (120.0, 400.0)


@dataclass(frozen=True, eq=False)
class Overlap:
    """The second sheet of a lap or plug joint: a patch on a panel that has a hole under it.

    patch : where the patch lies, mm; its thickness is the workpiece's
    hole : where the panel is cut away, mm
    within : what the welded lines enclose, mm: of a lap the patch itself
    beneath_mm : the panel's thickness, 0.3 to 6
    contact_w_m2k : how heat crosses between the sheets, W/(m² K), 0 to 5000
    """

    patch: BaseGeometry
    hole: BaseGeometry
    within: BaseGeometry
    beneath_mm: float
    contact_w_m2k: float = field(default_factory=lambda: limit("lap_contact").low or 0.0)

    def __post_init__(self) -> None:
        check("beneath_mm", self.beneath_mm, 0.3, 6, "mm")
        check("contact_w_m2k", self.contact_w_m2k, 0, 5000, "W/(m² K)")


@dataclass(frozen=True, eq=False)
class Workpiece:
    """A panel with seams, tacks and stitches.

    panel : Polygon, MultiPolygon or None, mm
        May have holes.  None: a box around the seams, `default_margin_mm` wide.
    seams : LineStrings or rings, mm: the open kerf
    thickness_mm : 0.3 to 6
    tacks, stitches : WeldRuns
    protect : shapely points or lines whose temperature is followed
    steel, losses : the sheet's properties, and what it loses to the air
    overlap : the second sheet of a lap or plug joint; None: the sheets meet edge to edge
    least_panel : the smallest panel it may turn out to be; None: the panel is known
    """

    panel: BaseGeometry | None
    seams: Sequence[BaseGeometry]
    thickness_mm: float
    tacks: Sequence[WeldRun] = ()
    stitches: Sequence[WeldRun] = ()
    protect: Sequence[BaseGeometry] = ()
    steel: Steel = MILD_STEEL
    losses: Losses = field(default_factory=Losses.still_air)
    overlap: Overlap | None = None
    least_panel: BaseGeometry | None = None

    def __post_init__(self) -> None:
        check("thickness_mm", self.thickness_mm, 0.3, 6, "mm")
        seams = tuple(
            LineString(seam) if seam.geom_type == "LinearRing" else seam for seam in self.seams
        )
        for seam in seams:
            if seam.geom_type != "LineString" or seam.is_empty or seam.length < 1:
                refuse(
                    "seams", seam.geom_type, "must be lines of at least 1 mm", "give LineStrings"
                )
        object.__setattr__(self, "seams", seams)
        for name in ("tacks", "stitches", "protect"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        sheet = self.sheet
        if sheet.is_empty or sheet.area < 100 or not sheet.is_valid:
            refuse(
                "panel", sheet.geom_type, "must be a valid polygon over 100 mm²", "mend its outline"
            )

    @property
    def welds(self) -> tuple[WeldRun, ...]:
        """All welds, tacks first."""
        return (*self.tacks, *self.stitches)

    @property
    def zones(self) -> tuple[BaseGeometry, ...]:
        """Where cells must be fine: the seams; without any the welds; without these the sheet."""
        return (
            tuple(self.seams)
            or tuple(shapely.linestrings(weld.path) for weld in self.welds)
            or (self.sheet,)
        )

    @property
    def sheet(self) -> BaseGeometry:
        """The panel given, or the box taken for it."""
        if self.panel is not None:
            return self.panel
        paths = [shapely.linestrings(weld.path) for weld in self.welds]
        reach = [*self.seams, *paths, *self.protect]
        if not reach:
            refuse("panel", None, "needs a panel, seams or welds", "give one of them")
        margin = default_margin_mm(self.thickness_mm, self.steel, self.losses)
        return shapely.box(*(shapely.total_bounds(reach) + margin * np.array([-1, -1, 1, 1])))

    def scaled(self, *, heat: float, loss: float) -> Workpiece:
        """Return the piece with every weld's heat and both faces' losses multiplied."""
        tacks, stitches = (
            [replace(run, energy_j=heat * run.energy_j) for run in part]
            for part in (self.tacks, self.stitches)
        )
        losses = replace(
            self.losses, h_top=loss * self.losses.h_top, h_bottom=loss * self.losses.h_bottom
        )
        return replace(self, tacks=tacks, stitches=stitches, losses=losses)


def default_margin_mm(thickness_mm: float, steel: Steel, losses: Losses) -> float:
    """Return how much sheet to take around the seams when no panel is given, mm.

    Six decay lengths sqrt(k t / (h_top + h_bottom)) of a sheet that loses heat
    from both faces: beyond them a steady temperature rise is down to e^-6,
    0.25 %.  Kept between 120 and 400 mm.
    """
    loss = max(losses.faces, 1e-9)
    length = 1000 * math.sqrt(steel.conductivity_w_mk * thickness_mm / 1000 / loss)
    return min(max(LOSS_LENGTHS * length, MARGIN_MM[0]), MARGIN_MM[1])
