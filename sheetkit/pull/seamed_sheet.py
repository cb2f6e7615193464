"""How near a seam's pull brings a sheet to buckling, and into what shape it would go first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any, Literal, NamedTuple

import numpy as np
import shapely
from scipy.sparse import csc_matrix
from shapely import LineString, Point, Polygon

from ..base.errors import OutOfRange, check, refuse
from .buckling import first_buckling
from .membrane import Membrane, Stress
from .mesh import Mesh, meshed
from .plate import Plate, bending_stiffness_nmm

Edges = Literal["free", "flanged", "held"]
EDGES: tuple[Edges, ...] = ("free", "flanged", "held")
"""What holds a panel's edges: nothing; a flange that keeps them straight; the body they are
welded to, on which they can't turn, and which takes a part of the pull."""

POINTS, COARSER = 3500, 4
"""A sheet of more points takes more than some seconds: its triangles are made larger, so often."""
FINENESS = 26.0
"""Sides of the smallest triangles along a square patch."""


@dataclass(frozen=True)
class StiffLine:
    """A line across the sheet that stays straight.

    rigidity_nmm2 : its own EI, N mm²; None: it can't move out of the sheet's plane at all,
        but the sheet can turn on it (a fold, a box section's flange)
    """

    line: LineString
    rigidity_nmm2: float | None = None
    name: str = "stiff line"


@dataclass(frozen=True)
class SeamedSheet:
    """A flat sheet with its welded seams.

    sheet : mm, patches and all; seams : mm; thickness_mm : 0.1 to 10 mm
    strip_mm : width of the strip along a seam that pulls, 5 to 1000 mm
    edges : what holds the outer edge; holes' edges are free
    sheet_beyond_mm : how much sheet beyond a held edge gives as much as the body does there
    """

    sheet: Polygon
    seams: tuple[LineString, ...]
    thickness_mm: float
    strip_mm: float
    edges: Edges = "flanged"
    stiff: tuple[StiffLine, ...] = ()
    sheet_beyond_mm: float = 250.0

    def __post_init__(self) -> None:
        check("thickness_mm", self.thickness_mm, 0.1, 10.0, "mm")
        check("strip_mm", self.strip_mm, 5.0, 1000.0, "mm")
        if self.edges not in EDGES:
            refuse("edges", self.edges, f"must be {', '.join(EDGES)}", "choose one of these")
        if self.sheet.is_empty or not self.seams:
            refuse(
                "seams", f"{len(self.seams)}", "must be at least one, in a sheet", "draw a patch"
            )

    @property
    def middle_of_the_flat(self) -> tuple[Point, float]:
        """The point farthest from edges and stiff lines, and how far it is from them, mm."""
        lines = [one.line for one in self.stiff]
        flat = self.sheet.difference(shapely.union_all(lines).buffer(0.01)) if lines else self.sheet
        radius = shapely.maximum_inscribed_circle(flat, tolerance=1.0)
        ends = shapely.points(shapely.get_coordinates(radius))
        return ends[0], float(radius.length)


@dataclass(frozen=True, eq=False)
class Buckled:
    """The first buckling of a sheet under its seams' shrinkage.

    index : the shrinkage over the shrinkage that buckles it; 0 where none does
    points, triangles : mm; height : of each point, the largest 1; no millimetres
    """

    index: float
    points: np.ndarray
    triangles: np.ndarray
    height: np.ndarray

    @property
    def highest(self) -> Point:
        """Where it would rise most."""
        return Point(self.points[int(np.argmax(np.abs(self.height)))])


@dataclass(frozen=True)
class Buckling:
    """The matrices of one sheet, from which any mixture of pulls is judged.

    One pull of 1 N along all seams and one of 1 mm across them is solved; they add up.
    """

    piece: SeamedSheet
    size_mm: float | None = None

    @cached_property
    def mesh(self) -> Mesh:
        """Triangles as fine as the patch asks for."""
        piece = self.piece
        sheet, seams = piece.sheet, piece.seams
        lines = [part for one in self.piece.stiff for part in _within(one.line, sheet)]
        size = self.size_mm or _size(piece)
        for _ in range(COARSER):
            try:
                made = meshed(sheet, seams, lines, size_mm=size)
            except OutOfRange:
                size *= 1.5
                continue
            if self.size_mm or len(made.points) <= POINTS:
                return made
            size *= 1.1 * float(np.sqrt(len(made.points) / POINTS))
        return meshed(sheet, seams, lines, size_mm=size)

    @cached_property
    def _stiff_chains(self) -> list[tuple[np.ndarray, float | None]]:
        after = len(self.piece.seams)
        which = [one for one in self.piece.stiff for _ in _within(one.line, self.piece.sheet)]
        chains = self.mesh.chains[after:]
        return [(chain, one.rigidity_nmm2) for chain, one in zip(chains, which, strict=True)]

    @cached_property
    def _plate(self) -> Plate:
        return Plate(self.mesh)

    @cached_property
    def along(self) -> Stress:
        """The sheet's stress for a pull of 1 N along the seams."""
        return self._membrane.pulled_along(self.piece.seams, 1.0, self.piece.strip_mm)

    @cached_property
    def across(self) -> Stress:
        """The sheet's stress for 1 mm drawn together across the seams."""
        seams = self.mesh.chains[: len(self.piece.seams)]
        return self._membrane.pulled_across(seams, 1.0)

    @cached_property
    def _membrane(self) -> Membrane:
        piece, mesh = self.piece, self.mesh
        held = mesh.rim[self._outer] if piece.edges == "held" else np.zeros(0, int)
        return Membrane(mesh, piece.thickness_mm, held, piece.sheet_beyond_mm)

    @cached_property
    def stiffness(self) -> csc_matrix:
        """The sheet's bending stiffness with its stiff lines'."""
        found = self._plate.bending * bending_stiffness_nmm(self.piece.thickness_mm)
        for chain, rigidity in self._stiff_chains:
            if rigidity is not None:
                found = found + self._plate.stiffened(chain, rigidity)
        return found

    @cached_property
    def free(self) -> np.ndarray:
        """The degrees of freedom that no support holds."""
        mesh, held = self.mesh, [chain for chain, own in self._stiff_chains if own is None]
        outer = mesh.rim[self._outer]
        slopes = np.zeros(0, int)
        if self.piece.edges != "free":
            held.append(np.unique(mesh.sides[outer]))
        if self.piece.edges == "held":
            slopes = len(mesh.points) + outer
        points = np.unique(np.concatenate([*held, np.zeros(0, int)])).astype(int)
        if not len(slopes):
            points = _pinned(mesh.points, points)
        return np.setdiff1d(np.arange(self._plate.size), np.concatenate([points, slopes]))

    @property
    def _outer(self) -> np.ndarray:
        """Which sides of the rim are the panel's outer edge's, not a hole's."""
        middles = shapely.points(self.mesh.points[self.mesh.sides[self.mesh.rim]].mean(axis=1))
        holes = shapely.MultiLineString([list(ring.coords) for ring in self.piece.sheet.interiors])
        if holes.is_empty:
            return np.ones(len(middles), bool)
        return shapely.distance(self.piece.sheet.exterior, middles) < shapely.distance(
            holes, middles
        )

    def under(self, force_n: float, across_mm: float = 0.0) -> Buckled:
        """Return the first buckling when the seams pull so: N along them, mm across them."""
        plate, mesh = self._plate, self.mesh
        force = force_n * self.along.force_n_mm
        if across_mm:
            force = force + across_mm * self.across.force_n_mm
        loss = plate.compression(force)
        times, shape = first_buckling(self.stiffness, loss, self.free)
        height = shape[: len(mesh.points)]
        most = height[np.argmax(np.abs(height))]
        index = 0.0 if np.isinf(times) else 1 / times
        return Buckled(index, mesh.points, mesh.triangles, height / most if most else height)


def _size(piece: SeamedSheet) -> float:
    """Return the side of the smallest triangles, mm, by what the seams enclose or run beside."""
    sides = [FINENESS * piece.strip_mm / 4]
    for seam in piece.seams:
        left, low, right, high = seam.bounds
        enclosed = float(np.sqrt((right - left) * (high - low)))
        sides.append(enclosed if seam.is_closed else max(enclosed, seam.length / 2))
    wanted = float(np.clip(min(sides) / FINENESS, 2.0, 20.0))
    longest = sum(seam.length for seam in piece.seams)
    return max(wanted, longest / 1200, float(np.sqrt(piece.sheet.area)) / 250)


def _within(line: LineString, sheet: Polygon) -> list[LineString]:
    inside = shapely.get_parts(line.intersection(sheet))
    return [part for part in inside if isinstance(part, LineString) and part.length > 1.0]


def _pinned(points: np.ndarray, held: np.ndarray) -> np.ndarray:
    """Return the held points, and as many far ones as keep the sheet from tilting.

    A seam's stress is in balance with itself, so such pins carry nothing.
    """
    span = np.ptp(points, axis=0).max()
    at = np.c_[np.ones(len(points)), (points - points.mean(axis=0)) / span]
    far = [int(np.argmax(at @ way)) for way in ([0, 1, 0.3], [0, -1, 0.2], [0, 0.1, 1], [0, 0, -1])]
    for one in far:
        if np.linalg.matrix_rank(at[held], tol=1e-3) == 3:
            break
        if np.linalg.matrix_rank(at[np.append(held, one)], tol=1e-3) > np.linalg.matrix_rank(
            at[held], tol=1e-3
        ):
            held = np.append(held, one)
    return held


class Span(NamedTuple):
    """An index with the ends of what is unknown; shape is the likely one's first buckling.

    cases : the index for each crosswise shrinkage tried, the likely one first, all with the
        likely pull
    """

    low: float
    likely: float
    high: float
    shape: Buckled
    cases: tuple[float, ...]


def index(
    piece: SeamedSheet,
    force_n: tuple[float, float, float],
    across_mm: tuple[float, float, float],
    *,
    progress: Callable[[str, int, int], Any] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Span | None:
    """Return how many times the shrinkage that buckles it a sheet's seams pull with.

    The ends hold the range of both pulls, and the middle between the crosswise ones: a sheet
    can go first where neither end does.

    Parameters
    ----------
    piece : SeamedSheet
    force_n : low, likely and high pull along the seams, N
    across_mm : low, likely and high crosswise shrinkage that is locked in, mm
    progress : called with (what, done, of how many)
    stop : returns True to end; None is returned then
    """
    model = Buckling(piece)
    drawn = dict.fromkeys((across_mm[1], across_mm[0], across_mm[2], sum(across_mm[::2]) / 2))
    steps: list[tuple[str, Callable[[], Any]]] = [
        ("cutting the sheet into triangles", lambda: model.mesh),
        ("stress the seam leaves", lambda: (model.along, model.across)),
        ("stiffness of the sheet", lambda: (model.stiffness, model.free)),
    ]
    steps += [("first buckling", partial(model.under, force_n[1], by)) for by in drawn]
    found: list[Any] = []
    for done, (what, step) in enumerate(steps):
        if stop and stop():
            return None
        if progress:
            progress(what, done, len(steps))
        found.append(step())
    buckled: list[Buckled] = found[-len(drawn) :]
    low, high = (force_n[i] / force_n[1] if force_n[1] else 1.0 for i in (0, 2))
    indices = [one.index for one in buckled]
    return Span(low * min(indices), indices[0], high * max(indices), buckled[0], tuple(indices))
