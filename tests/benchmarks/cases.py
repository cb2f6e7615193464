"""The cases the benchmarks share, and other programs' ways of solving them.

Every other program gets the same sheet, kerf, tacks, stitches and starts:
6 stitches of 20 mm on a tacked 100 x 80 mm patch, one every 50 s, 305 s in all.
"""

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as spl
import shapely
from shapely import LineString

from sheetkit.heat.air import Losses
from sheetkit.heat.grid import GridChoice
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.weld_source import WeldRun
from sheetkit.heat.workpiece import Workpiece

PANEL = shapely.box(-200, -200, 300, 280)
PATCH = (0.0, 0.0, 100.0, 80.0)
SEAM = LineString([(0, 0), (100, 0), (100, 80), (0, 80), (0, 0)])
STARTS = 50.0 * np.arange(6)
UNTIL = 305.0
K, CAPACITY, FILM, THICKNESS = 0.040, 4.71e-3, 20e-6, 1.0


def _run(x0, y0, x1, y1, joule, seconds):
    return WeldRun(np.array([[x0, y0], [x1, y1]], float), joule, seconds)


TACKS = [_run(x, y, x + 8, y, 0.0, 0.5) for y in (0, 80) for x in (4, 44, 88)] + [
    _run(x, y, x, y + 8, 0.0, 0.5) for x in (0, 100) for y in (36,)
]
STITCHES = [
    _run(16, 0, 36, 0, 2000, 3), _run(84, 80, 64, 80, 2000, 3), _run(100, 8, 100, 28, 2000, 3),
    _run(0, 72, 0, 52, 2000, 3), _run(60, 0, 80, 0, 2000, 3), _run(36, 80, 16, 80, 2000, 3),
]  # fmt: skip


def model(cell=4.0, **more):
    piece = Workpiece(PANEL, [SEAM], THICKNESS, TACKS, STITCHES, losses=Losses(10, 10))
    return SheetModel(piece, GridChoice(cell, **more))


def tacked(sheet):
    """Return the cold sheet with its tacks closed (they carry no heat here)."""
    state = sheet.play(range(len(TACKS)), -10 + np.arange(len(TACKS))).state
    state.clock = 0.0
    state.field[:] = 0
    return state


def lines(cell, growth=1.15):
    """Return graded mesh lines with the seam on them."""

    def away(reach):
        sizes, total = [], 0.0
        while total < reach:
            sizes.append(max(cell, min(cell * growth ** (len(sizes) - 2), 32.0)))
            total += sizes[-1]
        return np.cumsum(np.array(sizes) * reach / total)

    axes = []
    for low, high, begin, end in [(-200, 300, 0, 100), (-200, 280, 0, 80)]:
        core = np.linspace(begin, end, round((end - begin) / cell) + 1)
        axes.append(
            np.concatenate([(begin - away(begin - low))[::-1], core, end + away(high - end)])
        )
    return axes


class FiniteElements:
    """Bilinear elements by scikit-fem; nodes on the seam are doubled until they are welded."""

    def __init__(self, cell):
        import skfem
        from skfem.helpers import dot, grad

        x, y = lines(cell)
        mesh = skfem.MeshQuad.init_tensor(x, y)
        p, t = mesh.p, mesh.t.copy()
        x0, y0, x1, y1 = PATCH
        on = ((np.isclose(p[0], x0) | np.isclose(p[0], x1)) & (p[1] > y0 - 1e-9) & (p[1] < y1 + 1e-9)) | (
            (np.isclose(p[1], y0) | np.isclose(p[1], y1)) & (p[0] > x0 - 1e-9) & (p[0] < x1 + 1e-9))  # fmt: skip
        seam = np.flatnonzero(on)
        middle = p[:, t].mean(axis=1)
        inside = (middle[0] > x0) & (middle[0] < x1) & (middle[1] > y0) & (middle[1] < y1)
        twin = np.full(p.shape[1], -1)
        twin[seam] = p.shape[1] + np.arange(seam.size)
        part = t[:, inside]
        t[:, inside] = np.where(twin[part] >= 0, twin[part], part)
        self.p = np.hstack([p, p[:, seam]])
        mesh = skfem.MeshQuad(self.p, t)
        basis = skfem.Basis(mesh, skfem.ElementQuad1())
        self.mass = skfem.BilinearForm(lambda u, v, w: CAPACITY * THICKNESS * u * v).assemble(basis)
        self.stiff = skfem.BilinearForm(
            lambda u, v, w: K * THICKNESS * dot(grad(u), grad(v)) + FILM * u * v
        ).assemble(basis)
        order = np.argsort(shapely.line_locate_point(SEAM, shapely.points(p[:, seam].T)))
        self.outer, self.inner = seam[order], twin[seam][order]
        self.s = shapely.line_locate_point(SEAM, shapely.points(p[:, self.outer].T))
        self.joined = np.zeros(self.s.size, bool)
        for tack in TACKS:
            self.join(tack)

    def join(self, weld):
        a, b = sorted(shapely.line_locate_point(SEAM, shapely.points(weld.path)))
        self.joined |= (self.s >= a - 1e-6) & (self.s <= b + 1e-6)

    def reduced(self):
        """Return the matrix that ties the welded twins together."""
        nodes = self.p.shape[1]
        to = np.arange(nodes)
        to[self.inner[self.joined]] = self.outer[self.joined]
        kept, number = np.unique(to, return_inverse=True)
        return sp.csr_matrix((np.ones(nodes), (np.arange(nodes), number)), (nodes, kept.size))

    def load(self, weld, begin, end):
        """Return nodal heat (J) of the part begin..end (shares) of a weld, half on each side."""
        at = shapely.points(weld.at(begin + (end - begin) * (np.arange(40) + 0.5) / 40))
        s = shapely.line_locate_point(SEAM, at)
        ring = np.append(self.s, SEAM.length)
        n = np.clip(np.searchsorted(ring, s, side="right") - 1, 0, self.s.size - 1)
        u = (s - ring[n]) / (ring[n + 1] - ring[n])
        load, after = np.zeros(self.p.shape[1]), (n + 1) % self.s.size
        for side in (self.inner, self.outer):
            np.add.at(load, side[n], (1 - u) * weld.energy_j * (end - begin) / 80)
            np.add.at(load, side[after], u * weld.energy_j * (end - begin) / 80)
        return load

    def solve(self, steps_of, record):
        """March with an L-stable second-order scheme; call record(time, temperatures)."""
        gamma = 1 - 1 / np.sqrt(2)
        value, now = np.zeros(self.p.shape[1]), 0.0
        tie = None
        known = {}
        for begin, end, weld, share in steps_of:
            dt = end - begin
            if weld is not None and share[0] == 0:
                self.join(weld)
                tie = None
            if tie is None:
                tie = self.reduced()
                mass, stiff = (tie.T @ m @ tie for m in (self.mass, self.stiff))
                weight = np.asarray(tie.sum(axis=0)).ravel()
                small = (tie.T @ value) / weight
                known = {}
            key = round(dt, 9)
            if key not in known:
                known[key] = spl.splu((mass + gamma * dt * stiff).tocsc())
            power = tie.T @ self.load(weld, *share) / dt if weld is not None else 0.0
            first = known[key].solve(power - stiff @ small)
            second = known[key].solve(power - stiff @ (small + (1 - gamma) * dt * first))
            small = small + dt * ((1 - gamma) * first + gamma * second)
            value, now = tie @ small, end
            record(now, value)
        return value


def even_steps(dt):
    """Return (begin, end, weld, shares) in steps of about dt."""
    steps, clock = [], 0.0
    for weld, start in [*zip(STITCHES, STARTS, strict=True), (None, UNTIL)]:
        count = round((start - clock) / dt)
        steps += [(clock + n * (start - clock) / count, clock + (n + 1) * (start - clock) / count,
                   None, None) for n in range(count)]  # fmt: skip
        if weld is None:
            return steps
        parts = max(1, round(weld.duration_s / dt))
        each = weld.duration_s / parts
        steps += [(start + n * each, start + (n + 1) * each, weld, (n / parts, (n + 1) / parts))
                  for n in range(parts)]  # fmt: skip
        clock = start + weld.duration_s
    return steps


def growing_steps(first=0.6, growth=1.2, longest=20.0, *, welds=None, until=UNTIL):
    """Return the steps sheetkit itself takes: short after an arc, then growing.

    welds : (WeldRun, start) in order; None: the shared six
    """
    steps, clock = [], 0.0
    welds = list(zip(STITCHES, STARTS, strict=True)) if welds is None else list(welds)
    for weld, start in [*welds, (None, until)]:
        dt = first
        while start - clock > 1e-9:
            now = min(dt, start - clock)
            if start - clock - now < 0.25 * now:
                now = start - clock
            steps.append((clock, clock + now, None, None))
            clock += now
            dt = min(dt * growth, longest)
        if weld is None:
            return steps
        parts = int(np.ceil(weld.duration_s / first))
        each = weld.duration_s / parts
        steps += [(start + n * each, start + (n + 1) * each, weld, (n / parts, (n + 1) / parts))
                  for n in range(parts)]  # fmt: skip
        clock = start + weld.duration_s
    return steps


def curved(kind="wide"):
    """Return a sheet with a seam of 300 vertices, 16 tacks, 12 stitches: "wide", "edge", "protected".

    "edge": the sheet ends 12 mm below the seam; "protected": a line 30 mm above it is followed.
    """
    turn = 2 * np.pi * np.arange(301) / 300
    reach = 1 + 0.08 * np.cos(3 * turn) + 0.04 * np.sin(5 * turn)
    points = np.stack([75 * reach * np.cos(turn), 55 * reach * np.sin(turn)], axis=1)
    points[-1] = points[0]
    seam = LineString(points)

    def run(begin, length, joule, seconds):
        at = (begin + np.linspace(0, length, 9)) % seam.length
        return WeldRun(shapely.get_coordinates(shapely.line_interpolate_point(seam, at)), joule,
                       seconds)  # fmt: skip

    tacks = [run(seam.length * n / 16, 5.0, 0.0, 0.5) for n in range(16)]
    fill = [run(seam.length * (5 * n % 16) / 16 + 7, 20.0, 2000.0, 3.0) for n in range(12)]
    low = points[:, 1].min() - 12 if kind == "edge" else -300.0
    top = points[:, 1].max() + 30
    protect = [LineString([(-100, top), (100, top)])] if kind == "protected" else []
    return Workpiece(shapely.box(-300, low, 300, 300), [seam], THICKNESS, tacks, fill,
                     protect=protect, losses=Losses(10, 10))  # fmt: skip


CURVED_STARTS = 40.0 * np.arange(12)


def curved_readings(sheet):
    """Return the highest rise along each stitch just before it is welded, K."""
    count = len(sheet.tacks)
    state = sheet.play(range(count), -10 + 0.5 * np.arange(count)).state
    state.clock = 0.0
    state.field[:] = 0
    there = sheet.play(count + np.arange(12), CURVED_STARTS, state=state, look_ahead_s=1e-6)
    return there.peak_before_start_c - sheet.ambient_c
