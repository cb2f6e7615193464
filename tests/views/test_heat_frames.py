"""What the page gets: frames on even pixels, stitches with their turns, colours."""

import numpy as np
import pytest
import shapely

from sheetkit.heat.record import simulate
from sheetkit.views import heat_frames as hv


@pytest.fixture(scope="module")
def view(small_plan):
    return hv.heat_view(small_plan, frames=60)


def test_frames_come_back_as_packed():
    frames = np.random.default_rng(1).integers(0, 256, (5, 7, 9), dtype=np.uint8)
    assert (hv.unpack(hv.pack(frames), 9, 7) == frames).all()


def test_frames_hold_the_temperatures_of_the_run(small_plan, view):
    scene = view.scene
    frames = hv.unpack(view.packed, scene["columns"], scene["rows"])
    assert len(frames) == len(scene["times_s"]) >= 60
    assert (frames[0] == 1).all()  # all at ambient
    order, starts = small_plan.schedule()
    until = scene["times_s"][-1] + small_plan.tack_s
    run = simulate(small_plan.model, order, starts, until_s=until, every_s=until / 60)
    left, bottom, right, top = scene["box"]
    x, y = (left + right) / 2, (bottom + top) / 2
    pixel = frames[-1][scene["rows"] // 2, scene["columns"] // 2]
    cell = run.frames_c[-1][np.abs(run.y_mm - y).argmin(), np.abs(run.x_mm - x).argmin()]
    span = scene["high_c"] - scene["low_c"]
    assert scene["low_c"] + (pixel - 1) / 254 * span == pytest.approx(cell, abs=2)


def test_next_turn_and_its_temperature_follow_the_plan(small_plan, view):
    scene = view.scene
    for time, turn in zip(scene["times_s"], scene["next"], strict=True):
        assert turn == sum(start <= time + 0.06 for start in small_plan.start_s) or any(
            abs(start - time) < 0.1 for start in small_plan.start_s
        )
    assert scene["next"][0] == 0 and scene["next"][-1] == len(small_plan.order)


def test_numbers_stand_outside_the_seam(small_plan):
    ring = shapely.Polygon(small_plan.model.kerf.seams[0])
    for mark in hv.stitch_marks(small_plan):
        outside = np.array(mark["at"]) + 6 * np.array(mark["away"])
        assert not shapely.contains_xy(ring, *outside)


def test_off_the_panel_is_not_a_temperature(small_plan):
    run = simulate(small_plan.model, [0], [0.0])
    box = (run.x_mm[0] - 100, run.y_mm[0] - 100, run.x_mm[-1] + 100, run.y_mm[-1] + 100)
    even = hv.resampled(run, box, 60, 60)
    assert np.isnan(even[:, 0]).all() and np.isnan(even[:, :, -1]).all()
    assert not np.isnan(even[:, 30, 30]).any()


def test_colours_grow_lighter_step_by_step():
    table = np.frombuffer(hv.colour_table(), np.uint8).reshape(256, 3)[1:].astype(float)
    light = table @ [0.2126, 0.7152, 0.0722]
    assert light[-1] - light[0] > 120
    assert (np.diff(light[::8]) > 0).all()
