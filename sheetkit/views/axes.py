"""What every chart shares: figures without pyplot, Axes in mm or inches, bars, PNG bytes."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Sequence

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.path import Path
from shapely.geometry.base import BaseGeometry

from .repair_scene import BLACK

LEGEND_LETTERS = 20
"""Longer names take a second line, so that the drawing keeps its place beside them."""


def figure(width: float = 7.2, height: float = 5.0) -> Figure:
    """Return an empty figure with its own canvas; sizes in inches."""
    made = Figure(figsize=(width, height), layout="constrained")
    FigureCanvasAgg(made)
    return made


def png(drawn: Figure, *, dpi: int = 100) -> bytes:
    """Return a figure as PNG bytes."""
    buffer = io.BytesIO()
    drawn.savefig(buffer, format="png", dpi=dpi)
    return buffer.getvalue()


def new_axes(ax: Axes | None, width: float = 7.2, height: float = 5.0) -> Axes:
    """Return `ax`, or the Axes of a new figure of width x height inches."""
    return figure(width, height).add_subplot() if ax is None else ax


def _path(shape: BaseGeometry) -> Path:
    """Return polygons (with their holes) or lines as one matplotlib path."""
    parts = []
    for part in shapely.get_parts(shape):
        rings = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
        for ring in rings:
            points = np.asarray(ring.coords)
            codes = np.full(len(points), Path.LINETO)
            codes[0] = Path.MOVETO
            parts.append((points, codes))
    return Path(
        np.concatenate([points for points, _ in parts]),
        np.concatenate([codes for _, codes in parts]),
    )


def shape_path(shape: BaseGeometry, scale: float = 1.0, shift_mm: float = 0.0) -> Path:
    """Return a shape as a matplotlib path, moved across by `shift_mm`, then scaled."""
    moved = shapely.transform(shape, lambda xy: np.add(xy, (shift_mm, 0.0)) * scale)
    return _path(moved)


def _scale(display: str) -> float:
    return 1 / 25.4 if display == "in" else 1.0


def _scaled(shape: BaseGeometry, display: str) -> BaseGeometry:
    return shape if display == "mm" else shapely.transform(shape, lambda xy: xy * _scale(display))


def _label_axes(ax: Axes, display: str) -> None:
    ax.set_xlabel(f"across, {display}")
    ax.set_ylabel(f"up, {display}")
    ax.set_aspect("equal")


def _sized(box: tuple[float, float, float, float]) -> Axes:
    """Return new Axes whose figure suits a picture with this window and a legend beside it."""
    left, bottom, right, top = box
    return figure(
        7.6, min(max(5.0 * (top - bottom) / (right - left), 2.2), 6.5) + 0.6
    ).add_subplot()


def _show(ax: Axes, box: tuple[float, float, float, float], display: str) -> None:
    left, bottom, right, top = (edge * _scale(display) for edge in box)
    ax.set_xlim(left, right)
    ax.set_ylim(bottom, top)
    _label_axes(ax, display)
    handles, labels = ax.get_legend_handles_labels()
    words = [textwrap.fill(label, LEGEND_LETTERS) for label in labels]
    ax.legend(
        handles, words, loc="upper left", bbox_to_anchor=(1.01, 1.0), frameon=False, fontsize=8.5
    )


def bars(ax: Axes, names: Sequence[str], likely, low, high, colours, unit: str) -> None:
    """Draw horizontal bars with their ranges and the likely amount written beside them."""
    y = np.arange(len(names))[::-1]
    likely, low, high = (np.asarray(v, float) for v in (likely, low, high))
    ax.barh(y, likely, color=colours, height=0.55, edgecolor=BLACK, lw=0.6)
    ax.errorbar(
        likely,
        y,
        xerr=[likely - np.maximum(low, 0), high - likely],
        fmt="none",
        ecolor=BLACK,
        capsize=4,
        lw=1,
    )
    top = max(high.max(), likely.max()) or 1.0
    for at, value, end in zip(y, likely, high, strict=True):
        ax.text(max(value, end) + 0.02 * top, at, f"{value:.3g} {unit}", va="center", fontsize=9)
    ax.set_yticks(y, names)
    ax.set_xlim(0, top * 1.25)
    ax.spines[["top", "right"]].set_visible(False)


def _axes(ax: Axes | None, width: float, height: float) -> Axes:
    return figure(width, height).add_subplot() if ax is None else ax


def _plain(ax: Axes) -> None:
    ax.spines[["top", "right"]].set_visible(False)
