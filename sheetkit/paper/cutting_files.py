"""Outlines for a cutting shop: SVG and DXF in mm, with layers named in plain words.

Both give the rings as the drawing has them; in the SVG y points down, so its
y is the drawing's with the sign turned.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from html import escape

import numpy as np
import shapely

from ..repair.estimate import Estimate
from .lettering import clean
from .pattern import patterns

LAYERS = ("cut line", "blank", "holes", "bend lines", "plug holes")
DIGITS = 4
"""Of a coordinate in mm."""
_COLOURS = {"cut line": 1, "blank": 7, "holes": 5, "bend lines": 3, "plug holes": 6}
_DASHES = {"cut line": "4 2", "bend lines": "8 2 1.5 2"}


def outlines(result: Estimate) -> Iterator[tuple[str, np.ndarray, bool]]:
    """Yield (layer, points in mm, closed) of everything a shop cuts or bends.

    Plug holes aren't among them: see `drilled`.
    """
    for piece in patterns(result):
        if piece.cut_line is not None:
            yield "cut line", np.asarray(piece.cut_line.exterior.coords)[:-1], True
        if piece.outline is not None:
            yield "blank", np.asarray(piece.outline.exterior.coords)[:-1], True
        for hole in piece.holes:
            yield "holes", np.asarray(hole.exterior.coords)[:-1], True
        for bend in piece.bends:
            yield "bend lines", np.asarray(bend.line.coords), False


def drilled(result: Estimate) -> list[tuple[float, float, float]]:
    """Return (x, y, radius) of every plug hole, mm."""
    return [(x, y, piece.plug_hole / 2) for piece in patterns(result) for x, y in piece.plugs]


def svg(result: Estimate) -> str:
    """Return the outlines as SVG text in true mm, one group a layer."""
    marks = list(outlines(result))
    circles = drilled(result)
    points = np.concatenate([xy for _, xy, _ in marks])
    (left, bottom), (right, top) = points.min(axis=0) - 5, points.max(axis=0) + 5
    groups = []
    for layer in LAYERS:
        bodies = []
        for name, xy, closed in marks:
            if name == layer:
                body = "L".join(f"{x:.{DIGITS}f} {-y:.{DIGITS}f}" for x, y in xy.tolist())
                bodies.append(f'<path d="M{body}{"Z" if closed else ""}"/>')
        if layer == "plug holes":
            bodies += [
                f'<circle cx="{x:.{DIGITS}f}" cy="{-y:.{DIGITS}f}" r="{r:.{DIGITS}f}"/>'
                for x, y, r in circles
            ]
        if bodies:
            dashes = f' stroke-dasharray="{_DASHES[layer]}"' if layer in _DASHES else ""
            groups.append(
                f'<g id="{layer.replace(" ", "-")}"{dashes}><title>{layer}</title>'
                f"{''.join(bodies)}</g>"
            )
    width, height = right - left, top - bottom
    title = escape(clean(result.job.title)[:500] or "Untitled job")
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.{DIGITS}f}mm" '
        f'height="{height:.{DIGITS}f}mm" viewBox="{left:.{DIGITS}f} {-top:.{DIGITS}f} '
        f'{width:.{DIGITS}f} {height:.{DIGITS}f}" fill="none" stroke="#000" stroke-width="0.25">\n'
        f"<title>{title}</title>\n<desc>1:1 in mm; y points down</desc>\n"
        + "\n".join(groups)
        + "\n</svg>\n"
    )


def dxf(result: Estimate) -> str:
    """Return the outlines as DXF text: $INSUNITS is mm, closed polylines, one layer a kind."""
    import ezdxf
    from ezdxf import units

    drawing = ezdxf.new("R2010", units=units.MM)
    drawing.header["$MEASUREMENT"] = 1
    drawing.linetypes.add("DASHED", [6.0, 4.0, -2.0])
    drawing.linetypes.add("DASHDOT", [13.5, 8.0, -2.0, 1.5, -2.0])
    kinds = {"cut line": "DASHED", "bend lines": "DASHDOT"}
    for layer in LAYERS:
        drawing.layers.add(
            layer.upper(), color=_COLOURS[layer], linetype=kinds.get(layer, "CONTINUOUS")
        )
    space = drawing.modelspace()
    for layer, xy, closed in outlines(result):
        points = np.round(xy, 6).tolist()
        space.add_lwpolyline(points, close=closed, dxfattribs={"layer": layer.upper()})
    for x, y, radius in drilled(result):
        space.add_circle((x, y), radius, dxfattribs={"layer": "PLUG HOLES"})
    box = shapely.MultiPoint(np.concatenate([xy for _, xy, _ in outlines(result)])).bounds
    drawing.header["$EXTMIN"], drawing.header["$EXTMAX"] = (*box[:2], 0), (*box[2:], 0)
    stream = io.StringIO()
    drawing.write(stream)
    return stream.getvalue()
