"""A heat run as a page can show it: frames on even pixels, packed; stitches with their turns."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np
import shapely
from shapely.ops import substring

from ..geometry.welds import outward
from ..heat.record import simulate
from ..sequence.plan import SequencePlan

COLOUR_MAP = "cividis"
"""Even steps of lightness, and the same for every common colour blindness."""
FRAMES, COLUMNS = 80, 112
AFTER_S = 60.0


@dataclass(frozen=True)
class HeatView:
    """Frames for a canvas.

    scene : plain data: box [left, bottom, right, top] mm, columns, rows, low_c, high_c,
        limit_c, times_s, next (turn, or the number of turns), next_c and stitches
    packed : zlib of the frames (n, rows, columns), uint8, top row first, each frame but
        the first as the difference from the one before
    """

    scene: dict
    packed: bytes


def window(plan: SequencePlan) -> tuple[float, float, float, float]:
    """Return (left, bottom, right, top) around the stitches, mm."""
    paths = [stitch.path for stitch in plan.model.stitches]
    left, bottom, right, top = shapely.total_bounds(shapely.linestrings(np.concatenate(paths)))
    pad = max(0.14 * max(right - left, top - bottom), 22.0)
    return float(left - pad), float(bottom - pad), float(right + pad), float(top + pad)


@lru_cache(maxsize=8)
def _outline(lines: tuple) -> shapely.Geometry:
    union = shapely.union_all(list(lines))
    shapes = [shapely.Polygon(line) for line in lines if line.is_closed and len(line.coords) > 3]
    return shapely.union_all(shapes) if shapes else union.convex_hull


def _shortened(path: np.ndarray, gap: float) -> np.ndarray:
    """Return a path without its ends, so that one sees where a stitch ends and the next begins."""
    line = shapely.LineString(path)
    gap = min(gap, line.length / 8)
    return path if gap == 0 else shapely.get_coordinates(substring(line, gap, line.length - gap))


def stitch_marks(plan: SequencePlan) -> list[dict]:
    """Return the stitches in welding order as plain data.

    Each has stitch and patch (from 1), path, at and away (of its number), start_s
    and end_s after the end of tacking.
    """
    outline = _outline(tuple(plan.model.kerf.seams))
    left, bottom, right, top = window(plan)
    gap = 0.004 * max(right - left, top - bottom)
    marks = []
    for stitch, start in zip(plan.order, plan.start_s, strict=True):
        run = plan.model.stitches[stitch]
        at, away = outward(run.path, outline)
        marks.append({
            "stitch": stitch + 1, "patch": plan.patch[stitch] + 1,
            "path": _shortened(run.path, gap).round(1).tolist(), "at": at.round(1).tolist(),
            "away": away.round(3).tolist(), "start_s": round(float(start), 2),
            "end_s": round(float(start) + run.duration_s, 2),
        })  # fmt: skip
    return marks


def colour_table() -> bytes:
    """Return 256 RGB triples: 0 is off the panel, 1 to 255 run from cool to hot."""
    from matplotlib import colormaps

    table = np.zeros((256, 3), np.uint8)
    table[0] = 255
    table[1:] = np.round(colormaps[COLOUR_MAP](np.linspace(0, 1, 255))[:, :3] * 255)
    return table.tobytes()


def _weights(centres: np.ndarray, wanted: np.ndarray):
    after = np.clip(np.searchsorted(centres, wanted), 1, len(centres) - 1)
    share = (wanted - centres[after - 1]) / (centres[after] - centres[after - 1])
    return after - 1, after, np.clip(share, 0, 1).astype(np.float32)


class Frames(Protocol):
    """Frames in deg C, NaN off the panel, and the centres of their columns and rows."""

    @property
    def frames_c(self) -> np.ndarray:
        """(n, rows, columns)."""

    @property
    def x_mm(self) -> np.ndarray:
        """(columns,)."""

    @property
    def y_mm(self) -> np.ndarray:
        """(rows,)."""


@dataclass(frozen=True)
class OneFrame:
    """A single frame, such as the highest each place reaches."""

    frames_c: np.ndarray
    x_mm: np.ndarray
    y_mm: np.ndarray


def resampled(run: Frames, box, columns: int, rows: int) -> np.ndarray:
    """Return the frames on even pixels, top row first, (n, rows, columns) deg C, NaN off panel."""
    left, bottom, right, top = box
    x = left + (np.arange(columns) + 0.5) * (right - left) / columns
    y = top - (np.arange(rows) + 0.5) * (top - bottom) / rows
    x0, x1, u = _weights(run.x_mm, x)
    y0, y1, v = _weights(run.y_mm, y)
    field = run.frames_c
    off = np.isnan(field[0])
    field = np.where(off, 0.0, field)
    solid = (~off).astype(np.float32)[None]

    def spread(values):
        across = values[:, :, x0] * (1 - u) + values[:, :, x1] * u
        return across[:, y0] * (1 - v)[:, None] + across[:, y1] * v[:, None]

    weight = spread(solid)
    beyond = (x < run.x_mm[0] - 4) | (x > run.x_mm[-1] + 4)
    above = (y < run.y_mm[0] - 4) | (y > run.y_mm[-1] + 4)
    weight = np.where(beyond[None, None, :] | above[None, :, None], 0.0, weight)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(weight < 0.5, np.nan, spread(field) / weight)


def pack(frames: np.ndarray) -> bytes:
    """Return uint8 frames as differences in time, deflated."""
    steps = np.diff(frames, axis=0, prepend=np.zeros_like(frames[:1]))
    return zlib.compress(steps.tobytes(), 9)


def unpack(packed: bytes, columns: int, rows: int) -> np.ndarray:
    """Return the frames that `pack` packed."""
    steps = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(-1, rows, columns)
    return np.cumsum(steps, axis=0, dtype=np.uint8)


def scene_of(plan: SequencePlan) -> dict:
    """Return what stays the same through a run as plain data (see HeatView)."""
    box = window(plan)
    width, height = box[2] - box[0], box[3] - box[1]
    columns = COLUMNS if width >= height else max(8, round(COLUMNS * width / height))
    model = plan.model
    high = model.ambient_c + 3 * (plan.interpass_limit_c - model.ambient_c)
    seams = [shapely.get_coordinates(seam).round(1).tolist() for seam in model.kerf.seams]
    return {
        "box": [round(edge, 1) for edge in box],
        "columns": columns, "rows": max(8, round(columns * height / width)),
        "low_c": float(model.ambient_c), "high_c": float(round(high, -1)),
        "limit_c": float(plan.interpass_limit_c), "tack_s": round(plan.tack_s, 2),
        "seams": seams, "stitches": stitch_marks(plan),
        "tacks": [tack.path.mean(axis=0).round(1).tolist() for tack in model.tacks],
    }  # fmt: skip


def _grey(even_c: np.ndarray, scene: dict) -> np.ndarray:
    share = np.clip((even_c - scene["low_c"]) / (scene["high_c"] - scene["low_c"]), 0, 1)
    return np.where(np.isnan(share), 0, 1 + np.nan_to_num(share) * 254).astype(np.uint8)


def one_frame(plan: SequencePlan, rise_k: np.ndarray, scene: dict) -> bytes:
    """Return one field of a plan's grid, K above the air, as a packed frame for its scene."""
    grid = plan.model.grid
    field = np.where(grid.inner(grid.active) > 0, grid.inner(rise_k) + plan.model.ambient_c, np.nan)
    shown = OneFrame(field[None], grid.x[1 : 1 + grid.columns], grid.y[1:-1])
    return pack(_grey(resampled(shown, scene["box"], scene["columns"], scene["rows"]), scene))


def heat_view(plan: SequencePlan, *, frames: int = FRAMES) -> HeatView:
    """Simulate a plan and return it for the page.

    Parameters
    ----------
    plan : SequencePlan with its model
    frames : 2 to 400, spread evenly over tacking, fill and a minute of cooling
    """
    order, start_s = plan.schedule()
    ends = start_s[-1] + plan.model.welds[order[-1]].duration_s
    until = ends + AFTER_S
    run = simulate(plan.model, order, start_s, until_s=until, every_s=until / frames)
    scene = scene_of(plan)
    even = resampled(run, scene["box"], scene["columns"], scene["rows"])
    grey = _grey(even, scene)
    tacks = len(plan.tack_order)
    fill_s = run.time_s - plan.tack_s
    turns = np.searchsorted(np.asarray(plan.start_s), fill_s, side="right")
    there = [
        run.welds_c[n, tacks + plan.order[turn]] if turn < len(plan.order) else run.welds_c[n].max()
        for n, turn in enumerate(turns)
    ]
    scene |= {
        "times_s": fill_s.round(1).tolist(), "next": turns.tolist(),
        "next_c": np.round(there, 1).tolist(),
    }  # fmt: skip
    return HeatView(scene, pack(grey))
