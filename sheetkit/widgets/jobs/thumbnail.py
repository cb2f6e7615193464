"""A job as a small picture: its outlines as drawn."""

from __future__ import annotations

from typing import Any

from ...sketch.drawing import Drawing
from ...sketch.shape_kinds import Shape
from ..pad.looks import LOOKS

WIDTH, HEIGHT = 120.0, 84.0
_EDGE = 6.0
MOST_POINTS = 60
"""Of one line in the picture; more can't be seen."""


def thumbnail(drawing: Drawing) -> list[dict[str, Any]]:
    """Return the marks of a picture `WIDTH` by `HEIGHT`: path, line, fill, dashes each."""
    shapes = [shape for shape in drawing.shapes if shape.points]
    xs = [x for shape in shapes for x, _ in shape.points]
    ys = [y for shape in shapes for _, y in shape.points]
    if not xs:
        return []
    wide, high = max(max(xs) - min(xs), 1.0), max(max(ys) - min(ys), 1.0)
    scale = min((WIDTH - 2 * _EDGE) / wide, (HEIGHT - 2 * _EDGE) / high)
    left = (WIDTH - wide * scale) / 2 - min(xs) * scale
    foot = (HEIGHT + high * scale) / 2 + min(ys) * scale

    def mark(shape: Shape) -> dict[str, Any]:
        look, every = LOOKS[shape.kind], -(-len(shape.points) // MOST_POINTS)
        at = [(left + x * scale, foot - y * scale) for x, y in shape.points[::every]]
        if shape.form == "point":
            ((x, y),) = at
            at = [(x - 2, y - 2), (x + 2, y - 2), (x + 2, y + 2), (x - 2, y + 2)]
        path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in at)
        closed = shape.form != "line" and (shape.done or shape.form == "point")
        return {
            "d": path + ("Z" if closed else ""),
            "line": look.line,
            "fill": look.fill if closed and shape.form == "ring" else "none",
            "dashes": " ".join(map(str, look.dashes)),
        }

    order = {"panel_outline": 0, "panel_hole": 1}
    return [mark(shape) for shape in sorted(shapes, key=lambda s: order.get(s.kind, 2))]
