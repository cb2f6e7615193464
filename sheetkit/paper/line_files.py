"""Lines, arcs and circles on named layers as DXF and SVG, true to size in mm.

In the SVG y points down, so its y is the drawing's with the sign turned.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, replace
from html import escape

import numpy as np

from ..geometry.arcs import arc, traced
from .lettering import clean

DIGITS = 4
"""Of a coordinate in mm."""
LAYERS = {
    "CUT": (7, "#000000"), "DRILL": (6, "#cc79a7"), "BEND": (3, "#009e73"),
    "BENDNOTE": (4, "#56b4e9"), "ENGRAVE": (5, "#0072b2"), "STOCK": (8, "#808080"),
}  # fmt: skip
"""Layer -> its colour by the DXF's numbers and in the SVG."""
WORDS_MM = 3.0
"""How high words are that are only read."""
FORMATS = ("R2010", "R12")
"""DXF versions: R12 is for controllers that read nothing newer; it knows no unit."""


@dataclass(frozen=True)
class Lines:
    """What one file holds: (layer, shape) each, mm.

    rings : rows x, y, bulge (see `geometry.arcs`), closed
    open : points of lines
    circles : x, y, radius
    words : x, y of their middle, and the words, to be read on the screen
    """

    rings: tuple[tuple[str, np.ndarray], ...] = ()
    open: tuple[tuple[str, np.ndarray], ...] = ()
    circles: tuple[tuple[str, tuple[float, float, float]], ...] = ()
    words: tuple[tuple[str, tuple[float, float], str], ...] = ()

    def __add__(self, other: Lines) -> Lines:
        return Lines(
            self.rings + other.rings,
            self.open + other.open,
            self.circles + other.circles,
            self.words + other.words,
        )

    def moved(self, turn: np.ndarray, by: np.ndarray) -> Lines:
        """Return the lines turned by a 2 x 2 matrix, which mirrors nothing, and moved."""

        def put(xy: np.ndarray) -> np.ndarray:
            return xy @ turn.T + by

        return replace(
            self,
            rings=tuple((on, np.column_stack([put(r[:, :2]), r[:, 2]])) for on, r in self.rings),
            open=tuple((on, put(xy)) for on, xy in self.open),
            circles=tuple((on, (*put(np.array([x, y])).tolist(), r)) for on, (x, y, r) in self.circles),
            words=tuple((on, tuple(put(np.array(at)).tolist()), said) for on, at, said in self.words),
        )  # fmt: skip

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(left, bottom, right, top) of all that is drawn, mm."""
        points = [traced(rows, 0.05) for _, rows in self.rings] + [xy for _, xy in self.open]
        points += [np.array([[x - r, y - r], [x + r, y + r]]) for _, (x, y, r) in self.circles]
        low, high = (end(np.vstack(points), axis=0) for end in (np.min, np.max))
        left, bottom, right, top = (np.round([*low, *high], 9) + 0.0).tolist()
        return left, bottom, right, top

    def at_the_origin(self) -> Lines:
        """Return the lines moved so that their lower left corner is (0, 0)."""
        return self.moved(np.eye(2), -np.array(self.bounds[:2]))


def dxf(lines: Lines, *, version: str = "R2010", notes: dict[str, str] | None = None) -> str:
    """Return lines as DXF text in mm: closed polylines with bulges, one layer a kind of work.

    Parameters
    ----------
    version : {"R2010", "R12"}
    notes : dict, optional
        Kept in the header as the drawing's own properties; R12 has none.
    """
    from ezdxf import units
    from ezdxf.document import Drawing

    old = version == "R12"
    drawing = Drawing.new(version)
    drawing.header["$MEASUREMENT"] = 1
    if not old:
        drawing.units = units.MM
        for name, words in (notes or {}).items():
            drawing.header.custom_vars.append(name, words)
    used = {layer for layer, *_ in (*lines.rings, *lines.open, *lines.circles, *lines.words)}
    for layer, (colour, _) in LAYERS.items():
        if layer in used:
            drawing.layers.add(layer, color=colour)
    space = drawing.modelspace()
    draw = space.add_polyline2d if old else space.add_lwpolyline
    for layer, rows in lines.rings:
        draw(np.round(rows, 9).tolist(), format="xyb", close=True, dxfattribs={"layer": layer})
    for layer, xy in lines.open:
        draw(np.round(xy, 9).tolist(), format="xy", dxfattribs={"layer": layer})
    for layer, (x, y, radius) in lines.circles:
        space.add_circle((x, y), radius, dxfattribs={"layer": layer})
    for layer, (x, y), said in lines.words:
        placed = {"layer": layer, "height": WORDS_MM, "insert": (x, y)}
        space.add_text(said, dxfattribs=placed)
    left, bottom, right, top = lines.bounds
    # what is written is the layout's extents; in R12 the header's own
    space.reset_extents((left, bottom, 0), (right, top, 0))
    drawing.header["$EXTMIN"], drawing.header["$EXTMAX"] = (left, bottom, 0), (right, top, 0)
    stream = io.StringIO()
    drawing.write(stream)
    return stream.getvalue()


def svg(lines: Lines, *, title: str, words: str = "") -> str:
    """Return lines as SVG text: arcs as arcs, one named layer of its own colour a kind of work."""
    left, bottom, right, top = np.array(lines.bounds) + (-1, -1, 1, 1)
    groups = []
    for layer, (_, colour) in LAYERS.items():
        bodies = list(_paths(lines, layer))
        if bodies:
            groups.append(
                f'<g id="{layer}" inkscape:groupmode="layer" inkscape:label="{layer}" '
                f'stroke="{colour}">{"".join(bodies)}</g>'
            )
    size = [f"{side:.{DIGITS}f}" for side in (right - left, top - bottom)]
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<svg xmlns="http://www.w3.org/2000/svg" '
        'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'width="{size[0]}mm" height="{size[1]}mm" viewBox="{left:.{DIGITS}f} {-top:.{DIGITS}f} '
        f'{size[0]} {size[1]}" fill="none" stroke-width="0.25">\n'
        f"<title>{_safe(title)}</title>\n<desc>1:1 in mm; y points down. {_safe(words)}</desc>\n"
        + "\n".join(groups)
        + "\n</svg>\n"
    )


def _safe(text: str) -> str:
    return escape(" ".join(clean(text)[:1000].split()))


def _paths(lines: Lines, layer: str) -> Iterator[str]:
    """Yield a layer's shapes as the SVG has them."""

    def at(x: float, y: float) -> str:
        return f"{x:.{DIGITS}f} {-y + 0.0:.{DIGITS}f}"

    for on, rows in lines.rings:
        if on == layer:
            steps = [f"M{at(*rows[0, :2])}"]
            for (x, y, bulge), (to_x, to_y, _) in zip(rows, np.roll(rows, -1, axis=0), strict=True):
                if bulge == 0:
                    steps.append(f"L{at(to_x, to_y)}")
                    continue
                radius = arc(np.array([x, y]), np.array([to_x, to_y]), bulge)[1]
                turn = f"{radius:.{DIGITS}f} {radius:.{DIGITS}f} 0 0 {0 if bulge > 0 else 1}"
                steps.append(f"A{turn} {at(to_x, to_y)}")
            if rows[-1, 2] == 0:  # Z draws it; drawn twice, it would end in a line of no length
                steps.pop()
            yield f'<path d="{"".join(steps)}Z"/>'
    for on, xy in lines.open:
        if on == layer:
            yield f'<path d="M{"L".join(at(x, y) for x, y in xy)}"/>'
    for on, (x, y, radius) in lines.circles:
        if on == layer:
            yield f'<circle cx="{x:.{DIGITS}f}" cy="{-y:.{DIGITS}f}" r="{radius:.{DIGITS}f}"/>'
    for on, (x, y), said in lines.words:
        if on == layer:
            yield (
                f'<text x="{x:.{DIGITS}f}" y="{-y:.{DIGITS}f}" font-size="{WORDS_MM}" '
                f'stroke="none" fill="{LAYERS[layer][1]}">{escape(said)}</text>'
            )
