"""The shape a sheet would buckle into first, as relative height, with what holds it."""

from __future__ import annotations

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.patches import PathPatch
from matplotlib.tri import Triangulation
from shapely.geometry.base import BaseGeometry

from ..repair.pull import Pull
from .axes import axes_for, legend_beside, look_at, scale_of, shape_path
from .palette import BLACK, BLUE, ORANGE, STYLES, WHITE, Style
from .repair_scene import around

LEVELS = np.linspace(-1.0, 1.0, 12)
_UP_DOWN = LinearSegmentedColormap.from_list("up and down", [BLUE, WHITE, ORANGE])


def buckle(pull: Pull, ax: Axes | None = None, *, display: str = "mm") -> Axes:
    """Draw the first buckling over the panel: lines of equal height, no millimetres.

    Which way is up is open.  A cross marks the middle of the flat: the place farthest from
    edges and lines that stay straight.
    """
    piece, shape = pull.piece, pull.shape
    middle, _ = piece.middle_of_the_flat
    box = around(piece.sheet)
    ax = axes_for(ax, box, "first buckling of the flat sheet, as relative height, with its seam "
                  "and the lines that stay straight")  # fmt: skip
    scale = scale_of(display)
    across, up = shape.points.T * scale
    drawn = Triangulation(across, up, shape.triangles)
    if np.abs(shape.height).max() > 0:
        ax.tricontourf(drawn, shape.height, LEVELS, cmap=_UP_DOWN)
        found = ax.tricontour(drawn, shape.height, LEVELS[1:-1:2], colors=BLACK,
                              linewidths=0.6)  # fmt: skip
        found.set(linestyle=["--" if level < 0 else "-" for level in found.levels])
    _line(ax, piece.sheet.boundary, STYLES["panel"], f"edge: {piece.edges}", scale, 2.0)
    if piece.stiff:
        lines = shapely.union_all([one.line for one in piece.stiff]).intersection(piece.sheet)
        _line(ax, lines, STYLES["stiff"], "stays straight", scale, 2.4)
    _line(ax, shapely.union_all(list(piece.seams)), STYLES["seam"], "seam", scale, 2.6)
    ax.plot(middle.x * scale, middle.y * scale, "x", ms=11, mew=2.2, color=BLACK, ls="",
            label="middle of the flat")  # fmt: skip
    ax.plot([], [], color=BLACK, lw=0.8, label="up or down")
    ax.plot([], [], color=BLACK, lw=0.8, ls="--", label="the other way")
    look_at(ax, box, display)
    legend_beside(ax)
    ax.set_title("First buckling, relative height", fontsize=10)
    return ax


def _line(
    ax: Axes, shape: BaseGeometry, style: Style, label: str, scale: float, width: float
) -> None:
    if shape.is_empty:
        return
    dashes = (0, style.dashes) if style.dashes else "-"
    ax.add_patch(PathPatch(shape_path(shape, scale), fill=False, ec=style.line, lw=width, ls=dashes,
                           label=label))  # fmt: skip
