"""What a job's plan is reckoned with: surroundings, sheet, heat; and how it says so."""

import dataclasses
import json

import numpy as np
import pytest
import shapely

import sheetkit
from sheetkit.base.errors import JobRefused
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.paper.blocks import Paragraph
from sheetkit.paper.work_sheet import worksheet
from sheetkit.repair.plan import plan, sheet_of, surroundings, unkind_heat
from sheetkit.views.heat_words import band_line, reckoned_lines
from sheetkit.views.json_objects import planned_with, sequence_object
from sheetkit.views.lines import estimate_lines, sequence_lines
from sheetkit.views.place_words import near_edge_lines
from sheetkit.views.words import minutes
from sheetkit.widgets import Player

RING = [[0, 0], [60, 0], [60, 40], [0, 40]]
OUTLINE = [[-200, -200], [260, -200], [260, 240], [-200, 240]]


@pytest.fixture(scope="module")
def jobs():
    def job(outline=OUTLINE, sheet=None, joint="butt", process="135", **around):
        data = {
            "format": "sheetkit-job/1",
            "sheet": {"thickness": 1.0} | (sheet or {}),
            "rust": [{"ring": RING}],
            "patch": {"margin": 15, "joint": joint},
            "weld": {"process": process},
        }
        if outline:
            data["panel"] = {"outline": outline}
        if around:
            data["surroundings"] = around
        return sheetkit.estimate(sheetkit.Job.from_data(data))

    return job


@pytest.fixture(scope="module")
def open_plan(jobs):
    result = jobs()
    return result, plan(result)


def test_a_covered_back_makes_the_waits_longer(jobs, open_plan):
    _, open_air = open_plan
    covered = plan(jobs(back="covered"))
    closed = plan(jobs(sheet={"back_access": False}))
    assert covered.model.piece.losses.h_bottom < closed.model.piece.losses.h_bottom
    assert closed.waits.likely > open_air.waits.likely
    assert covered.waits.likely > closed.waits.likely


def test_a_hot_day_makes_the_waits_longer(jobs, open_plan):
    hot = plan(jobs(ambient="95 degF"))
    assert hot.model.ambient_c == pytest.approx(35.0)
    assert hot.waits.likely > 1.2 * open_plan[1].waits.likely


def test_the_back_follows_access_unless_it_is_given(jobs):
    assert surroundings(jobs().job).back == "open"
    assert surroundings(jobs(sheet={"back_access": False}).job).back == "closed"
    assert surroundings(jobs(sheet={"back_access": False}, back="open").job).back == "open"


def test_the_band_holds_half_the_loss(open_plan):
    _, order = open_plan
    waits = order.waits
    assert waits.low < waits.likely < waits.high
    assert len(order.band.waits_s) == len(order.order)
    for wait, (low, high) in zip(order.wait_s, order.band.waits_s, strict=True):
        assert 0 <= low <= wait + 1e-9 and wait <= high + 1e-9
    model, rules = order.model, order.rules
    half = model.varied(film=0.5)
    tacked = half.time(order.tack_order, rules).state
    fill = len(order.tack_order) + np.array(order.order)
    timing = half.time(fill, rules, state=tacked, after=order.last_tack)
    total = timing.total_s
    assert order.robustness[1] >= 0.99 * total


def test_the_plan_takes_the_unkind_efficiency_and_the_estimate_the_usual(jobs, open_plan):
    result, order = open_plan
    values = result.values
    power = values["voltage_v"] * values["current_a"]
    assert values["thermal_efficiency"] == 0.80
    run = order.model.stitches[0]
    arc_s = values["fill_time_s"] * run.length_mm / values["welded_length_mm"]
    assert run.energy_j == pytest.approx(0.90 * power * arc_s, rel=1e-3)
    assert order.taken == (pytest.approx(0.90 / 0.80), 1.0)
    assert unkind_heat(jobs(process="141")) == pytest.approx(0.67 / 0.60)
    assert any("0.90" in line and "0.80" in line for line in reckoned_lines(result, order))


def test_without_an_outline_the_sheet_ends_near_the_cut_and_every_output_says_so(jobs, open_plan):
    result = jobs(outline=None)
    cut = result.patches[0].cut_line.bounds
    assert np.subtract(sheet_of(result).bounds, cut) == pytest.approx([-70, -70, 70, 70])
    order = plan(result)
    assert order.waits.likely > open_plan[1].waits.likely
    assert not any("70 mm" in line for line in reckoned_lines(*open_plan))
    for lines in (estimate_lines(result), sequence_lines(result, order)):
        text = " ".join(" ".join(lines).split())
        assert "no outline of the panel is drawn" in text
        assert "about 70 mm of sheet beyond the cut" in text
        assert "panel outline" in text
    told = sequence_object(result, order)
    assert told["planned_with"]["outline_drawn"] is False


def test_an_edge_nobody_drew_is_reckoned_and_told_with_this_jobs_figures(jobs, open_plan):
    result = jobs(outline=None)
    order = plan(result)
    near = order.band.on_least
    cut = shapely.union_all([patch.cut_line for patch in result.patches])
    small = shapely.box(*(np.array(cut.bounds) + 25 * np.array([-1, -1, 1, 1])))
    piece = dataclasses.replace(order.model.piece, panel=small)
    there = SheetModel(piece, order.model.choice)
    fill = len(order.tack_order) + np.array(order.order)
    tacked = there.play(order.tack_order, order.tack_start_s).state
    played = there.play(
        fill, order.tack_s + np.array(order.start_s), state=tacked, look_ahead_s=20.0
    )
    over = played.peak_before_start_c.max() - order.interpass_limit_c
    assert near.excess_k == pytest.approx(over, abs=0.01) and over > 5
    # the same order on the small sheet, drawn: its waits are those foretold, within the grid's word
    drawn = jobs(outline=[list(point) for point in small.exterior.coords[:-1]])
    assert sheet_of(drawn).equals(small) and plan(drawn).band.on_least is None
    timing = there.time(fill, order.rules, state=tacked, after=order.last_tack)
    assert near.total_s == pytest.approx(timing.total_s, rel=0.03)
    assert near.total_s - order.no_wait_bound_s > 1.3 * order.waits.likely
    assert order.robustness[1] >= near.total_s

    waits = minutes(near.total_s - order.no_wait_bound_s)
    sheet = list(worksheet(result, order, paper="a4", display="mm"))
    pages = " ".join(block.text for block in sheet if isinstance(block, Paragraph))
    player = Player(order, frames=2)
    for text in (
        " ".join(" ".join(sequence_lines(result, order)).split()),
        " ".join(pages.split()),
        " ".join(player.too_hot),
        order._repr_html_(),
    ):
        assert f"ends 25 mm beyond it all round, the waits take {waits}" in text
        assert "panel outline" in text
        assert f"up to {over:.0f} °C over the limit" in text
    told = json.loads(json.dumps(planned_with(result, order)))["near_edge"]
    assert told["beyond_cut_mm"] == 25 and told["planned_beyond_cut_mm"] == 70
    assert told["over_limit_by_the_clock_k"] == pytest.approx(over, abs=0.06)
    assert near_edge_lines(open_plan[1]) == [] and planned_with(*open_plan)["near_edge"] is None
    assert "nearer than planned" in band_line(order) and "nearer" not in band_line(open_plan[1])


def test_json_has_the_band_and_what_it_was_planned_with(open_plan):
    result, order = open_plan
    told = json.loads(json.dumps(sequence_object(result, order)))
    span = told["waits_s"]
    assert span["low"] < span["planned"] < span["high"]
    assert len(told["wait_band_s"]) == len(told["order"])
    assert told["planned_with"]["back_loss_w_m2k"]["lies"] == "open"
    assert told["planned_with"]["heat_over_estimate"] == 1.125


def test_the_band_is_told_in_words_and_not_where_it_is_unknown(open_plan):
    _, order = open_plan
    assert "loses only half" in band_line(order)
    own = sheetkit.retimed(order, list(order.order)) if hasattr(sheetkit, "retimed") else None
    if own is not None:
        assert band_line(own) == ""


def test_a_limit_near_the_airs_temperature_is_refused(jobs):
    with pytest.raises(JobRefused, match="interpass_limit"):
        sheetkit.Job.from_data(
            {
                "format": "sheetkit-job/1",
                "sheet": {"thickness": 1.0},
                "rust": [{"ring": RING}],
                "weld": {"interpass_limit": 40},
                "surroundings": {"ambient": 38},
            }
        )
    with pytest.raises(JobRefused, match=r"surroundings\.back"):
        jobs(back="ajar")
