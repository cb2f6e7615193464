"""Alternating directions (Peaceman and Rachford) in numpy, on sheetkit's own grid and kerf."""

import numpy as np
from shapely import LineString

from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.weld_source import WeldRun
from sheetkit.heat.workpiece import Workpiece

RING = LineString([(0, 0), (300, 0), (300, 200), (0, 200), (0, 0)])


def hour():
    """Return a 60-stitch seam, an order and starts that take an hour of shop time."""
    import shapely

    pitch = RING.length / 60
    stitches = []
    for n in range(60):
        at = n * pitch + np.linspace(0, pitch, 9)
        points = shapely.get_coordinates(shapely.line_interpolate_point(RING, at % RING.length))
        stitches.append(WeldRun(points, 100 * pitch, pitch / 6.667))
    sheet = SheetModel(Workpiece(None, [RING], 1.0, stitches=stitches))
    order = [(7 * n) % 60 for n in range(60)]
    return sheet, order, 60.0 * np.arange(60)


def own_readings(sheet, order, starts, steps=None):
    """Return the highest rise along each stitch just before it is welded, K."""
    if steps is not None:
        before, sheet.steps = sheet.steps, steps
    peaks = sheet.play(order, starts, look_ahead_s=1e-6).peak_before_start_c
    if steps is not None:
        sheet.steps = before
    return peaks - sheet.ambient_c


def _thomas(lower, diagonal, upper, right):
    """Solve tridiagonal systems along the first axis, all columns at once."""
    count = len(diagonal)
    ratio, value = np.empty_like(right), np.empty_like(right)
    ratio[0], value[0] = upper[0] / diagonal[0], right[0] / diagonal[0]
    for n in range(1, count):
        scale = 1 / (diagonal[n] - lower[n] * ratio[n - 1])
        ratio[n] = upper[n] * scale
        value[n] = (right[n] - lower[n] * value[n - 1]) * scale
    for n in range(count - 2, -1, -1):
        value[n] -= ratio[n] * value[n + 1]
    return value


def march(sheet, order, starts, step):
    """Weld the schedule in even steps of about `step` s; return what `own_readings` returns."""
    state = sheet.cold()
    state.field = state.field.astype(float)
    begin, (cells, weights) = sheet.placed.begin, sheet.placed.samples
    energy, duration = sheet.placed.energy_j, sheet.placed.duration_s
    inverse = sheet.per_capacity.astype(float)
    readings = []

    def operators():
        east, north = state.east.astype(float), state.north.astype(float)
        west, south = np.roll(east, 1, 1), np.roll(north, 1, 0)
        half = float(sheet.loss_per_s.max()) / 2
        return (
            (inverse * west, inverse * east, inverse * (west + east) + half),
            (inverse * south, inverse * north, inverse * (south + north) + half),
        )

    def advance(dt, x, y, source):
        u, h = state.field, dt / 2
        along_y = y[0] * np.roll(u, 1, 0) + y[1] * np.roll(u, -1, 0) - y[2] * u
        right = u + h * (along_y + source)
        u = _thomas((-h * x[0]).T, (1 + h * x[2]).T, (-h * x[1]).T, right.T).T
        along_x = x[0] * np.roll(u, 1, 1) + x[1] * np.roll(u, -1, 1) - x[2] * u
        right = u + h * (along_x + source)
        state.field = _thomas(-h * y[0], 1 + h * y[2], -h * y[1], right)

    x, y = operators()
    clock = 0.0
    for weld, start in zip(order, starts, strict=True):
        count = max(1, round((start - clock) / step)) if start > clock else 0
        for _ in range(count):
            advance((start - clock) / count, x, y, 0.0)
        lines = sheet.read(state)
        readings.append(lines[weld] - sheet.ambient_c)
        sheet.close(state, weld)
        x, y = operators()
        parts = max(1, round(duration[weld] / step))
        samples = np.arange(begin[weld], begin[weld + 1])
        for part in np.array_split(samples, parts):
            source = np.zeros(state.field.size)
            joules = energy[weld] / samples.size * weights[part].astype(float)
            np.add.at(source, cells[part].ravel(), joules.ravel())
            dt = duration[weld] / parts
            advance(dt, x, y, source.reshape(state.field.shape) * inverse / dt)
        clock = start + duration[weld]
    return np.array(readings)
