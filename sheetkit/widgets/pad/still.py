"""The drawing as a still picture, for notebooks whose live views are switched off."""

from __future__ import annotations

import io
import threading
from collections.abc import Mapping, Sequence

from ...base.amounts import show
from ...sketch.drawing import Drawing
from ...sketch.shape_kinds import KINDS

LOOKS = {
    "rust_holed": {"color": "#b3400a", "linestyle": "-", "linewidth": 2.0},
    "rust_pitted": {"color": "#9a6a00", "linestyle": "--", "linewidth": 2.0},
    "panel_outline": {"color": "#333333", "linestyle": "-", "linewidth": 1.6},
    "panel_hole": {"color": "#333333", "linestyle": "-.", "linewidth": 1.4},
    "mounting": {"color": "#7a3b8f", "linestyle": (0, (1, 2)), "linewidth": 1.6},
    "protect_point": {"color": "#005a96", "linestyle": "-", "linewidth": 1.6},
    "protect_line": {"color": "#005a96", "linestyle": (0, (8, 3)), "linewidth": 1.8},
    "fold": {"color": "#00664b", "linestyle": (0, (8, 3, 1, 3)), "linewidth": 1.8},
}
OVERLAY_LOOKS = {
    "cut_line": {"color": "#000000", "linestyle": (0, (4, 3)), "linewidth": 1.2},
    "patch_outline": {"color": "#0b6fa4", "linestyle": "-", "linewidth": 1.2},
    "seam": {"color": "#a1006b", "linestyle": (0, (1, 1.5)), "linewidth": 2.0},
}
_LOCK = threading.Lock()


def _span(drawing: Drawing, overlays: Sequence[Mapping]) -> tuple[list, list]:
    points = [p for shape in drawing.shapes for p in shape.points]
    for overlay in overlays:
        for key in ("rings", "lines"):
            points += [tuple(p) for part in overlay.get(key, ()) for p in part]
    points = points or [(0.0, 0.0), (600.0, 400.0)]
    return [p[0] for p in points], [p[1] for p in points]


def png(drawing: Drawing, *, overlays: Sequence[Mapping] = (), units: str = "mm") -> bytes:
    """Return the drawing as the bytes of a PNG, to scale, with y upward."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with _LOCK:
        figure = Figure(figsize=(7.5, 4.8), dpi=80, layout="constrained")
        FigureCanvasAgg(figure)
        axes = figure.subplots()
        for overlay in overlays:
            look = OVERLAY_LOOKS.get(overlay.get("kind"), OVERLAY_LOOKS["cut_line"])
            label = overlay.get("label", "")
            parts = [[*ring, ring[0]] for ring in overlay.get("rings", ()) if ring]
            for part in parts + list(overlay.get("lines", ())):
                axes.plot(*zip(*part, strict=True), label=label, **look)
                label = ""
        for shape in drawing.shapes:
            kind, look = KINDS[shape.kind], LOOKS[shape.kind]
            points = list(shape.points)
            if kind.form == "ring" and shape.done:
                points.append(points[0])
            x, y = zip(*points, strict=True)
            axes.plot(x, y, marker="o" if kind.form == "point" else None, **look)
            if shape.kind == "mounting":
                radius = kind.default if shape.value is None else shape.value
                ring = axes.add_patch(_circle(shape.points[0], radius))
                ring.set(fill=False, edgecolor=look["color"], linestyle=look["linestyle"])
            axes.annotate(
                shape.name or kind.label, points[0], (4, 4), textcoords="offset points", fontsize=8
            )
        x, y = _span(drawing, overlays)
        margin = 0.08 * max(max(x) - min(x), max(y) - min(y), 50)
        axes.set_xlim(min(x) - margin, max(x) + margin)
        axes.set_ylim(min(y) - margin, max(y) + margin)
        axes.set_aspect("equal")
        scale = 25.4 if units == "in" else 1.0
        for axis in (axes.xaxis, axes.yaxis):
            axis.set_major_formatter(lambda value, _: f"{value / scale:g}")
        axes.set_xlabel(units)
        axes.grid(color="#dddddd", linewidth=0.5)
        width, height = (show(max(v) - min(v), "length", units=units) for v in (x, y))
        axes.set_title(f"{len(drawing.shapes)} shapes, {width} x {height}", fontsize=9)
        if any(overlay.get("label") for overlay in overlays):
            axes.legend(fontsize=8, loc="best")
        buffer = io.BytesIO()
        figure.savefig(buffer, format="png", metadata={"Software": None})
    return buffer.getvalue()


def _circle(middle, radius: float):
    from matplotlib.patches import Circle

    return Circle(middle, radius)
