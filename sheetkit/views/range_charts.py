"""Charts of ranges: what drives a total, its distribution, the cuts, the steps, the stock.

Axes in, Axes out, as in `charts`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Patch, PathPatch, Rectangle

from ..geometry.stock_sheet import Placement
from ..repair.rust_extent import Extent
from .axes import _axes, _plain, shape_path
from .repair_scene import BLACK, BLUE, GREEN, ORANGE, PURPLE, SKY, VERMILION
from .words import words


def tornado(
    extent: Extent, name: str = "hours_h", ax: Axes | None = None, *, unit: str = "h", top: int = 10
) -> Axes:
    """Draw what each uncertain input alone does to a total, the strongest on top."""
    rows = extent.drivers(name)[:top]
    ax = _axes(ax, 7.4, 0.36 * max(len(rows), 3) + 1.3)
    middle = float(extent.likely_values[name])
    for y, row in zip(range(len(rows) - 1, -1, -1), rows, strict=True):
        for value, end, colour, hatch in (
            (row.at_low, row.row.low, SKY, ""),
            (row.at_high, row.row.high, ORANGE, "///"),
        ):
            ax.barh(y, value - middle, left=middle, height=0.6, color=colour, ec=BLACK, lw=0.6,
                    hatch=hatch)  # fmt: skip
            right = value >= middle
            ax.annotate(
                f"{end:.3g}", (value, y), xytext=(4 if right else -4, 0), fontsize=8,
                textcoords="offset points", va="center", ha="left" if right else "right",
            )  # fmt: skip
    ax.axvline(middle, color=BLACK, lw=1)
    ax.set_yticks(range(len(rows) - 1, -1, -1), [words(row.name) for row in rows])
    ax.margins(x=0.12)
    ax.set_xlabel(f"{words(name).split(',')[0]}, {unit}, each input moved alone")
    keys = [
        Patch(fc=SKY, ec=BLACK, lw=0.6, label="input at its low"),
        Patch(fc=ORANGE, ec=BLACK, lw=0.6, hatch="///", label="input at its high"),
    ]
    ax.legend(handles=keys, frameon=False, fontsize=8.5, loc="lower right")
    _plain(ax)
    return ax


def distribution(
    extent: Extent, name: str = "hours_h", ax: Axes | None = None, *, unit: str = "h"
) -> Axes:
    """Draw a total's draws with the one-in-ten marks, the likely sum and the worst case."""
    ax = _axes(ax, 7.2, 3.2)
    found, drawn = extent.spread(name), float(extent.drawn.values[name])
    ax.hist(extent.simulated[name], bins=60, color=SKY, ec="white", lw=0.3, density=True)
    for value, style, colour, text in (
        (drawn, "-", BLACK, "rust as drawn"),
        (found.p10, "--", BLUE, "1 in 10 below"),
        (found.p50, "-.", BLUE, "middle"),
        (found.p90, "--", VERMILION, "1 in 10 above"),
    ):
        ax.axvline(value, color=colour, ls=style, lw=1.6, label=f"{text}: {value:.3g} {unit}")
    ax.axvspan(found.low, found.high, ymax=0.03, color=PURPLE, label=f"worst case: {found.low:.3g} to {found.high:.3g} {unit}")  # fmt: skip
    ax.set_xlabel(f"{words(name).split(',')[0]}, {unit}")
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.legend(frameon=False, fontsize=8.5, loc="upper right")
    _plain(ax)
    return ax


def cut_extents(extent: Extent, ax: Axes | None = None, *, display: str = "mm") -> Axes:
    """Draw the cut lines for low, likely and high extent over the rust as drawn."""
    ax = _axes(ax, 7.6, 4.6)
    scale = 1 / 25.4 if display == "in" else 1.0
    job = extent.drawn.job
    if job.panel_shape is not None:
        ax.add_patch(PathPatch(shape_path(job.panel_shape, scale), fc="#f4f4f2", ec="0.45"))
    ax.add_patch(
        PathPatch(shape_path(job.rust_shape, scale), fc="#f3c9a8", ec=VERMILION, hatch="////", lw=0.8,
                  label="rust as drawn")
    )  # fmt: skip
    for result, style, colour, text in (
        (extent.low, "-", GREEN, "low"),
        (extent.likely, "--", BLUE, "likely"),
        (extent.high, ":", BLACK, "high"),
    ):
        length = result.values["seam_length_mm"] * scale
        for number, patch in enumerate(result.patches):
            xy = np.asarray(patch.cut_line.exterior.coords) * scale
            label = f"{text}: seam {length:.{1 if display == 'in' else 0}f} {display}"
            ax.plot(*xy.T, color=colour, ls=style, lw=1.6, label=label if number == 0 else None)
    ax.set_aspect("equal")
    ax.autoscale_view()
    ax.set_xlabel(f"across, {display}")
    ax.set_ylabel(f"up, {display}")
    ax.legend(loc="upper left", bbox_to_anchor=(1.01, 1.0), frameon=False, fontsize=8.5)
    return ax


def steps(rows: Sequence[Mapping], ax: Axes | None = None) -> Axes:
    """Draw hours by step with their ranges (rows as `labour.by_step` gives them)."""
    ax = _axes(ax, 7.2, 3.8)
    y = np.arange(len(rows))[::-1]
    likely = np.array([row["hours"] for row in rows])
    low, high = (np.array([row[end] for row in rows]) for end in ("low", "high"))
    ax.barh(y, likely, height=0.6, color=SKY, ec=BLACK, lw=0.6)
    ax.errorbar(
        likely, y, xerr=[likely - low, high - likely], fmt="none", ecolor=BLACK, capsize=3, lw=1
    )
    for at, row in zip(y, rows, strict=True):
        ax.text(row["high"] + 0.02 * high.max(), at, f"{row['hours']:.1f} h, {100 * row['share']:.0f} %",
                va="center", fontsize=9)  # fmt: skip
    ax.set_yticks(y, [row["step"] for row in rows])
    ax.set_xlim(0, 1.22 * high.max())
    ax.set_xlabel("hours (line: range)")
    _plain(ax)
    return ax


def stock_plan(placement: Placement, ax: Axes | None = None, *, display: str = "mm") -> Axes:
    """Draw where each blank lies on its stock sheet, sheet beside sheet."""
    ax = _axes(ax, 7.6, 4.2)
    scale = 1 / 25.4 if display == "in" else 1.0
    left, gap = 0.0, 0.06 * max(width for width, _ in placement.sheets)
    starts = []
    for width, height in placement.sheets:
        starts.append(left)
        ax.add_patch(
            Rectangle((left * scale, 0), width * scale, height * scale, fc="#f4f4f2", ec="0.4")
        )
        left += width + gap
    for item in placement.placed:
        shift = starts[item.sheet]
        ax.add_patch(PathPatch(shape_path(item.shape, scale, shift), fc="#cfe6f5", ec=BLUE, lw=1.0))
        at = item.shape.representative_point()
        ax.text((at.x + shift) * scale, at.y * scale, str(item.blank + 1), ha="center", va="center")
    ax.set_xlim(-0.01 * left * scale, (left - gap) * scale * 1.01)
    ax.set_ylim(-0.01 * left * scale, max(h for _, h in placement.sheets) * scale * 1.02)
    ax.set_aspect("equal")
    ax.set_xlabel(f"across, {display}")
    ax.set_ylabel(f"up, {display}")
    return ax
