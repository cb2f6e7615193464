"""Charts of heat and order: Axes in, Axes out, no pyplot.  Nothing hangs on colour alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patheffects import withStroke

from ..heat.record import HeatRun, simulate
from ..sequence.plan import SequencePlan
from .axes import bare, bars, new_axes, scale_of
from .heat_frames import COLOUR_MAP, resampled, scene_of
from .order_listing import degree_unit, degrees
from .palette import BLACK, BLUE, GREEN, ORANGE, SKY, VERMILION
from .words import minutes, named

PEAK_LINES_C = (100.0, 200.0, 300.0)
"""Water boils; polyurethane foam and sealer begin to break down; bare steel blues
(common practice, no source)."""
HALO = [withStroke(linewidth=2.5, foreground="white")]


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


def peak_map(
    plan: SequencePlan, run: HeatRun | None = None, ax: Axes | None = None, *, display: str = "mm"
) -> Axes:
    """Draw the highest temperature each place reached, with lines at PEAK_LINES_C.

    The colours end at the highest of these: at the seam the steel melts.
    """
    run = play_through(plan) if run is None else run
    ax = turns(plan, ax, display=display)
    ax.set_label("map of the highest temperature at each place, with the turns of the stitches")
    scene, scale = scene_of(plan), scale_of(display)
    left, bottom, right, top = (edge * scale for edge in scene["box"])
    even = resampled(
        replace(run, frames_c=run.peak_c[None]), scene["box"], scene["columns"], scene["rows"]
    )
    shown = degrees(even[0], display)
    colours = ax.imshow(
        shown, extent=(left, right, bottom, top), cmap=COLOUR_MAP, zorder=0,
        interpolation="bilinear", vmin=degrees(scene["low_c"], display),
        vmax=degrees(PEAK_LINES_C[-1], display),
    )  # fmt: skip
    lines = ax.contour(
        shown[::-1], extent=(left, right, bottom, top), levels=degrees(np.array(PEAK_LINES_C), display),
        colors="white", linestyles=[":", "--", "-"], linewidths=1.3, zorder=1,
    )  # fmt: skip
    ax.clabel(lines, fmt=lambda value: f"{value:.0f} {degree_unit(display)}", fontsize=8)
    bar = ax.figure.colorbar(colours, ax=ax, extend="max", shrink=0.85)
    bar.set_label(f"highest temperature, {degree_unit(display)}")
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
