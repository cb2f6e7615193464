"""The burnt strip's width against Rykalin's line source, and what it says of the heat."""

import numpy as np
import pytest
from seams import runs_on
from shapely import LineString, box

from sheetkit.heat.air import INSULATED
from sheetkit.heat.rules import Rules
from sheetkit.heat.workpiece import Workpiece
from sheetkit.sequence.burnt_strip import MeasuredStrip, strip_widths
from sheetkit.sequence.cooling_curve import learned
from sheetkit.sequence.plan import plan_sequence
from sheetkit.sequence.planner import SearchChoice
from sheetkit.sequence.shop_heat import BOOK


@pytest.fixture(scope="module")
def one_run():
    """One quick run, 300 mm long, in a wide sheet: as good as a line heated at once."""
    seam = LineString([(0, 0), (300, 0)])
    piece = Workpiece(
        box(-300, -300, 600, 300), [seam], 1.0, losses=INSULATED,
        stitches=[run.__class__(run.path, 30_000.0, 3.0) for run in runs_on(seam, 1, 299.9)],
    )  # fmt: skip
    return plan_sequence(piece, rules=Rules(60.0), choice=SearchChoice(effort=0.02))


def rykalin_mm(joule_mm, edge_c, piece):
    """Both sides together: 2 (Q / L) / (sqrt(2 pi e) rho c t (T - T0)), value from memory."""
    capacity = piece.steel.heat_capacity_j_mm3k * piece.thickness_mm
    return 2 * joule_mm / (np.sqrt(2 * np.pi * np.e) * capacity * (edge_c - 20))


@pytest.mark.parametrize("edge_c", [180.0, 250.0, 400.0])
def test_one_long_run_burns_the_width_of_the_line_source(one_run, edge_c):
    heat = np.array([0.8, 1.0, 1.2])
    expected = rykalin_mm(100.0 * heat, edge_c, one_run.model.piece)
    assert strip_widths(one_run, edge_c, heat) == pytest.approx(expected, rel=0.03)


def test_a_strip_of_twenty_percent_more_tells_so_much_heat(one_run):
    wide = rykalin_mm(120.0, 200.0, one_run.model.piece)
    by_paint = learned(one_run, strip=MeasuredStrip(wide)).heat
    by_crayon = learned(one_run, strip=MeasuredStrip(wide, 200.0, 0.03)).heat
    assert 1.05 < by_paint.heat < by_crayon.heat < 1.22
    assert by_crayon.heat == pytest.approx(1.2, rel=0.05)
    assert by_crayon.heat_sd < by_paint.heat_sd < BOOK.heat_sd
    assert by_paint.loss == pytest.approx(1.0, abs=1e-3)
    assert by_paint.loss_sd == pytest.approx(BOOK.loss_sd, rel=0.01)


def test_where_the_strip_runs_off_every_edge_it_tells_nothing():
    seam = LineString([(0, 0), (100, 0)])
    piece = Workpiece(box(-10, -10, 110, 10), [seam], 1.0, stitches=runs_on(seam, 2, 49.9))
    plan = plan_sequence(piece, rules=Rules(60.0), choice=SearchChoice(effort=0.02))
    assert np.isnan(strip_widths(plan, 100.0, np.array([1.0, 1.3]))).all()
    assert learned(plan, strip=MeasuredStrip(20.0, 100.0)).heat.heat_sd == pytest.approx(
        BOOK.heat_sd, rel=0.01
    )
