"""What every chart shares: axes that show themselves, without pyplot; mm or inches; bars; PNG."""

from __future__ import annotations

import base64
import io
import textwrap
from collections.abc import Sequence
from html import escape

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure, SubFigure
from matplotlib.path import Path
from shapely.geometry.base import BaseGeometry

from ..base.units import length_unit_mm
from .palette import BLACK

LEGEND_LETTERS = 20
"""Longer names take a second line, so that the drawing keeps its place beside them."""


class ShownAxes(Axes):
    """Axes that show their figure at the end of a notebook cell, with words for those who don't see it."""

    def _repr_html_(self) -> str:
        return picture(self)

    def __repr__(self) -> str:
        return f"<picture: {words_of(self)}>"


def words_of(ax: Axes) -> str:
    """Return what a chart shows: the words it was given, else its title and what its axes say."""
    given = str(ax.get_label())
    said = [given] if given else [ax.get_title(), ax.get_ylabel(), ax.get_xlabel()]
    return " ".join(": ".join(part for part in said if part).split()) or "chart"


def picture(ax: Axes) -> str:
    """Return a chart as an HTML picture with its words."""
    drawn = ax.get_figure(root=True)
    assert drawn is not None  # an Axes that was taken off its figure shows nothing
    data = base64.b64encode(png(drawn, dpi=110)).decode()
    return f'<img alt="{escape(words_of(ax))}" src="data:image/png;base64,{data}">'


def figure(width: float = 7.2, height: float = 5.0) -> Figure:
    """Return an empty figure with its own canvas; sizes in inches."""
    made = Figure(figsize=(width, height), layout="constrained")
    FigureCanvasAgg(made)
    return made


def png(drawn: Figure | SubFigure, *, dpi: int = 100) -> bytes:
    """Return a figure, or the whole one that a part belongs to, as PNG bytes."""
    buffer = io.BytesIO()
    whole = drawn if isinstance(drawn, Figure) else drawn.get_figure(root=True)
    whole.savefig(buffer, format="png", dpi=dpi)
    return buffer.getvalue()


def new_axes(ax: Axes | None, width: float = 7.2, height: float = 5.0, words: str = "") -> Axes:
    """Return `ax`, or the Axes of a new figure of width x height inches; `words` say what it shows."""
    if ax is None:
        ax = figure(width, height).add_subplot(axes_class=ShownAxes)
    if words:
        ax.set_label(words)
    return ax


def bare(ax: Axes) -> None:
    """Take the frame off above and to the right."""
    ax.spines[["top", "right"]].set_visible(False)


def scale_of(display: str) -> float:
    """Return what a length in mm is multiplied by to be shown in "mm" or "in"."""
    return 1 / length_unit_mm(display)


def drawn_to_scale(ax: Axes, display: str) -> None:
    """Give both axes one scale and their words."""
    ax.set_xlabel(f"across, {display}")
    ax.set_ylabel(f"up, {display}")
    ax.set_aspect("equal")


def axes_for(ax: Axes | None, box: tuple[float, float, float, float], words: str = "") -> Axes:
    """Return `ax`, or new Axes that suit a picture with this window and a legend beside it."""
    left, bottom, right, top = box
    height = min(max(5.0 * (top - bottom) / (right - left), 2.2), 6.5) + 0.6
    return new_axes(ax, 7.6, height, words)


def look_at(ax: Axes, box: tuple[float, float, float, float], display: str) -> None:
    """Show the window `box`, mm."""
    left, bottom, right, top = (edge * scale_of(display) for edge in box)
    ax.set_xlim(left, right)
    ax.set_ylim(bottom, top)
    drawn_to_scale(ax, display)


def legend_beside(ax: Axes) -> None:
    """Put the legend to the right of the drawing."""
    handles, labels = ax.get_legend_handles_labels()
    words = [textwrap.fill(label, LEGEND_LETTERS) for label in labels]
    ax.legend(
        handles, words, loc="upper left", bbox_to_anchor=(1.01, 1.0), frameon=False, fontsize=8.5
    )


def shape_path(shape: BaseGeometry, scale: float = 1.0, shift_mm: float = 0.0) -> Path:
    """Return polygons (with their holes) or lines as one matplotlib path.

    Moved across by `shift_mm`, then scaled.
    """
    parts = []
    for part in shapely.get_parts(shape):
        rings = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
        for ring in rings:
            codes = np.full(len(ring.coords), Path.LINETO)
            codes[0] = Path.MOVETO
            parts.append((np.add(ring.coords, (shift_mm, 0.0)) * scale, codes))
    return Path(
        np.concatenate([points for points, _ in parts]),
        np.concatenate([codes for _, codes in parts]),
    )


def bars(ax: Axes, names: Sequence[str], likely, low, high, colours, labels: Sequence[str]) -> None:
    """Draw horizontal bars with their ranges, the first on top, each label beside its bar."""
    y = np.arange(len(names))[::-1]
    likely, low, high = (np.asarray(v, float) for v in (likely, low, high))
    ax.barh(y, likely, color=colours, height=0.55, edgecolor=BLACK, lw=0.6)
    ranged = high > low
    away = [(likely - np.maximum(low, 0))[ranged], (high - likely)[ranged]]
    ax.errorbar(likely[ranged], y[ranged], xerr=away, fmt="none", ecolor=BLACK, capsize=4, lw=1)
    top = max(high.max(), likely.max()) or 1.0
    for at, end, label in zip(y, np.maximum(likely, high), labels, strict=True):
        ax.text(end + 0.02 * top, at, label, va="center", fontsize=9)
    ax.set_yticks(y, names)
    ax.set_xlim(0, top * 1.25)
    bare(ax)
