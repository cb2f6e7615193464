"""A click on the rust in a photo -> the region of like colour round it, as a ring to correct.

The rust is looked for by its own tint first, which it keeps under glare and in a shadow; where
that finds no edge all round, or there is no tint, by its colour as the eye sees it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import scipy  # its parts load when they are used
import shapely

from ..base.errors import Fault, shown
from ..geometry.ring import MOST_CORNERS
from .colour import SEED_PX, Picture, Unlike
from .edge import Edge, edge_of
from .photo_scale import Photo
from .rectify import PhotoRefused
from .trace import ring_of

FAR = (2.0, 80.0)
"""How unlike a colour may be, CIE units: 2.3 is just seen; black to white is 100."""
SMOOTH_MM = (0.0, 20.0)
_EDGE = 0.5
"""A change of so much of `far` from one pixel to the next bars the way (guess)."""
_DARK, _GREY = 28.0, 14.0
_GREY_SHARE = 0.6
"""Darker and greyer than this one looks through a hole; rust in the dark has more tint (guess)."""
_MOST = 0.6
"""A region over more of the picture than this is the panel, not the rust (guess)."""
_SURE = 0.9
"""So much of its edge must be seen for a region to be taken without looking further (guess)."""
_STEP_MM = 2.0
"""The edge is asked every so many mm whether it is seen."""
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Proposal:
    """A ring to accept or correct: mm on the drawing, what it seems to be, how far it was grown.

    `hidden` are the parts of it where light blinds the photo, `faint` those where the colours
    on both sides can't be told apart: there it is only supposed.
    """

    points: Points
    kind: str
    far: float
    smooth_mm: float
    hidden: tuple[Points, ...] = ()
    faint: tuple[Points, ...] = ()


@dataclass(frozen=True)
class _Way:
    """A way of comparing colours from one spot, how far it looks at first, and what it finds."""

    unlike: Unlike
    far: float
    edge: Edge


class Colours:
    """A photo's colours, made ready once for many clicks."""

    def __init__(self, photo: Photo):
        self._photo, self._picture = photo, Picture(photo)
        self._last: tuple[tuple[int, int], _Way] | None = None  # a slider moves at one place

    def grown(
        self, at_mm: Sequence[float], far: float | None = None, smooth_mm: float = 2.0
    ) -> Proposal:
        """Return the region of like colour round a point of the drawing.

        Parameters
        ----------
        at_mm : (x, y)
            On the photo.
        far : float, optional
            How unlike a colour may be, `FAR`; without it where the region's edge is sharpest.
        smooth_mm : float
            Inlets and tongues narrower than this are left out, `SMOOTH_MM`.

        Raises
        ------
        PhotoRefused
            Off the photo, or a number out of range.
        EditRefused
            Nothing there that is large enough.
        """
        seed = self._pixel(at_mm)
        far = None if far is None else _within("how far", far, FAR)
        smooth_mm = _within("smoothness", smooth_mm, SMOOTH_MM)
        if self._last is None or self._last[0] != seed:
            self._last = seed, self._way(seed)
        way = self._last[1]
        edge = way.edge if far is None else self._edge(way.unlike, seed, far, way.far)
        ring = self._ring(_outline(edge.across), smooth_mm)
        parts = [self._parts(ring, where) for where in (edge.hidden, edge.faint)]
        return Proposal(
            tuple((x, y) for x, y in ring),
            _kind(self._picture.colour(seed)),
            round(way.far if far is None else far, 1),
            smooth_mm,
            *parts,
        )

    def _way(self, seed: tuple[int, int]) -> _Way:
        """Return the way to compare colours whose region has most of its edge seen."""
        found = []
        for compare in (self._picture.whatever_light, self._picture.as_seen):
            unlike = compare(seed)
            if unlike is None:
                continue
            far = unlike.far or _sharpest(unlike.by, seed)
            edge = self._edge(unlike, seed, far, far)
            way = _Way(unlike, far, edge)
            round_ = edge.inside & ~scipy.ndimage.binary_erosion(edge.inside)
            asked = round_ & ~edge.hidden
            lost = not asked.any() or edge.inside.mean() > _MOST
            seen = 0.0 if lost else 1.0 - edge.faint[asked].mean()
            if seen >= _SURE:
                return way
            found.append((seen, way))
        return max(found, key=lambda one: one[0])[1]

    def _edge(self, compared: Unlike, seed: tuple[int, int], far: float, first: float) -> Edge:
        """Return the edge that is found looking so far; `first` is how far lies halfway across."""
        unlike, picture = compared.by, self._picture
        if compared.far is None:
            inside = _region(unlike, np.hypot(*np.gradient(unlike)), seed, far)
            edge = edge_of(picture.lab, picture.blown, inside)
            # as the eye sees it far is how far it says
            return replace(edge, across=np.where(inside, unlike / far / 2, 1), inside=inside)
        inside = _reached(unlike < far, seed)
        if inside.mean() > _MOST:  # it ran out over the panel: no edge is looked for
            nowhere = np.zeros(inside.shape, bool)
            return Edge(np.where(inside, 0.0, 1.0), inside, nowhere, inside)
        level = float(np.clip(0.5 * far / first, 0.3, 0.7))
        return edge_of(picture.lab, picture.blown, inside, level)

    def _pixel(self, at_mm: Sequence[float]) -> tuple[int, int]:
        rows, columns = self._picture.blown.shape
        try:
            x, y = (float(value) for value in at_mm)
        except (TypeError, ValueError):
            x = y = float("nan")
        column, row = self._to_px(np.array([[x, y]]))[0]
        if not (0 <= column < columns and 0 <= row < rows):
            raise PhotoRefused(
                Fault("photo", "a point off it", "must be on the photo", "click on the rust")
            )
        return int(row), int(column)

    def _to_px(self, at_mm: np.ndarray) -> np.ndarray:
        """Return where points of the drawing lie in the picture that is looked at: column, row."""
        photo = self._photo
        px = (at_mm - photo.origin_mm) / photo.mm_per_px
        return np.column_stack([px[:, 0], photo.size_px[1] - px[:, 1]]) / self._picture.every

    def _smoothed(self, outline: shapely.Geometry, smooth_mm: float) -> shapely.Geometry:
        """Return an outline in pixels as mm of the drawing, inlets and tongues left out."""
        photo = self._photo

        def to_mm(px: np.ndarray) -> np.ndarray:
            return photo.to_mm(px * self._picture.every)

        shape = shapely.make_valid(shapely.transform(outline, to_mm))
        half = smooth_mm / 2
        return shape.buffer(half).buffer(-2 * half).buffer(half) if half else shape

    def _ring(self, outline: shapely.Geometry, smooth_mm: float) -> list[list[float]]:
        """Return the ring of an outline, smoother than asked where its corners are too many to draw."""
        for least_mm in (0.0, 4.0, 8.0, 16.0, 32.0, 64.0):
            ring = ring_of(self._smoothed(outline, max(smooth_mm, least_mm)))
            if len(ring) < MOST_CORNERS:
                break
        return ring

    def _parts(self, ring: list[list[float]], where: np.ndarray) -> tuple[Points, ...]:
        """Return the parts of a ring that run where something is the case."""
        line = shapely.segmentize(shapely.LinearRing(ring), _STEP_MM)
        at_mm = shapely.get_coordinates(line)
        column, row = self._to_px(at_mm).astype(int).clip(0, np.array(where.shape)[::-1] - 1).T
        here = scipy.ndimage.binary_closing(where[row, column], iterations=2)
        ends = np.flatnonzero(np.diff(here.astype(int), prepend=0, append=0)).reshape(-1, 2)
        return tuple(
            tuple((round(float(x), 1), round(float(y), 1)) for x, y in at_mm[begin:end])
            for begin, end in ends
            if end - begin > 2
        )


def _within(field: str, value: object, limits: tuple[float, float]) -> float:
    if isinstance(value, int | float) and limits[0] <= value <= limits[1]:
        return float(value)
    raise PhotoRefused(
        Fault(f"photo {field}", shown(value), f"must be {limits[0]:g} to {limits[1]:g}", "move the slider")
    )  # fmt: skip


def _region(unlike: np.ndarray, steep: np.ndarray, seed: tuple[int, int], far: float) -> np.ndarray:
    """Return the pixels of like colour that can be reached from the seed without crossing an edge."""
    alike = unlike < far
    open_way = alike & (steep < _EDGE * far)
    open_way[seed] = True
    labels, _ = scipy.ndimage.label(open_way)
    core = labels == labels[seed]
    rim = scipy.ndimage.binary_dilation(core, iterations=3)  # the slope of its own edge is its own
    return scipy.ndimage.binary_fill_holes(rim & alike | core)


def _reached(alike: np.ndarray, seed: tuple[int, int]) -> np.ndarray:
    """Return the pixels alike that are reached from the seed by no way as narrow as a leak."""
    spot = np.zeros(alike.shape, bool)
    spot[seed] = True
    spot = scipy.ndimage.binary_dilation(spot, iterations=SEED_PX)
    labels, _ = scipy.ndimage.label(alike | spot)
    whole = scipy.ndimage.binary_fill_holes(labels == labels[seed])
    labels, _ = scipy.ndimage.label(scipy.ndimage.binary_opening(whole, iterations=2) | spot)
    return labels == labels[seed]


def _sharpest(unlike: np.ndarray, seed: tuple[int, int]) -> float:
    """Return half the step in colour over the region's sharpest edge: there a blurred edge lies."""
    steep = np.hypot(*np.gradient(unlike))
    best, found = -1.0, None
    for far in np.geomspace(6, 50, 14):
        inside = _region(unlike, steep, seed, far)
        edge = inside & ~scipy.ndimage.binary_erosion(inside)
        if inside.sum() < 12 or inside.mean() > _MOST or not edge.any():
            continue
        sharp = float(steep[edge].mean())
        if sharp > best:
            best, found = sharp, inside
    if found is None:
        return FAR[0]
    beyond = scipy.ndimage.binary_dilation(found, iterations=7)
    beyond &= ~scipy.ndimage.binary_dilation(found, iterations=3)
    return float(np.clip(np.median(unlike[beyond]) / 2, *FAR)) if beyond.any() else FAR[0]


def _outline(across: np.ndarray) -> shapely.Geometry:
    """Return where one goes out of a region, in continuous pixels."""
    from contourpy import contour_generator

    rows, columns = across.shape
    padded = np.pad(across, 1, constant_values=1)
    lines = contour_generator(
        np.arange(columns + 2) - 0.5, np.arange(rows + 2) - 0.5, padded
    ).lines(0.5)
    rings = [shapely.Polygon(line) for line in lines if len(line) > 3]
    return max(rings, key=lambda ring: ring.area, default=shapely.Polygon())


def _kind(colour: np.ndarray) -> str:
    """Say what a colour seems to be: black is a hole one looks through, else the sheet is pitted."""
    light, chroma = float(colour[0]), float(np.hypot(colour[1], colour[2]))
    dark_and_grey = light < _DARK and chroma < min(_GREY, 1 + _GREY_SHARE * light)
    return "rust_holed" if dark_and_grey else "rust_pitted"
