"""Checks against published values and closed forms, run when they are looked at.

Each function gives rows of a figure, the value expected by hand or from print, and the one
sheetkit finds.  More of them, each beside its source, stand in the tests.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import permutations
from math import exp, hypot, pi, sqrt

import numpy as np
import shapely
from shapely import LineString, Point

from ..base import tables, units
from ..base.showing import Column, Listing, Number
from ..base.tables import Row
from ..formulas import arc, filler, montecarlo
from ..formulas.gas import REFERENCE_BAR, compressibility, cylinder_content_l
from ..geometry.cut_line import cut_lines
from ..geometry.seam import seam_runs
from ..heat.air import Losses
from ..heat.closed_forms import haz_width, instantaneous_line_source, moving_line_source
from ..heat.cooling import cooling_time_8_5
from ..heat.grid import GridChoice
from ..heat.record import simulate
from ..heat.rules import Rules
from ..heat.sheet_model import SheetModel
from ..heat.steel import MILD_STEEL
from ..heat.weld_source import WeldRun
from ..heat.workpiece import Workpiece
from ..pull.buckling import first_buckling
from ..pull.mesh import meshed
from ..pull.plate import Plate
from ..sequence.plan import plan_sequence
from ..sequence.planner import SearchChoice

Check = tuple[str, str, int, float, float, str]
"""Figure, unit, digits shown, expected, found, where the expected value is from."""


class Checks(Listing):
    """Figures expected and found, with the error of each."""

    def __init__(self, checks: Iterable[Check]):
        checks = tuple(checks)
        rows = []
        for name, unit, digits, expected, found, origin in checks:
            cells = (Number(float(x), f"{x:.{digits}f}") for x in (expected, found))
            rows.append((name, unit, *cells, 100 * (found / expected - 1), origin))
        heads: list[Column | str] = [
            "figure",
            "unit",
            "expected",
            "sheetkit",
            Column("error", "%", 2),
            "expected from",
        ]
        super().__init__(heads, rows)

    @property
    def worst(self) -> float:
        """The largest error of all, as a share."""
        return max(abs(row[4]) for row in self.rows) / 100


def geometry() -> Checks:
    """Check cut lines and a seam against a rectangle and a circle, by hand."""
    margin, gap = 25.0, 0.9
    (cut,) = cut_lines(shapely.box(0, 0, 100, 80), margin=margin)
    (round_cut,) = cut_lines(Point(0, 0).buffer(40, quad_segs=180), margin=margin)
    (seam,) = seam_runs(cut, joint="butt", gap=gap)
    nearest = cut.exterior.distance(shapely.box(0, 0, 100, 80))
    return Checks([
        ("nearest the cut comes to the rust", "mm", 2, margin, nearest, "the margin itself"),
        ("area cut, rust 100 × 80 mm", "mm²", 0, 100 * 80 + 2 * 180 * margin + pi * margin**2,
         cut.area, "rectangle and round corners, by hand"),
        ("area cut, rust a circle of 40 mm radius", "mm²", 0, pi * 65**2, round_cut.area,
         "pi r², by hand"),
        ("seam of the first", "mm", 1, 2 * 180 + 2 * pi * (margin - gap / 2), seam.length,
         "two lengths, two heights and a circle, by hand"),
    ])  # fmt: skip


def weld_arithmetic() -> Checks:
    """Check units, arc energy, wire, feed and gas against print, or by hand where it says so."""
    high, full = (units.parse(text, "pressure", field="p") for text in ("2400 psi", "2000 psi"))
    energy = arc.arc_energy_kj_per_mm(16, 60, 400)
    gauge = tables.row("sheet_gauges", "20", "thickness").value
    content = cylinder_content_l(29.5, full - REFERENCE_BAR, 1.0)
    return Checks([
        ("20 gauge", "mm", 3, 0.912, gauge, "Manufacturers' Standard Gauge"),
        ("25 ft³/h", "l/min", 2, 11.80, units.parse("25 ft^3/h", "flow", field="flow"),
         "NIST SP 811"),
        ("arc energy, 300 A, 20 V, 150 mm/min", "kJ/mm", 2, 2.40,
         arc.arc_energy_kj_per_mm(20, 300, 150), "a welding course's example"),
        ("arc energy, 60 A, 16 V, 400 mm/min", "kJ/mm", 4, 0.1440, energy, "ISO/TR 18491, by hand"),
        ("heat input, k 0.8", "kJ/mm", 4, 0.1152, arc.heat_input_kj_per_mm(0.8, energy),
         "EN 1011-1, by hand"),
        ("wire of 0.8 mm", "g/m", 3, 3.946, filler.wire_g_per_m(0.8), "pi/4 d² × 7.85, by hand"),
        ("feed of 1.2 mm wire at 200 A", "m/min", 2, 5.40,
         filler.wire_feed_m_min(200, 1.2, 15, 0.3, 5e-5), "Lesnewich's formula, by hand"),
        ("Z of argon, 300 K, 2400 psi", "1", 3, 0.949, compressibility("I1", high, 26.85),
         "notes quoting NIST"),
        ("29.5 l at 2000 psi, ideal gas", "l", 0, 4013, content, "a gas company's page"),
    ])  # fmt: skip


STILL = Losses(25.0, 25.0)
"""W/(m² K), upper and lower face."""


def heat_flow() -> Checks:
    """Check closed forms by hand or against print, and the solver against them; 1 mm sheet."""
    spot = WeldRun(np.zeros((2, 2)), 1000.0, 0.05)
    reach = hypot(16, 11.2)
    at = (Point(0, 0), Point(16, 11.2))
    wide = Workpiece(shapely.box(-300, -300, 300, 300), [], 1.0, stitches=[spot], protect=at,
                     steel=MILD_STEEL, losses=STILL)  # fmt: skip
    fine = GridChoice(cell_mm=2, far_growth=1.08, far_cell_mm=10, steps=(0.3, 1.2, 20))
    solved = simulate(SheetModel(wide, fine), [0], [0.0], until_s=20.025, every_s=20.025)
    rise = solved.points_c[-1] - STILL.ambient_c
    closed = Workpiece(shapely.box(-200, -200, 200, 200), [], 1.0, stitches=[spot],
                       steel=MILD_STEEL, losses=STILL)  # fmt: skip
    held = simulate(SheetModel(closed), [0], [0.0], until_s=60.05)

    def spot_rise(radius: float, seconds: float, **losses: Losses) -> float:
        return float(instantaneous_line_source(
            1000, radius, seconds, thickness_mm=1.0, steel=MILD_STEEL, **losses))  # fmt: skip

    arc_c = 20 + moving_line_source(768, 20 / 3, 0, 5, thickness_mm=1.0, steel=MILD_STEEL)
    cooling = cooling_time_8_5(0.1, 1.0, start_c=20, weld_factor_2d=1.0)
    left = exp(-STILL.faces * 1e-6 * 60.0 / (MILD_STEEL.heat_capacity_j_mm3k * 1.0))
    first = "the first formula, with losses"
    return Checks([
        ("spot of 1000 J, at its centre after 5 s", "K", 3, 397.887, spot_rise(0, 5),
         "Carslaw and Jaeger 10.3, formula"),
        ("moving arc of 768 W, 5 mm aside", "°C", 3, 384.463, float(arc_c), "Rosenthal, formula"),
        ("t8/5 of 0.1 kJ/mm on 1 mm", "s", 2, 11.36, float(cooling), "EN 1011-2, D.6, formula"),
        ("heat-affected zone, 720 J/mm on 5 mm", "mm", 1, 5.9,
         float(haz_width(720, thickness_mm=5, start_c=25)), "AWS Welding Handbook's example"),
        ("solver, the spot at its centre after 20 s", "K", 1, spot_rise(0, 20, losses=STILL),
         float(rise[0]), first),
        ("solver, 19.5 mm off after 20 s", "K", 1, spot_rise(reach, 20, losses=STILL),
         float(rise[1]), first),
        ("solver, share of the heat left in a plate after 60 s", "1", 4, left,
         held.held_j / held.input_j, "exp(-2 h τ / (ρ c t))"),
    ])  # fmt: skip


RING = LineString(shapely.box(0, 0, 100, 80).exterior.coords)


def open_kerf() -> Listing:
    """Return what a heated patch lets through its open kerf, and what the heat's balance lacks."""
    inside = WeldRun(np.array([[50.0, 40.0], [50.0, 40.0]]), 2000.0, 1.0)
    sheet = SheetModel(
        Workpiece(None, [RING], 1.0, stitches=[inside], steel=MILD_STEEL, losses=STILL)
    )
    state = sheet.play([0], [0.0]).state
    sheet.cool(state, 300.0)
    outside = ~shapely.contains_xy(shapely.Polygon(RING), *np.meshgrid(sheet.grid.x, sheet.grid.y))
    run = simulate(sheet, [0], [0.0], until_s=300)
    return Listing(
        ["figure", "unit", Column("found", "", 3), "must be"],
        [
            ("warmest place beyond the open kerf after 300 s, rise", "K",
             float(np.abs(sheet.grid.inner(state.field)[sheet.grid.inner(outside)]).max()), "0"),
            ("heat put in less held less lost", "%", 100 * abs(run.imbalance), "under 0.01"),
        ],
    )  # fmt: skip


def _along(count: int, length: float) -> list[WeldRun]:
    """Return welds of 100 J/mm, evenly along the ring."""
    pitch = RING.length / count
    starts = (n * pitch + (pitch - length) / 2 for n in range(count))
    return [
        WeldRun(
            shapely.get_coordinates(
                shapely.line_interpolate_point(RING, start + np.linspace(0, length, 9))
            ),
            100.0 * length,
            length / 6.667,
        )
        for start in starts
    ]


def every_order(limit_c: float = 60.0) -> Checks:
    """Check a plan of five stitches against all 120 orders, timed by the same rules."""
    piece = Workpiece(None, [RING], 1.0, tacks=_along(8, 5), stitches=_along(5, 25))
    plan = plan_sequence(piece, rules=Rules(limit_c=limit_c), choice=SearchChoice(6.0, 0.1))
    state = plan.tacked()
    best = min(
        plan.timed(list(order), plan.rules, state=state).total_s for order in permutations(range(5))
    )
    return Checks([("time for the fill", "s", 1, best, plan.total_s, "the best of all 120 orders")])


def ranges() -> Checks:
    """Check the draws behind "one in ten below" against closed forms of the triangle."""

    def drawn(name: str, low: float, value: float, high: float) -> np.ndarray:
        return montecarlo.column(
            Row("check", name, name, low, value, high, "1", "check", "derived", "")
        )

    first, second = drawn("a", 1, 2, 6), drawn("b", 0, 4, 5)
    ends = (0.1, 0.5, 0.9)
    by_hand = (1 + sqrt(0.1 * 5 * 1), 6 - sqrt(0.5 * 5 * 4), 6 - sqrt(0.1 * 5 * 4))
    words = ("one in ten below", "middle", "one in ten above")
    variance = (1 + 4 + 36 - 2 - 6 - 12) / 18 + (0 + 16 + 25 - 0 - 0 - 20) / 18
    rows: list[Check] = [
        (f"{said}, input of 1, 2 and 6", "1", 3, expected, float(np.quantile(first, end)),
         "closed form of the triangle, by hand")
        for said, expected, end in zip(words, by_hand, ends, strict=True)
    ]  # fmt: skip
    rows += [
        ("mean of its sum with one of 0, 4 and 5", "1", 3, 3 + 3, float(np.mean(first + second)),
         "(a + m + b) / 3, summed"),
        ("variance of that sum", "1", 3, variance, float(np.var(first + second)),
         "closed form, summed"),
    ]  # fmt: skip
    return Checks(rows)


def plate_buckling() -> Checks:
    """Check first bucklings of plates against printed coefficients, N b² / (pi² D) or N a² / D."""
    square, circle = shapely.box(0, 0, 100, 100), Point(0, 0).buffer(50, quad_segs=60)
    cases = (
        ("square plate, simply supported", square, False, (-1.0, 0.0, 0.0), 100**2 / pi**2, 4.00),
        ("square plate, clamped", square, True, (-1.0, 0.0, 0.0), 100**2 / pi**2, 10.07),
        ("square plate, sheared", square, False, (0.0, 0.0, 1.0), 100**2 / pi**2, 9.34),
        ("round plate, simply supported", circle, False, (-1.0, -1.0, 0.0), 50**2, 4.20),
        ("round plate, clamped", circle, True, (-1.0, -1.0, 0.0), 50**2, 14.68),
    )
    rows: list[Check] = []
    for name, shape, clamped, force, scale, printed in cases:
        mesh = meshed(shape, [], size_mm=2.5, growth=0.0)
        plate = Plate(mesh)
        held = np.unique(mesh.sides[mesh.rim])
        if clamped:
            held = np.append(held, len(mesh.points) + mesh.rim)
        loss = plate.compression(np.tile(force, (len(mesh.triangles), 1)))
        free = np.setdiff1d(np.arange(plate.size), held)
        found = first_buckling(plate.bending, loss, free)[0] * scale
        rows.append((name, "1", 2, printed, found, "Timoshenko and Gere (value from memory)"))
    return Checks(rows)
