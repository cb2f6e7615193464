"""The folded piece as a chart, seen askew and end on."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from ..base import amounts
from ..geometry.section import Section
from ..repair.estimate import Estimate
from .axes import drawn_to_scale, new_axes, scale_of
from .folded_scene import TURNED, Scene, Strip, folded_scene
from .palette import BLACK, BLUE, STYLES
from .turning import back_to_front, turn_matrix

_SHADE = 0.42
"""How much darker a strip is that is seen edge on."""


def folded_view(
    result: Estimate,
    ax: Axes | None = None,
    *,
    yaw_deg: float | None = None,
    pitch_deg: float | None = None,
    display: str = "mm",
) -> Axes:
    """Draw the panel as it is folded, with patches, seams and bends.

    Parameters
    ----------
    result : Estimate
        Of a job with `panel.profile`; of a flat one a word says so.
    yaw_deg, pitch_deg : float, optional
        From where it is seen (see `turning.turn_matrix`); default the side that shows most of
        the face.
    """
    ax = new_axes(ax, 7.2, 4.6, "the folded panel with patch, seam and bends, seen askew")
    ax.set_axis_off()
    section = result.job.section
    if section is None:
        ax.text(0.5, 0.5, "this panel is flat", ha="center", va="center", transform=ax.transAxes)
        return ax
    scene = folded_scene(result.job, section, result, display=display)
    start = scene.start_deg
    turn = turn_matrix(
        np.eye(3),
        start[0] if yaw_deg is None else yaw_deg,
        start[1] if pitch_deg is None else pitch_deg,
    )
    order = back_to_front(np.array([strip.edges for strip in scene.strips]), scene.run, turn)
    for layer, number in enumerate(order):
        _strip(ax, scene.strips[number], turn, layer)
    for ends, words in scene.labels:
        x, y = max((end @ turn[:2].T).tolist() for end in ends)
        ax.annotate(words, (x, y), (6, 0), textcoords="offset points", fontsize=9, zorder=1000)
    _key(ax, scene)
    ax.set_aspect("equal")
    ax.autoscale_view()
    return ax


def _strip(ax: Axes, strip: Strip, turn: np.ndarray, layer: int) -> None:
    facing = float(strip.normal @ turn[2])
    dark = _SHADE * (1 - abs(facing)) + (0.0 if facing >= 0 else 0.12)
    for part in strip.parts:
        style = STYLES[part.kind]
        rings = [ring @ turn[:2].T for ring in part.rings]
        codes = [[Path.MOVETO, *[Path.LINETO] * (len(ring) - 2), Path.CLOSEPOLY] for ring in rings]
        path = Path(np.concatenate(rings), np.concatenate(codes))
        shade = tuple((1 - dark) * value for value in _rgb(style.fill))
        line = style.line if strip.middle is not None else shade
        ax.add_patch(PathPatch(path, fc=shade, ec=line, lw=0.8, zorder=layer))
    for kind, points in strip.lines:
        style = STYLES[kind]
        dashes = (0, tuple(d / style.width for d in style.dashes)) if style.dashes else "-"
        width = 0.8 * style.width
        ax.plot(*(points @ turn[:2].T).T, color=style.line, lw=width, ls=dashes, zorder=layer + 0.5)
    if strip.middle is not None and abs(facing) > 0.3:
        x, y = strip.middle @ turn[:2].T
        words = "FACE" if facing > 0 else "BACK"
        ax.text(
            x, y, words, ha="center", va="center", fontsize=9, weight="bold", zorder=layer + 0.6
        )


def _rgb(colour: str) -> tuple[float, float, float]:
    return tuple(int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5))  # type: ignore[return-value]


def _key(ax: Axes, scene: Scene) -> None:
    """Write the bends in words under the picture."""
    words = "\n".join(scene.bends)
    ax.text(0.0, -0.02, words, transform=ax.transAxes, va="top", fontsize=8.5, color=BLACK)


def side_view(result: Estimate, ax: Axes | None = None, *, display: str = "mm") -> Axes:
    """Draw the panel's cross-section, its first flat level: flats with their lengths, bends in words.

    Lengths are those between the bends' middles along the unrolled sheet; the dotted line is on
    the face.
    """
    ax = new_axes(ax, 7.2, 3.6, "the panel's cross-section, with its flats and bends")
    section = result.job.section
    if section is None:
        ax.set_axis_off()
        ax.text(0.5, 0.5, "this panel is flat", ha="center", va="center", transform=ax.transAxes)
        return ax
    levels = np.unique([section.start_mm, *section.levels(3.0), section.end_mm])
    scale = scale_of(display)
    middle, face = (section.in_section(levels, side) * scale for side in ("middle", "face"))
    off = (face - middle) / np.hypot(*(face - middle).T)[:, None]
    reach = 0.02 * float(np.ptp(middle, axis=0).max())
    ax.plot(*middle.T, color=BLUE, lw=2.5)
    ax.plot(*(middle + reach * off).T, color=BLACK, lw=0.9, ls=":", label="the face")
    steps = [section.start_mm, *(bend.middle_mm for bend in section.bends), section.end_mm]
    for number, (start, end) in enumerate(zip(steps, steps[1:], strict=False), 1):
        long = amounts.show(end - start, "length", units=display, digits=1)
        _beside(ax, section, 0.4 * start + 0.6 * end, f"flat {number}, {long}", -1.0, scale)
    for bend in section.bends:
        turned = TURNED[bend.toward].partition(",")[0]
        words = f"bend {bend.number}: {bend.angle_deg:.0f}° {turned}"
        _beside(ax, section, bend.middle_mm, words, -1.0 * bend.sense, scale)
    drawn_to_scale(ax, display)
    ax.set_ylabel(f"toward the face, {display}")
    ax.margins(0.18, 0.22)
    ax.legend(frameon=False, fontsize=8.5)
    return ax


def _beside(
    ax: Axes, section: Section, at_mm: float, words: str, side: float, scale: float
) -> None:
    """Write words beside a place of the section, on its face's side (1) or its back's (-1)."""
    here, face = (section.in_section([at_mm], which)[0] for which in ("middle", "face"))
    way = side * (face - here) / np.hypot(*(face - here))
    across = "left" if way[0] > 0.4 else "right" if way[0] < -0.4 else "center"
    ax.annotate(
        words, here * scale, tuple(9 * way), textcoords="offset points", ha=across, va="center",
        fontsize=9,
    )  # fmt: skip
