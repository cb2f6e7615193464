"""The flats of a bent panel on the work sheet: positions, closed sections, the seam on each."""

import random
import re

import pytest
import shapely
import shapely.affinity
from test_stitch_map import made_up_plan
from test_work_sheet import with_tacks

import sheetkit as sk
from sheetkit.paper import bench_page, map_ground, work_sheet
from sheetkit.paper.blocks import Heading, Table, Ticks
from sheetkit.paper.faces_table import faces_table, positions_said
from sheetkit.paper.flow import flowed
from sheetkit.paper.page import Page


@pytest.fixture(scope="module")
def sill(data_folder):
    return sk.estimate(sk.load(data_folder / "sill_end.json"))


def test_each_flat_has_its_row_and_the_seam_is_shared_out(sill):
    rows = faces_table(sill, "mm").rows
    assert [row[0] for row in rows] == ["1", "2", "3"]
    assert [row[2] for row in rows] == ["vertical", "overhead", "vertical"]
    assert [row[3] for row in rows] == ["closed section", "closed section", "open"]
    # worked out here by the seam's points: short steps along it, by the height they lie at
    middles = [bend.middle_mm for bend in sill.job.section.bends]
    lengths = [0.0, 0.0, 0.0]
    for run in sill.runs:
        steps = 4000
        for n in range(steps):
            _, y = run.interpolate((n + 0.5) / steps, normalized=True).coords[0]
            lengths[sum(y > middle for middle in middles)] += run.length / steps
    shown = [0.0 if row[4] == "none" else float(row[4].split()[0]) for row in rows]
    assert shown == pytest.approx(lengths, abs=1.0)
    assert sum(lengths) == pytest.approx(sill.values["seam_length_mm"])


def test_a_current_is_told_for_each_position(sill):
    words = r"\d\d% overhead, \d\d% vertical"
    assert re.fullmatch(words, positions_said(sill)), "both by one factor: one current"
    data = sill.job.data
    data["panel"]["profile"]["positions"] = ["flat", "overhead", "vertical"]
    mixed = sk.estimate(sk.Job.from_data(data))
    told = positions_said(mixed)
    amps = {name: float(value) for name, value in re.findall(r"(\w+) at (\d+) A", told)}
    flat, overhead = amps["flat"], amps["overhead"]
    assert overhead < flat, "less overhead than flat"
    low, high = sorted((flat, overhead))
    assert low < mixed.values["current_a"] < high, "what is reckoned with is their mean"


def test_the_map_says_how_each_flat_is_welded(sill):
    page = Page("a4", True)
    lie = lambda shape: shapely.affinity.translate(shape, -300, 20)  # noqa: E731
    named = map_ground.draw(page, sill, lie, 1.0, [""])
    said = {words: part for words, part in named if words.startswith("flat")}
    assert set(said) == {"flat 1: vertical", "flat 2: overhead"}, "flat 3 is not on this patch"
    section = sill.job.section
    for number, (words, part) in enumerate(sorted(said.items())):
        (_, y) = part.centroid.coords[0]
        low, high = section.flats[number]
        assert low < y - 20 < high, words


def test_a_flat_panel_has_neither(data_folder):
    flat = sk.estimate(sk.load(data_folder / "trunk_floor.json"))
    assert faces_table(flat, "mm").rows == [] and positions_said(flat) == ""


def test_the_work_sheet_and_the_page_to_hang_up_say_it(sill):
    data = sill.job.data
    del data["panel"]["protect"]
    sill = sk.estimate(sk.Job.from_data(data))
    plan = with_tacks(sill, made_up_plan(sill, random.Random(1)))
    before = list(work_sheet._before(sill, "mm"))
    assert Heading("The panel's flats") in before
    assert any(isinstance(block, Table) and block.name == "faces" for block in before)
    steps = next(
        b for b in before if isinstance(b, Ticks) and any("FACE side up" in i for i in b.items)
    )
    assert any("bend as the pattern says" in item for item in steps.items)
    hung = bench_page.hung_table(sill, plan, "mm")
    assert dict(hung.rows)["Sheet"].endswith(f"; {positions_said(sill)}")
    heeded = " ".join(bench_page.heed(sill, plan, "mm"))
    assert "closed section: clear it" in heeded
    body = list(bench_page.bench_page(sill, plan, "mm"))
    assert len(list(flowed(body, paper="a4", title="t", kind="k"))) == 1, "it hangs up as one page"
