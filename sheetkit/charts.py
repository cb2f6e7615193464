"""Charts: Axes in, Axes out.  Nothing here uses pyplot, so widget threads may call it.

Colours are a colour-blind-safe set; every line also has its own style and label.
"""

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
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from shapely.geometry.base import BaseGeometry

from . import scene
from .estimate import Estimate
from .scene import BLACK, ORANGE, SKY, Mark

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


class Picture:
    """A chart to stand at the end of a notebook cell, with words for those who don't see it.

    Parameters
    ----------
    ax : Axes
    words : str
        What it shows; default its title and what its axes say.
    """

    def __init__(self, ax: Axes, words: str = ""):
        self._png = png(ax.figure, dpi=110)
        said = [ax.get_title(), ax.get_ylabel(), ax.get_xlabel()]
        self.words = " ".join(
            (words or ": ".join(part for part in said if part) or "chart").split()
        )

    def _repr_html_(self) -> str:
        data = base64.b64encode(self._png).decode()
        return f'<img alt="{escape(self.words)}" src="data:image/png;base64,{data}">'

    def __repr__(self) -> str:
        return "a picture"


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


def _put(ax: Axes, mark: Mark, display: str) -> None:
    """Draw one mark of a scene."""
    style = mark.style
    dashes = (0, tuple(d / style.width for d in style.dashes)) if style.dashes else "-"
    shape = _scaled(mark.shape, display)
    if shapely.get_type_id(shape) in (0, 4):
        xy = shapely.get_coordinates(shape)
        ax.plot(
            *xy.T,
            ls="",
            marker=style.marker,
            ms=4.5,
            mfc=style.fill,
            mec=style.line,
            label=mark.label,
        )
    elif style.fill == "none" or mark.kind == "protect":
        for number, line in enumerate(shapely.get_parts(shape)):
            ax.plot(
                *np.asarray(line.coords).T,
                color=style.line,
                lw=style.width,
                ls=dashes,
                label=mark.label if number == 0 else None,
            )
    else:
        ax.add_patch(
            PathPatch(
                _path(shape),
                fc=style.fill,
                ec=style.line,
                lw=style.width,
                hatch="////" if style.hatch else None,
                label=mark.label,
            )
        )


def patch_plan(
    result: Estimate, ax: Axes | None = None, *, display: str = "mm", close: bool = False
) -> Axes:
    """Draw the panel, the rust, the cut line, the patch and what lies near.

    Parameters
    ----------
    result : Estimate
    ax : Axes, optional
        Drawn on; default a new figure's.
    display : {"mm", "in"}
    close : bool
        Show the repair alone instead of the whole panel.
    """
    box = scene.window(result, close=close)
    ax = _sized(box) if ax is None else ax
    for mark in scene.repair(result, display=display):
        _put(ax, mark, display)
    _show(ax, box, display)
    return ax


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


def wire_and_gas(result: Estimate, axes: Sequence[Axes] | None = None, *, display: str = "mm"):
    """Draw wire by both routes and gas both ways, with their ranges; return both Axes."""
    if axes is None:
        made = figure(7.2, 3.6)
        axes = made.subplots(2, 1)
    values, spans = result.values, result.spans
    mass, volume = (1 / 453.59237, 1 / 28.316846592) if display == "in" else (1.0, 1.0)
    for ax, entries, scale, unit, colour, nothing in (
        (
            axes[0],
            (("wire_g", "by joint volume"), ("wire_by_feed_g", "by wire feed × arc time")),
            mass,
            "lb" if display == "in" else "g",
            SKY,
            "no wire",
        ),
        (
            axes[1],
            (("gas_arc_l", "while the arc burns"), ("gas_real_l", "with pre-, post-flow, surge")),
            volume,
            "ft³" if display == "in" else "litres",
            ORANGE,
            "this process needs no gas",
        ),
    ):
        known = [(name, label) for name, label in entries if name in values]
        what = "wire" if ax is axes[0] else "gas"
        if not known:
            ax.text(0.5, 0.5, nothing, ha="center", va="center", transform=ax.transAxes)
            ax.set_axis_off()
            continue
        bars(
            ax,
            [label for _, label in known],
            [values[name] * scale for name, _ in known],
            [spans[name][0] * scale for name, _ in known],
            [spans[name][1] * scale for name, _ in known],
            colour,
            unit,
        )
        ax.set_xlabel(f"{what}, {unit} (line: range)")
    return axes
