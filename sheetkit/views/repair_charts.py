"""Charts of one repair: its plan, wire, gas, hours, the cuts it may grow to, blanks on stock sheet.

Axes in, Axes out.  Nothing here uses pyplot, so widget threads may call it.
Colours are a colour-blind-safe set; every line also has its own style and label.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch, Rectangle

from ..base import amounts
from ..formulas import hours
from ..geometry.stock_sheet import Placement
from ..job.job import Job
from ..repair.estimate import Estimate
from ..repair.rust_extent import Extent
from . import repair_scene
from .axes import (
    axes_for,
    bars,
    drawn_to_scale,
    legend_beside,
    look_at,
    new_axes,
    scale_of,
    shape_path,
)
from .palette import BLACK, BLUE, GREEN, NEW_SHEET, ORANGE, SHEET, SHEET_EDGE, SKY
from .repair_scene import Mark


def _put(ax: Axes, mark: Mark, display: str) -> None:
    """Draw one mark of a scene: points, a filled shape, or lines."""
    style, scale = mark.style, scale_of(display)
    if shapely.get_type_id(mark.shape) in (0, 4):
        xy = shapely.get_coordinates(mark.shape) * scale
        ax.plot(*xy.T, ls="", marker=style.marker, ms=4.5, mfc=style.fill, mec=style.line,
                label=mark.label)  # fmt: skip
    elif style.fill != "none" and mark.kind != "protect":
        hatch = "////" if style.hatch else None
        path = shape_path(mark.shape, scale)
        ax.add_patch(PathPatch(path, fc=style.fill, ec=style.line, lw=style.width, hatch=hatch,
                               label=mark.label))  # fmt: skip
    else:
        dashes = (0, tuple(d / style.width for d in style.dashes)) if style.dashes else "-"
        for number, line in enumerate(shapely.get_parts(mark.shape)):
            label = mark.label if number == 0 else None
            ax.plot(*(np.asarray(line.coords) * scale).T, color=style.line, lw=style.width,
                    ls=dashes, label=label)  # fmt: skip


def _scene(ax: Axes, marks: Sequence[Mark], box, display: str) -> Axes:
    for mark in marks:
        _put(ax, mark, display)
    look_at(ax, box, display)
    legend_beside(ax)
    return ax


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
    ax = axes_for(ax, box, "the rust, the cut line, the patch and the seam, to scale")
    return _scene(ax, repair_scene.repair(result, display=display), box, display)


def job_plan(job: Job, ax: Axes | None = None, *, display: str = "mm") -> Axes:
    """Draw what stands in a job: the panel, the rust and what lies near, before any cut."""
    panel, rust, near = repair_scene.drawn(job, display=display)
    whole = job.rust_shape if job.panel_shape is None else job.panel_shape
    box = repair_scene.around(whole)
    ax = axes_for(ax, box, "the panel, the rust as drawn and what lies near, to scale")
    return _scene(ax, [*panel, *rust, *near], box, display)


def _amounts(result: Estimate, ax: Axes, known: Mapping[str, str], kind: str, display: str) -> None:
    """Draw figures of one kind, name -> words, as bars with their ranges."""

    def shown(values: Iterable[float]) -> list[float]:
        return [amounts.converted(value, kind, units=display)[0] for value in values]

    spans = [result.range(name) for name in known]
    likely, low, high = (
        shown(getattr(span, end) for span in spans) for end in ("likely", "low", "high")
    )
    labels = [amounts.show(span.likely, kind, units=display) for span in spans]
    colour = ORANGE if kind == "volume" else SKY
    bars(ax, list(known.values()), likely, low, high, colour, labels)
    ax.set_xlabel(f"{amounts.converted(0.0, kind, units=display)[1]} (line: range)")


def wire(result: Estimate, ax: Axes | None = None, *, display: str = "mm") -> Axes:
    """Draw the wire by both routes, with their ranges."""
    ax = new_axes(ax, 7.2, 1.9, "bars of the wire by each way of reckoning, with their ranges")
    routes = {"wire_g": "by joint volume", "wire_by_feed_g": "by wire feed × arc time"}
    known = {name: words for name, words in routes.items() if name in result.values}
    _amounts(result, ax, known, "filler", display)
    return ax


def gas(result: Estimate, ax: Axes | None = None, *, display: str = "mm") -> Axes:
    """Draw the gas that flows while the arc burns, and with pre-flow, post-flow and surge."""
    ax = new_axes(ax, 7.2, 1.9, "bars of the gas by each way of reckoning, with their ranges")
    if "gas_real_l" not in result.values:
        words = "this process needs no gas"
        ax.text(0.5, 0.5, words, ha="center", va="center", transform=ax.transAxes)
        ax.set_axis_off()
        return ax
    flows = {"gas_arc_l": "while the arc burns", "gas_real_l": "with pre-, post-flow, surge"}
    _amounts(result, ax, flows, "volume", display)
    return ax


def hours_by_step(result: Estimate, ax: Axes | None = None) -> Axes:
    """Draw the hours of each step with their ranges and shares."""
    ax = new_axes(ax, 7.2, 3.8, "bars of the hours of each step, with their ranges")
    rows = hours.by_step(result.parts("hours_h"), result.spans)
    likely, low, high = ([row[key] for row in rows] for key in ("hours", "low", "high"))
    labels = [f"{row['hours']:.1f} h, {100 * row['share']:.0f} %" for row in rows]
    bars(ax, [row["step"] for row in rows], likely, low, high, SKY, labels)
    ax.set_xlabel("hours (line: range)")
    return ax


def cut_extents(extent: Extent, ax: Axes | None = None, *, display: str = "mm") -> Axes:
    """Draw the cut lines for low, likely and high extent over the rust as drawn.

    Where cuts meet or run out at the panel's edge, it is said how much of the seam
    reckoned with can be drawn.
    """
    panel, rust, _ = repair_scene.drawn(extent.drawn.job, display=display)
    most = shapely.union_all([patch.cut_line for patch in extent.high.patches])
    box = repair_scene.around(shapely.union_all([most, *(mark.shape for mark in panel)]))
    ax = axes_for(ax, box, "cut lines for little, likely and much rust, to scale")
    for mark in (*panel, *rust):
        _put(ax, mark, display)
    kinds = (
        (extent.low, "-", GREEN, "low"),
        (extent.likely, "--", BLUE, "likely"),
        (extent.high, ":", BLACK, "high"),
    )
    for (result, style, colour, words), reckoned in zip(kinds, extent.seams_mm, strict=True):
        seam, there = (
            amounts.show(length, "length", units=display)
            for length in (reckoned, result.values["seam_length_mm"])
        )
        if result.values["seam_length_mm"] < 0.99 * reckoned:
            seam += f", {there} of it drawn"
        for number, patch in enumerate(result.patches):
            xy = np.asarray(patch.cut_line.exterior.coords) * scale_of(display)
            label = f"{words}: seam {seam}" if number == 0 else None
            ax.plot(*xy.T, color=colour, ls=style, lw=1.6, label=label)
    look_at(ax, box, display)
    legend_beside(ax)
    return ax


def stock_plan(placement: Placement, ax: Axes | None = None, *, display: str = "mm") -> Axes:
    """Draw where each blank lies on its stock sheet, sheet beside sheet."""
    ax = new_axes(ax, 7.6, 4.2, "the blanks placed on the stock sheet, to scale")
    scale = scale_of(display)
    left, gap = 0.0, 0.06 * max(width for width, _ in placement.sheets)
    starts = []
    for width, height in placement.sheets:
        starts.append(left)
        sheet = Rectangle((left * scale, 0), width * scale, height * scale, fc=SHEET, ec=SHEET_EDGE)
        ax.add_patch(sheet)
        left += width + gap
    for item in placement.placed:
        shift = starts[item.sheet]
        blank = shape_path(item.shape, scale, shift)
        ax.add_patch(PathPatch(blank, fc=NEW_SHEET, ec=BLUE, lw=1.0))
        at = item.shape.representative_point()
        ax.text((at.x + shift) * scale, at.y * scale, str(item.blank + 1), ha="center", va="center")
    ax.set_xlim(-0.01 * left * scale, (left - gap) * scale * 1.01)
    ax.set_ylim(-0.01 * left * scale, max(h for _, h in placement.sheets) * scale * 1.02)
    drawn_to_scale(ax, display)
    return ax
