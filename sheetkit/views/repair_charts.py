"""Charts: Axes in, Axes out.  Nothing here uses pyplot, so widget threads may call it.

Colours are a colour-blind-safe set; every line also has its own style and label.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch

from ..repair.estimate import Estimate
from . import repair_scene
from .axes import _path, _scaled, _show, _sized, bars, figure
from .repair_scene import ORANGE, SKY, Mark


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
    box = repair_scene.window(result, close=close)
    ax = _sized(box) if ax is None else ax
    for mark in repair_scene.repair(result, display=display):
        _put(ax, mark, display)
    _show(ax, box, display)
    return ax


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
