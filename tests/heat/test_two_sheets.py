"""Laps and plugs as two sheets, against another reckoning of the same and against its limits."""

import numpy as np
import pytest
import shapely
from shapely import LineString, box

from sheetkit.base.errors import OutOfRange
from sheetkit.heat.air import Losses
from sheetkit.heat.grid import GridChoice
from sheetkit.heat.record import simulate
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.weld_source import WeldRun
from sheetkit.heat.workpiece import Overlap, Workpiece
from tests.heat.two_sheets import TwoSheets
from tests.seams import runs_on

PANEL, PATCH, HOLE = box(-70, -70, 170, 150), box(0, 0, 100, 80), box(15, 15, 85, 65)
WITHIN = {"lap": PATCH, "plug": box(7, 7, 93, 73)}


def welds_of(joint):
    line = LineString(WITHIN[joint].exterior.coords)
    if joint == "lap":
        return line, runs_on(line, 8, 8, joule_mm=0.0), runs_on(line, 14, joule_mm=75)
    at = [line.interpolate((n + 0.5) / 10, normalized=True) for n in range(10)]
    return line, [], [WeldRun(np.repeat(shapely.get_coordinates(p), 2, 0), 1500, 3) for p in at]


def schedule(tacks, fill):
    step = 5 if tacks else 3
    order = [*range(len(tacks)), *(len(tacks) + step * n % len(fill) for n in range(len(fill)))]
    starts = [2 + 1.5 * n for n in range(len(tacks))] + [30 + 30.0 * n for n in range(len(fill))]
    return order, starts


def piece_of(joint, *, contact, mm=(1.0, 1.0), film=10.0):
    line, tacks, fill = welds_of(joint)
    over = Overlap(PATCH, HOLE, WITHIN[joint], mm[0], contact)
    losses = Losses(film, film)
    return Workpiece(PANEL, [line], mm[1], tacks, fill, losses=losses, overlap=over)


def model_of(joint, *, cell=4.0, **more):
    return SheetModel(piece_of(joint, **more), GridChoice(cell))


def before_starts(joint, **more):
    model = model_of(joint, **more)
    order, starts = schedule(model.tacks, model.stitches)
    found = model.play(order, starts, look_ahead_s=20).peak_before_start_c
    return found[len(model.tacks) :]


def reference(joint, **more):
    piece = piece_of(joint, **more)
    sheets, tacks = TwoSheets(piece, joint, cell=2.5), len(piece.tacks)
    order, starts = schedule(piece.tacks, piece.stitches)
    return 20 + sheets.replay(piece.welds, order, starts, first=tacks)[tacks:]


@pytest.mark.parametrize(
    ("joint", "contact", "mm", "near_k"),
    [
        ("lap", 100.0, (1.0, 1.0), 1.5),
        ("lap", 500.0, (1.5, 0.8), 1.5),
        ("plug", 100.0, (1.0, 1.0), 2.5),
        ("plug", 500.0, (0.8, 1.2), 2.5),
    ],
)
def test_temperatures_before_starts_are_those_of_another_reckoning(joint, contact, mm, near_k):
    own = before_starts(joint, contact=contact, mm=mm)
    other = reference(joint, contact=contact, mm=mm)
    assert np.abs(own - other).max() < near_k
    assert abs((own - other).mean()) < 0.8


@pytest.mark.parametrize("joint", ["lap", "plug"])
def test_no_contact_and_full_contact_bracket_what_lies_between(joint):
    apart, usual, one = (before_starts(joint, contact=h) for h in (0.0, 300.0, 5000.0))
    assert (apart[1:] > usual[1:]).all()
    assert (usual[1:] > one[1:]).all()


def test_the_covered_faces_of_the_overlap_do_not_lose_heat():
    """Left alone, the whole heat falls as the outer faces alone take it."""
    model = model_of("lap", contact=5000.0)
    state = model.cold()
    state.field[model.capacity > 0] = 40.0
    held = float((state.field * model.capacity).sum())
    assert held == pytest.approx(40 * 4.71e-3 * (PANEL.area - HOLE.area + PATCH.area), rel=0.01)
    model.cool(state, 10.0)
    lost = held - float((state.field * model.capacity).sum())
    mean_rise = 40.0 * 0.98
    assert lost == pytest.approx(mean_rise * 20e-6 * PANEL.area * 10.0, rel=0.02)


def test_heat_is_kept_where_nothing_is_lost():
    model = model_of("lap", contact=200.0, mm=(1.2, 0.8), film=0.0)
    run = simulate(model, *schedule(model.tacks, model.stitches), frames=False)
    assert run.held_j == pytest.approx(run.input_j, rel=2e-5)
    assert np.isnan(run.lost_j)


def test_heat_reaches_the_flange_under_the_patch_through_the_panel():
    model = model_of("lap", contact=0.0)
    rows = model.grid.shape[0]
    order, starts = schedule(model.tacks, model.stitches)
    state = model.play(order[:9], starts[:9]).state
    model.cool(state, 10.0)
    flange = state.field[rows:]
    assert flange.max() > 5
    assert model.grid.inner(state.field).shape == model.grid.inner(model.grid.active).shape


def test_steel_by_temperature_takes_two_sheets():
    model = model_of("lap", contact=200.0, cell=8.0)
    order, starts = schedule(model.tacks, model.stitches)
    plain = simulate(model, order[:9], starts[:9], frames=False)
    hot = simulate(model, order[:9], starts[:9], frames=False, properties="en1993")
    assert hot.held_j == pytest.approx(plain.held_j, rel=0.02)


def test_a_contact_that_is_none_is_refused():
    with pytest.raises(OutOfRange, match="contact_w_m2k"):
        Overlap(PATCH, HOLE, PATCH, 1.0, -1.0)
