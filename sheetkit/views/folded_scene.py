"""What a picture of the folded piece shows: strips between the bends' edges, seam, bends, front.

Chart, page and paper draw the same scene, so they can't disagree.  Points in mm of the folded
sheet's face; its longest flat lies in the drawing's plane, face toward +z.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..base import amounts
from ..geometry.offset import polygons
from ..geometry.section import Section, SectionBend
from ..job.job import Job
from ..repair.estimate import Estimate
from ..repair.patches import PatchResult
from .turning import turn_matrix

_OFF_MIDDLE = 0.36
"""So far from the middle FACE and BACK stand, in lengths of the piece along its bends."""
STEP_DEG = 7.5
"""Bends are drawn in strips that turn at most this much."""
BESIDE_MM = 60.0
"""So much of the sheet is drawn along the bends where nobody drew the panel's outline."""
EMPTY_MM = 400.0
"""And so much while nothing is drawn at all."""
SEEN_MM = 0.05
"""Lines are true to this, far finer than a screen."""
ASKEW_DEG = ((-30.0, 30.0), (30.0, 30.0), (-30.0, -30.0), (30.0, -30.0))
"""The sides a piece can be seen from at first: the one that shows most of its face is taken."""
FRONTS = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "top": (0.0, 1.0), "bottom": (0.0, -1.0)}
TURNED = {"face": "UP, toward the face", "back": "DOWN, toward the back"}


@dataclass(frozen=True)
class Part:
    """What is drawn of one strip: "panel" or "patch", with its rings, each (n, 3) mm."""

    kind: str
    rings: tuple[np.ndarray, ...]


@dataclass(frozen=True)
class Strip:
    """A flat piece of the folded sheet, or a part of a bend.

    edges : a point of each long edge, in one cross-section, (2, 3) mm
    normal : where its face looks, of length 1
    lines : (kind, points) of "rust", "seam" and "bend" on it, in mm
    middle : where FACE or BACK is written; None on bends
    """

    edges: np.ndarray
    normal: np.ndarray
    parts: tuple[Part, ...]
    lines: tuple[tuple[str, np.ndarray], ...]
    middle: np.ndarray | None = None


@dataclass(frozen=True)
class Scene:
    """A folded piece: `strips` along its profile, `run` the way its bends run.

    base : rows right, up and toward the viewer, as the drawing is looked at
    labels : (both ends of a bend line, words); fronts : side of the drawing -> an arrow's two ends
    start_deg : yaw and pitch it is first seen from (see `turning.turn_matrix`)
    """

    strips: tuple[Strip, ...]
    run: np.ndarray
    labels: tuple[tuple[np.ndarray, str], ...]
    fronts: dict[str, np.ndarray]
    bends: tuple[str, ...]
    middle: np.ndarray
    reach_mm: float
    start_deg: tuple[float, float]

    def told(self) -> dict[str, Any]:
        """Return it JSON-like, for the page."""

        def listed(points: np.ndarray) -> list:
            return np.round(points, 2).tolist()

        return {
            "strips": [
                {
                    "edges": listed(strip.edges),
                    "normal": np.round(strip.normal, 6).tolist(),
                    "parts": [
                        {"kind": part.kind, "rings": [listed(ring) for ring in part.rings]}
                        for part in strip.parts
                    ],
                    "lines": [
                        {"kind": kind, "points": listed(points)} for kind, points in strip.lines
                    ],
                    "middle": None if strip.middle is None else listed(strip.middle),
                }
                for strip in self.strips
            ],
            "run": self.run.tolist(),
            "base": np.eye(3).tolist(),
            "face": [0.0, 0.0, 1.0],
            "end_on": [90, 0] if abs(self.run[0]) > abs(self.run[1]) else [0, 90],
            "labels": [{"ends": listed(ends), "words": words} for ends, words in self.labels],
            "fronts": {side: listed(arrow) for side, arrow in self.fronts.items()},
            "bends": list(self.bends),
            "middle": listed(self.middle),
            "reach_mm": round(self.reach_mm, 2),
            "start": list(self.start_deg),
        }


def bend_words(bend: SectionBend, display: str) -> str:
    """Return a bend in words: its number, angle, where it goes and its radius."""
    inside = amounts.show(bend.radius_mm, "thickness", units=display)
    return (
        f"bend {bend.number}, {bend.angle_deg:.0f}° from flat, {TURNED[bend.toward]}, "
        f"inside radius {inside}"
    )


def sheet_of(job: Job, section: Section, near: BaseGeometry) -> Polygon:
    """Return the unrolled sheet: the panel as drawn, else all of the profile beside what is near."""
    if job.panel_shape is not None:
        return job.panel_shape
    turn = np.radians(section.way_deg)
    along = np.array([np.cos(turn), np.sin(turn)])
    across = np.array([-along[1], along[0]])
    low, high = sorted((0.0, float(np.sign(across.sum() or 1.0)) * EMPTY_MM))
    if not near.is_empty:
        reach = shapely.get_coordinates(near) @ across
        low, high = reach.min() - BESIDE_MM, reach.max() + BESIDE_MM
    return Polygon(
        [
            along * at + across * off
            for at, off in (
                (section.start_mm, low), (section.end_mm, low),
                (section.end_mm, high), (section.start_mm, high),
            )
        ]
    )  # fmt: skip


def folded_scene(
    job: Job, section: Section, result: Estimate | None = None, *, display: str = "mm"
) -> Scene:
    """Return the picture of a job's panel as it is folded, with patches and seams of `result`."""
    patches = result.patches if result else ()
    whole = sheet_of(
        job, section, shapely.union_all([job.rust_shape, *(p.outline for p in patches)])
    )
    new = shapely.union_all([patch.outline for patch in patches])
    lines: list[tuple[str, BaseGeometry]] = [("rust", job.rust_shape.boundary)] if result else []
    lines += [("seam", run) for run in result.runs] if result else []
    lines += [
        ("bend", part) for bend in section.bends for part in section.line_at(bend.middle_mm, whole)
    ]
    shown = [("panel", whole.difference(new)), ("patch", new.intersection(whole))]
    strips = _strips(section, shown, lines)
    points = np.vstack([ring for s in strips for part in s.parts for ring in part.rings])
    low, high = points.min(axis=0), points.max(axis=0)
    turn = np.radians(section.way_deg)
    labels = []
    for bend in section.bends:
        if parts := section.line_at(bend.middle_mm, whole):
            ends = shapely.get_coordinates(parts)[[0, -1]]
            labels.append((section.folded(ends, "face", base=None), f"bend {bend.number}"))
    middle = (low + high) / 2
    return Scene(
        tuple(strips),
        np.array([-np.sin(turn), np.cos(turn), 0.0]),
        tuple(labels),
        _fronts(section, whole),
        tuple(bend_words(bend, display) for bend in section.bends) + _lip_words(patches),
        middle,
        float(np.linalg.norm(points - middle, axis=1).max()),
        max(ASKEW_DEG, key=lambda turn: _seen_mm2(strips, turn)),
    )


def _lip_words(patches: Sequence[PatchResult]) -> tuple[str, ...]:
    """Return the patches' lips in words: curved ones are not drawn."""
    return tuple(
        f"bend {lip.bend.number}, {lip.bend.angle_deg:.0f}°, the lip on the edge: not drawn here"
        for patch in patches
        for lip in patch.lips
    )


def _seen_mm2(strips: list[Strip], turn_deg: tuple[float, float]) -> float:
    """Return how much of the face looks at the viewer, its bends left out."""
    toward = turn_matrix(np.eye(3), *turn_deg)[2]
    wide = [float(np.linalg.norm(strip.edges[1] - strip.edges[0])) for strip in strips]
    return sum(w * max(float(s.normal @ toward), 0.0) for w, s in zip(wide, strips, strict=True))


def _strips(
    section: Section,
    shown: list[tuple[str, BaseGeometry]],
    lines: list[tuple[str, BaseGeometry]],
) -> list[Strip]:
    levels = section.levels(STEP_DEG)
    at = section.along(shapely.get_coordinates(shapely.union_all([s for _, s in shown])))
    first, last = min(at.min(), section.start_mm), max(at.max(), section.end_mm)
    steps = np.unique(np.concatenate([[first], levels, [last]]))
    turn = np.radians(section.way_deg)
    along = np.array([np.cos(turn), np.sin(turn)])
    made = []
    for low, high in zip(steps, steps[1:], strict=False):
        if high - low < 1e-6:
            continue

        def fold(xy: np.ndarray) -> np.ndarray:
            return section.folded(xy, "face", base=None)

        parts = []
        for kind, shape in shown:
            rings = [
                fold(shapely.get_coordinates(shapely.simplify(ring, SEEN_MM)))
                for piece in polygons(section.between(low, high, shape))
                for ring in (piece.exterior, *piece.interiors)
            ]
            if rings:
                parts.append(Part(kind, tuple(rings)))
        if not parts:
            continue
        drawn = [
            (kind, fold(shapely.get_coordinates(shapely.simplify(part, SEEN_MM))))
            for kind, line in lines
            for part in shapely.get_parts(section.between(low, high, line))
            if isinstance(part, LineString) and part.length > 0
        ]
        edges = fold(np.array([low * along, high * along]))
        across = np.array([-along[1], along[0], 0.0])
        normal = np.cross(edges[1] - edges[0], across)
        normal /= np.linalg.norm(normal)
        is_bend = bool(int(section.piece_of([(low + high) / 2 * along])[0]) % 2)
        middle = None if is_bend else _aside(parts, across)
        made.append(Strip(edges, normal, tuple(parts), tuple(drawn), middle))
    return made


def _aside(parts: list[Part], across: np.ndarray) -> np.ndarray:
    """Return a place on what is drawn of a flat, near the end that is farther from its patch."""
    points = np.vstack([ring for part in parts for ring in part.rings])
    low, high = points.min(axis=0), points.max(axis=0)
    middle = (low + high) / 2
    new = [ring for part in parts if part.kind == "patch" for ring in part.rings]
    off = float((np.vstack(new).mean(axis=0) - middle) @ across) if new else 0.0
    away = -1.0 if off >= 0 else 1.0
    return middle + away * _OFF_MIDDLE * across * float((high - low) @ np.abs(across))


def _fronts(section: Section, whole: Polygon) -> dict[str, np.ndarray]:
    """Return an arrow for each side of the drawing: out from its edge, on the sheet carried on."""
    left, bottom, right, top = whole.bounds
    middle = np.array([(left + right) / 2, (bottom + top) / 2])
    half = np.array([right - left, top - bottom]) / 2
    found = {}
    for side, way in FRONTS.items():
        edge = middle + half * way
        inner = section.folded([edge - np.array(way) * 0.5, edge], "face", base=None)
        out = inner[1] - inner[0]
        out /= max(float(np.linalg.norm(out)), 1e-9)
        reach = 0.22 * float(half.max())
        found[side] = np.array([inner[1] + 0.15 * reach * out, inner[1] + reach * out])
    return found
