"""Files for whoever cuts the sheet: each blank, the panel's cut, the blanks on their stock sheet.

Every outline is the finished size, drawn face up, its lower left corner at the origin.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely import Polygon
from shapely.ops import substring

from ..geometry.arcs import arcs_of
from ..geometry.fold import Bend
from ..geometry.stock_sheet import Placement
from ..job.mirror import hand_of
from ..repair.estimate import Estimate
from ..workshop.shopping import stock_for
from . import engraving, line_files
from .cutting_notes import TURNED, cutting_notes
from .lettering import clean
from .line_files import Lines
from .pattern import Pattern, patterns

FOLDER = "cutting"
NOTES = f"{FOLDER}/read_me.txt"
MARK_MM = 4.0
"""How far a bend's marks reach in from the blank's edge."""
TALLEST_MM, LEAST_MM = 8.0, 2.5
"""Of engraved letters; a piece without room for the least stays blank."""
_KERF = "Finished size, face up: the machine offsets its kerf, outside outlines, inside holes."


def cutting_files(result: Estimate, *, display: str = "mm") -> dict[str, bytes]:
    """Return a job's cutting files by name: DXF and SVG of each part, and notes on how to cut.

    Parameters
    ----------
    display : {"mm", "in"}
        Units of the notes; the files are in mm.
    """
    pieces = [piece for piece in patterns(result) if piece.outline is not None]
    drawn = {
        f"patch_{piece.number}_of_{len(pieces)}": _piece(
            piece, result.job.sheet.thickness, hand_of(result.job) or ""
        )
        for piece in pieces
    }
    parts = [drawn[name] for name in drawn]
    drawn |= {"panel_cut": _panel_cut(result)}
    placement = stock_for([result])
    for sheet in range(len(placement.sheets) if placement.placed else 0):
        name = f"stock_sheet_{sheet + 1}_of_{len(placement.sheets)}"
        drawn[name] = _stock_sheet(placement, sheet, pieces, parts)
    title = " ".join(clean(result.job.title)[:200].split()) or "Untitled job"
    notes = cutting_notes(result, pieces, placement, title=title, display=display)
    texts = {NOTES: "\r\n".join(notes)}
    for name, lines in drawn.items():
        lines, called = lines.at_the_origin(), f"{name}: {title}"
        told = {"TITLE": called, "SHEET": f"{result.job.sheet.thickness:g} mm", "KERF": _KERF}
        texts[f"{FOLDER}/{name}.dxf"] = line_files.dxf(lines, notes=told)
        texts[f"{FOLDER}/{name}.svg"] = line_files.svg(lines, title=called, words=_KERF)
        texts[f"{FOLDER}/{name}_r12.dxf"] = line_files.dxf(lines, version="R12")
    return {name: text.encode() for name, text in texts.items()}


def _ring(layer: str, ring: shapely.LinearRing) -> tuple[str, np.ndarray]:
    return layer, arcs_of(np.asarray(ring.coords))


def _piece(piece: Pattern, thickness: float, hand: str) -> Lines:
    """Return a blank's lines where the pattern has them: holes before the outline they lie in."""
    outline = piece.outline
    assert outline is not None
    marks = [mark for bend in piece.bends for mark in _bend_marks(bend)]
    return Lines(
        tuple(_ring("CUT", ring) for ring in (*outline.interiors, outline.exterior)),
        tuple(("BEND", mark) for mark in marks)
        + tuple(("ENGRAVE", stroke) for stroke in _words(piece, outline, thickness, hand)),
        tuple(("DRILL", (x, y, piece.plug_hole / 2)) for x, y in piece.plugs),
        tuple(("BENDNOTE", at, said) for at, said in map(_bend_note, piece.bends)),
    )


def _bend_note(bend: Bend) -> tuple[tuple[float, float], str]:
    """Return where on its line a bend's words stand, and them: for a screen, in mm and degrees."""
    x, y = bend.line.interpolate(0.1, normalized=True).coords[0]
    turned, angle = TURNED[bend.toward], f"{bend.angle_deg:.6g}"
    return (x, y), f"BEND {bend.number} {turned} {angle} DEG R{bend.radius_mm:.6g}"


def _bend_marks(bend: Bend) -> Iterator[np.ndarray]:
    """Yield a bend's marks: its ends, not the whole line, which a table would cut through."""
    reach = min(MARK_MM, bend.line.length / 3)
    for start, end in ((0.0, reach), (bend.line.length, bend.line.length - reach)):
        yield shapely.get_coordinates(substring(bend.line, start, end))


def _words(piece: Pattern, outline: Polygon, thickness: float, hand: str) -> Iterator[np.ndarray]:
    """Yield strokes that say which patch, which face is up, the side, which way each bend goes."""
    taken = [shapely.Point(plug).buffer(piece.plug_hole / 2 + 2) for plug in piece.plugs]
    for bend in piece.bends:
        half = bend.line.length / 2
        start, end = np.array(
            [bend.line.interpolate(half + side).coords[0] for side in (-half / 2, half / 2)]
        )
        along = (end - start) / max(float(np.hypot(*(end - start))), 1e-9)
        words = f"{bend.angle_deg:.0f} {TURNED[bend.toward]}"
        clear = bend.radius_mm + thickness + 2
        for height in (5.0, LEAST_MM):
            reach = engraving.width(words) * height
            box = bend.line.interpolate(0.5, normalized=True).coords[0]
            for side in (1, -1):
                middle = np.array(box) + side * (clear + height / 2) * np.array(
                    [-along[1], along[0]]
                )
                room = shapely.LineString([middle - along * reach / 2, middle + along * reach / 2])
                room = room.buffer(height / 2 + 1, cap_style="flat")
                if outline.covers(room) and not shapely.intersects(taken, room).any():
                    break
            else:
                continue
            taken.append(room)
            yield from engraving.engraved(words, middle, height, along)
            break
        taken.append(bend.line.buffer(clear))
    free = outline.difference(shapely.union_all(taken))
    if free.is_empty:
        return
    spot = shapely.maximum_inscribed_circle(free, 0.5)
    lines = (f"PATCH {piece.number}", f"FACE UP{hand and ' ' + hand.upper()}")
    wide = max(map(engraving.width, lines))
    height = min(TALLEST_MM, spot.length / np.hypot(wide / 2, (1 + engraving.LINE) / 2))
    if height < LEAST_MM:
        return
    across = np.array([1.0, 0.0])
    for line, up in zip(lines, (0.5, -0.5), strict=True):
        middle = np.array(spot.coords[0]) + (0, up * engraving.LINE * height)
        yield from engraving.engraved(line, middle, height, across)


def _panel_cut(result: Estimate) -> Lines:
    """Return all cut lines as they lie to one another, no island in them: it is filled."""
    return Lines(tuple(_ring("CUT", patch.cut_line.exterior) for patch in result.patches))


def _stock_sheet(
    placement: Placement, sheet: int, pieces: list[Pattern], parts: list[Lines]
) -> Lines:
    """Return the blanks of one stock sheet in their places, and the sheet's edge."""
    width, height = placement.sheets[sheet]
    edge = np.array([[0, 0, 0], [width, 0, 0], [width, height, 0], [0, height, 0]], float)
    lines = Lines((("STOCK", edge),))
    for placed in placement.placed:
        if placed.sheet == sheet:
            outline = pieces[placed.blank].outline
            assert outline is not None
            lines += parts[placed.blank].moved(*_as_placed(outline, placed.shape))
    return lines


def _as_placed(shape: Polygon, placed: Polygon) -> tuple[np.ndarray, np.ndarray]:
    """Return the turn and move that took a shape to its place, by its points."""
    old, new = (np.asarray(each.exterior.coords)[:-1] for each in (shape, placed))
    from_middle, to_middle = old - old.mean(axis=0), new - new.mean(axis=0)
    cross = from_middle[:, 0] * to_middle[:, 1] - from_middle[:, 1] * to_middle[:, 0]
    angle = np.arctan2(cross.sum(), (from_middle * to_middle).sum())
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    return turn, new.mean(axis=0) - turn @ old.mean(axis=0)
