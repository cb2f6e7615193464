"""A seam and welds along it, for the tests of heat and sequence."""

from dataclasses import fields

import numpy as np
import shapely
from shapely import LineString

from sheetkit.heat.air import Losses
from sheetkit.heat.grid import GridChoice
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.weld_source import WeldRun
from sheetkit.heat.workpiece import Workpiece

SQUARE = LineString([(0, 0), (100, 0), (100, 80), (0, 80), (0, 0)])


def runs_on(line, count, length=None, *, joule_mm=100.0, patch=0):
    """Return `count` welds spread evenly along a line; by default they tile it."""
    pitch = line.length / count
    each = length or pitch
    result = []
    for n in range(count):
        at = n * pitch + (pitch - each) / 2 + np.linspace(0, each, 9)
        points = shapely.get_coordinates(shapely.line_interpolate_point(line, at % line.length))
        result.append(WeldRun(points, joule_mm * each, each / 6.667, patch))
    return result


def sheet_of(panel, seams, *, film=None, edges=0.0, **more):
    """Return a model of a 1 mm sheet; `film`: what each face loses, W/(m² K), None: still air.

    The rest are fields of `Workpiece` and of `GridChoice`.
    """
    losses = Losses.still_air() if film is None else Losses(film, film, edges=edges)
    cells = {name: more.pop(name) for name in {*more} & {one.name for one in fields(GridChoice)}}
    piece = Workpiece(panel, seams, **{"thickness_mm": 1.0, "losses": losses} | more)
    return SheetModel(piece, GridChoice(**cells))
