"""The drawing as a still picture, for notebooks whose live views are switched off."""

from __future__ import annotations

import io
import threading
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ...base.amounts import show
from ...base.units import length_unit_mm
from ...sketch.drawing import Drawing
from ...sketch.shape_kinds import KINDS, Shape
from ...views.palette import Style
from .looks import LOOKS, OVERLAYS

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_LOCK = threading.Lock()


def _pen(look: Style) -> dict[str, Any]:
    """Return a look as matplotlib draws it."""
    style = (0, look.dashes) if look.dashes else "-"
    return {"color": look.line, "linestyle": style, "linewidth": 0.8 * look.width}


def _span(drawing: Drawing, overlays: Sequence[Mapping]) -> tuple[list[float], list[float]]:
    points = [p for shape in drawing.shapes for p in shape.points]
    for overlay in overlays:
        for key in ("rings", "lines"):
            points += [tuple(p) for part in overlay.get(key, ()) for p in part]
    points = points or [(0.0, 0.0), (600.0, 400.0)]
    return [p[0] for p in points], [p[1] for p in points]


def _draw_overlays(axes: Axes, overlays: Sequence[Mapping]) -> None:
    for overlay in overlays:
        pen = _pen(OVERLAYS.get(str(overlay.get("kind")), OVERLAYS["cut_line"]))
        label = overlay.get("label", "")
        parts = [[*ring, ring[0]] for ring in overlay.get("rings", ()) if ring]
        for part in parts + list(overlay.get("lines", ())):
            axes.plot(*zip(*part, strict=True), label=label, **pen)
            label = ""
    if any(overlay.get("label") for overlay in overlays):
        axes.legend(fontsize=8, loc="best")


def _draw_shape(axes: Axes, shape: Shape) -> None:
    kind, pen = KINDS[shape.kind], _pen(LOOKS[shape.kind])
    points = list(shape.points)
    if kind.form == "ring" and shape.done:
        points.append(points[0])
    x, y = zip(*points, strict=True)
    axes.plot(x, y, marker="o" if kind.form == "point" else None, **pen)
    if shape.kind == "mounting":
        from matplotlib.patches import Circle

        radius = shape.value if shape.value is not None else kind.default or 0.0
        axes.add_patch(Circle(points[0], radius, fill=False, ec=pen["color"], ls=pen["linestyle"]))
    axes.annotate(
        shape.name or kind.label, points[0], (4, 4), textcoords="offset points", fontsize=8
    )


def png(drawing: Drawing, *, overlays: Sequence[Mapping] = (), units: str = "mm") -> bytes:
    """Return the drawing as the bytes of a PNG, to scale, with y upward."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with _LOCK:
        figure = Figure(figsize=(7.5, 4.8), dpi=80, layout="constrained")
        FigureCanvasAgg(figure)
        axes = figure.subplots()
        _draw_overlays(axes, overlays)
        for shape in drawing.shapes:
            _draw_shape(axes, shape)
        x, y = _span(drawing, overlays)
        margin = 0.08 * max(max(x) - min(x), max(y) - min(y), 50)
        axes.set_xlim(min(x) - margin, max(x) + margin)
        axes.set_ylim(min(y) - margin, max(y) + margin)
        axes.set_aspect("equal")
        scale = length_unit_mm(units)
        for axis in (axes.xaxis, axes.yaxis):
            axis.set_major_formatter(lambda value, _: f"{value / scale:g}")
        axes.set_xlabel(units)
        axes.grid(color="#dddddd", linewidth=0.5)
        width, height = (show(max(v) - min(v), "length", units=units) for v in (x, y))
        axes.set_title(f"{len(drawing.shapes)} shapes, {width} x {height}", fontsize=9)
        buffer = io.BytesIO()
        figure.savefig(buffer, format="png", metadata={"Software": None})
    return buffer.getvalue()
