"""Charts of heat and order: Axes in, Axes out, no pyplot.  Nothing hangs on colour alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.colors import to_rgba
from matplotlib.patheffects import AbstractPathEffect, withStroke

from ..heat.peak_reached import levels
from ..heat.record import HeatRun, simulate
from ..sequence.hot_strips import reached
from ..sequence.plan import SequencePlan
from .axes import bare, bars, new_axes, scale_of
from .heat_frames import COLOUR_MAP, scene_of
from .heat_words import SUFFERS
from .order_listing import degree_unit, degrees
from .palette import BLACK, BLUE, GREEN, ORANGE, SKY, VERMILION
from .words import minutes, named

PEAK_DASHES = [":", "--", "-", "-."]
"""The lines of a peak map, coolest first."""
HALO: list[AbstractPathEffect] = [withStroke(linewidth=2.5, foreground="white")]


def _point(at, scale: float) -> tuple[float, float]:
    return at[0] * scale, at[1] * scale


def play_through(
    plan: SequencePlan, *, every_s: float | None = None, frames: bool = False
) -> HeatRun:
    """Return the heat run of a plan, tacking included."""
    return simulate(plan.model, *plan.schedule(), every_s=every_s, frames=frames)


def turns(
    plan: SequencePlan, ax: Axes | None = None, *, display: str = "mm", numbers: bool = True
) -> Axes:
    """Draw the stitches, with the turn each is welded in beside it."""
    ax = new_axes(ax, 6.4, 4.8, "the stitches with the turn each is welded in, to scale")
    scene = scene_of(plan)
    scale = scale_of(display)
    for seam in scene["seams"]:
        ax.plot(*(np.array(seam) * scale).T, color=BLACK, lw=0.8, ls="--")
    size = 9 if len(plan.order) <= 30 else 7.5 if len(plan.order) <= 70 else 6.5
    for turn, mark in enumerate(scene["stitches"], 1):
        path = np.array(mark["path"]) * scale
        plug = np.ptp(path, axis=0).max() == 0
        ax.plot(*path.T, color=BLACK, lw=5, marker="o" if plug else "", solid_capstyle="butt")
        ax.plot(*path.T, color="white", lw=2.5, solid_capstyle="butt")
        if numbers:
            far = 15 if len(plan.order) > 30 and turn % 2 else 10
            ax.annotate(
                str(turn), _point(mark["at"], scale), xytext=_point(mark["away"], far),
                textcoords="offset points", ha="center", va="center", fontsize=size,
                path_effects=HALO,
            )  # fmt: skip
    left, bottom, right, top = (edge * scale for edge in scene["box"])
    ax.set(xlim=(left, right), ylim=(bottom, top), aspect="equal")
    ax.set_xlabel(f"across, {display}")
    ax.set_ylabel(f"up, {display}")
    return ax


BESIDE_MM = 10.0
"""So much is shown beside what got hot."""


def peak_map(
    plan: SequencePlan,
    run: HeatRun | None = None,
    ax: Axes | None = None,
    *,
    display: str = "mm",
    greys: Sequence[float] | None = None,
) -> Axes:
    """Draw the highest temperature each place reached, in steps at what suffers there.

    Each step has a labelled line of its own kind: wax, sealer, paint, zinc (the rows of
    `heat.peak_reached.levels`).  `run`: another heat run of the plan; None: the plan's
    own, tacks and cooling included.  `greys`: a shade for each step, 0 (black) to 1 (white),
    for paper; None: in colours.
    """
    found = reached(plan) if run is None else run
    scale, rows = scale_of(display), levels()
    ax = turns(plan, ax, display=display, numbers=False)  # the levels' labels stand there
    ax.set_label("map of the highest temperature at each place, with lines where things suffer")
    steps = [degrees(row.value, display) for row in rows]
    x, y = found.x_mm * scale, found.y_mm * scale
    shown = degrees(found.peak_c, display)
    hot = colormaps[f"{COLOUR_MAP}_r"](np.linspace(0.05, 0.9, len(rows)))
    if greys is not None:
        hot = np.array([to_rgba(str(shade)) for shade in greys])
    colours = np.vstack([[1.0, 1.0, 1.0, 1.0], hot])  # white where nothing suffers: it is printed
    ax.contourf(
        x, y, shown, levels=[-300.0, *steps, 1e5], colors=colours, zorder=0, extend="neither"
    )
    lines = ax.contour(
        x, y, shown, levels=steps, colors=BLACK, linestyles=PEAK_DASHES, linewidths=1.1, zorder=1
    )
    for label in ax.clabel(
        lines, fmt=lambda value: f"{value:.0f} {degree_unit(display)}", fontsize=8
    ):
        label.set_path_effects(HALO)
    for line, dashes, step, row in zip(colours[1:], PEAK_DASHES, steps, rows, strict=True):
        words = SUFFERS[row.name]
        ax.plot(
            [], [], color=BLACK, ls=dashes, lw=1.1, marker="s", ms=9, mfc=line, mec=BLACK,
            label=f"from {step:.0f} {degree_unit(display)}: {words} ({row.status})",
        )  # fmt: skip
    seams = shapely.total_bounds(list(plan.model.piece.zones)) * scale
    up, across = np.nonzero(shown >= steps[0])
    ends_x, ends_y = (*x[across], *seams[::2]), (*y[up], *seams[1::2])
    spare = BESIDE_MM * scale
    ax.set(
        xlim=(min(ends_x) - spare, max(ends_x) + spare),
        ylim=(min(ends_y) - spare, max(ends_y) + spare),
    )
    ax.legend(
        frameon=False, loc="upper left", bbox_to_anchor=(0.0, -0.14), fontsize=8,
        title="highest temperature reached, both faces alike", title_fontsize=8,
        alignment="left",
    )  # fmt: skip
    return ax


def next_start_temperatures(
    plan: SequencePlan, run: HeatRun | None = None, ax: Axes | None = None, *, display: str = "mm"
) -> Axes:
    """Draw how hot the sheet is where the next stitch will start, over the time of the fill.

    A line for the place that is next, a dot at each start (the highest along the
    stitch until 20 s later, without its own heat), the limit dashed.  The
    line falls while one waits, and jumps when the next place becomes another.
    """
    ax = new_axes(
        ax,
        7.2,
        3.4,
        "how warm the sheet is where the next stitch will be, over time, with the limit",
    )
    run = play_through(plan, every_s=2.0) if run is None else run
    tacks, clock = len(plan.tack_order), run.time_s - plan.tack_s
    past, top = -np.inf, plan.interpass_limit_c
    for turn, (stitch, start) in enumerate(zip(plan.order, plan.start_s, strict=True), 1):
        inside = (clock > max(past, 0.0)) & (clock <= start + 1e-6)
        there = run.welds_c[inside, tacks + stitch]
        label = "where the next stitch will be" if turn == 1 else None
        ax.plot(clock[inside] / 60, degrees(there, display), color=BLUE, lw=1.3, label=label)
        top = max(top, there.max(initial=0.0))
        past = start + plan.model.stitches[stitch].duration_s
    ax.plot(
        np.array(plan.start_s) / 60, degrees(np.array(plan.peak_before_start_c), display), "o", ms=5, mfc="white", mec=BLACK,
        label="a start (highest until 20 s later)",
    )  # fmt: skip
    ax.axhline(
        degrees(plan.interpass_limit_c, display), color=VERMILION, ls="--",
        label="interpass limit",
    )  # fmt: skip
    low = plan.model.ambient_c - 5
    high = min(top, 4 * plan.interpass_limit_c) * 1.12
    ax.set_ylim(degrees(low, display), degrees(high, display))
    ax.set_xlabel("time since the last tack, min")
    ax.set_ylabel(f"temperature, {degree_unit(display)}")
    bare(ax)
    ax.legend(frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=3, fontsize=9)
    return ax


def order_comparison(
    plan: SequencePlan,
    ax: Axes | None = None,
    *,
    display: str = "mm",
    most: int = 8,
    own: SequencePlan | None = None,
) -> Axes:
    """Draw the time of the fill by order under the same limit, with the hottest start beside it.

    Shows the `most` quickest, once round, and your `own` order if given.
    """
    ax = new_axes(
        ax, 7.2, 3.8, "bars of the time of the fill by each order, with the hottest start of each"
    )
    rows = sorted(plan.alternatives, key=lambda one: one.total_s)
    rows = rows[:most] + [one for one in rows[most:] if one.method == "loop"]
    table = [(named(one.method), one.total_s, one.peak_c, one.method) for one in rows]
    if own is not None:
        table.append(("your own", own.total_s, max(own.peak_before_start_c), "own"))
        table.sort(key=lambda row: row[1])
    total = [seconds / 60 for _, seconds, _, _ in table]
    kinds = {plan.method: GREEN, "loop": VERMILION, "own": ORANGE}
    names = [name + (" (chosen)" if kind == plan.method else "") for name, _, _, kind in table]
    colours = [kinds.get(kind, SKY) for *_, kind in table]
    labels = [
        f"{minutes(seconds)}, {degrees(peak, display):.0f} {degree_unit(display)}"
        for _, seconds, peak, _ in table
    ]
    bars(ax, names, total, total, total, colours, labels)
    ax.axvline(plan.no_wait_bound_s / 60, color=BLACK, ls="--", lw=1, label="no wait at all")
    ax.set_xlim(0, max(total) * 1.3)
    ax.legend(frameon=False, loc="lower right", bbox_to_anchor=(1.0, 1.0), fontsize=9)
    where = "protected place" if plan.protected else "start"
    ax.set_xlabel(f"time for the fill, min; beside it the hottest {where}, {degree_unit(display)}")
    return ax
