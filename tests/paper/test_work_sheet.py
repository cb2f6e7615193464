"""The bench's pages: what hangs up, what is waited for, rounds, columns abreast, units."""

import random
import re
from types import SimpleNamespace

import pytest
from matplotlib.text import Text
from test_stitch_map import made_up_plan

import sheetkit as sk
from sheetkit.base.showing import Number
from sheetkit.formulas.hours import STEPS
from sheetkit.paper import bench_page, html, order_pages, work_sheet
from sheetkit.paper.blocks import Table
from sheetkit.paper.flow import flowed
from sheetkit.repair.cautions import helmet
from sheetkit.workshop.log import LIMITS


def texts(page):
    return [text for text in page.figure.findobj(Text) if text.get_text()]


@pytest.fixture(scope="module")
def arch(data_folder):
    return sk.estimate(sk.load(data_folder / "wheel_arch.json"))


def with_tacks(result, plan):
    """A made-up plan that knows its tacks' places, as a real one does."""
    from sheetkit.geometry.welds import paths

    plan.model = SimpleNamespace(tacks=paths(result.tacks, result.runs))
    plan.tack_order = [n for one in bench_page.tack_rounds(plan.model.tacks) for n in one]
    return plan


def test_the_first_page_is_read_at_arms_length(small_estimate, small_plan):
    body = list(bench_page.bench_page(small_estimate, small_plan, "mm"))
    first, *others = flowed(body, paper="letter", title="t", kind="k")
    assert not others
    large = [text for text in texts(first) if text.get_fontsize() >= 16]
    said = " ".join(text.get_text() for text in large)
    values = small_estimate.values
    for wanted in (f"{values['current_a']:.0f} A", f"{values['voltage_v']:.1f} V", "0.90 mm", "60 °C",
                   "shade 9 or 10 to begin with, never below", "s of arc", "Tacks", "rounds", "gap", "tacking leaves"):  # fmt: skip
        assert wanted in said, wanted
    small = " ".join(text.get_text() for text in texts(first))
    for wanted in ("HEED", "AT HAND", "TO BUY", "welding wire: 1 × 700 g", "extinguisher",
                   "hammer back: the bead"):  # fmt: skip
        assert wanted in small, wanted


@pytest.mark.parametrize("name", ["trunk_floor", "sill_end"])
@pytest.mark.usefixtures("brief_search")
def test_what_hangs_up_is_one_page(data_folder, name):
    result = sk.estimate(sk.load(data_folder / f"{name}.json"))
    plan = sk.plan(result)
    assert len(bench_page.heed(result, plan, "mm")) >= 9, "a job with much to heed"
    for display, paper in (("mm", "a4"), ("in", "letter")):
        body = list(bench_page.bench_page(result, plan, display))
        assert len(list(flowed(body, paper=paper, title="t", kind="k"))) == 1


def test_dots_plugs_and_laps_leave_their_sizes(arch, job):
    name, words = bench_page.each_weld(arch, "mm")
    dots, seconds, pitch = re.match(r"(\d+) dots of ([\d.]+) s, ([\d.]+) mm apart", words).groups()
    assert name == "Each group" and float(seconds) == arch.values["dot_time_s"]
    groups = [weld for weld in arch.welds if weld.dots == int(dots)]
    assert groups and float(pitch) == pytest.approx(groups[0].length / groups[0].dots, abs=0.06)
    plug = sk.estimate(job(patch={"joint": "plug"}))
    name, words = bench_page.each_weld(plug, "mm")
    assert name == "Each plug" and "hole 6.4 mm" in words
    assert f"{plug.values['plug_pitch_mm']:.0f} mm apart" in words
    rows = dict(bench_page.hung_table(plug, _plan(plug), "in").rows)
    assert rows["Lap"].endswith("in over the panel") and "Tacks" not in rows


def _plan(result):
    return with_tacks(result, made_up_plan(result, random.Random(3)))


def place(name, held):
    return SimpleNamespace(name=name, held=held, limit_c=80.0, over=False, peak_c=40.0, alone_c=30.0,
                           beyond_waiting=False)  # fmt: skip


@pytest.mark.parametrize(
    ("places", "expected"),
    [
        ((), ["", "seam", "seam"]),
        ((place("loom", True),), ["", "seam", "P1"]),
        ((place("fuel line", False), place("loom", True)), ["", "seam", "P2"]),
        ((place("loom", True), place("pipe", True)), ["", "seam", "P1 or P2"]),
    ],
)
def test_why_a_turn_waits(places, expected, small_estimate):
    """Its own place is at its limit; or it is cooler, and a place that must stay cool holds it."""
    plan = SimpleNamespace(
        order=[2, 0, 1], tack_order=[0], interpass_limit_c=60.0, wait_s=[0.0, 30.0, 40.0],
        peak_before_start_c=[59.9, 56.8, 36.0], protected=places,
        held=SimpleNamespace(less_k=[0.0, 3.0, 0.0, 0.0]),
    )  # fmt: skip
    assert order_pages.waits_for(plan) == expected
    told = " ".join(order_pages.where_to_measure(small_estimate, plan, "mm"))
    for one in places:
        assert one.name in told
    assert ("holds no wait" in told) == any(not one.held for one in places)


def test_a_real_plan_waits_for_what_the_plan_says(small_estimate, small_plan):
    for wait, what in zip(small_plan.wait_s, order_pages.waits_for(small_plan), strict=True):
        assert (what == "seam") == (wait >= order_pages.NO_WAIT_S)


def test_tacks_go_by_rounds(arch):
    plan = _plan(arch)
    found = bench_page.rounds(plan)
    assert [n for one in found for n in one] == plan.tack_order and len(found) > 2
    table = order_pages.tacks_file(arch, plan)
    assert [row[0].value for row in table.rows] == list(range(1, len(arch.tacks) + 1))
    numbers = [row[1].value for row in table.rows]
    assert numbers == sorted(numbers) and numbers[-1] == len(found)
    plan.tack_order = plan.tack_order[::-1]
    assert bench_page.rounds(plan) == [plan.tack_order]  # another order has no rounds


@pytest.mark.parametrize("count", [1, 2, 7, 44, 136])
def test_columns_are_read_downward_page_by_page(count):
    rows = [(Number(n, str(n)), f"{n} s", "") for n in range(1, count + 1)]
    table = Table("t", ("Turn", "Wait", "Read"), rows, (1, 1, 1), tick=True, size=12, least_mm=9.5,
                  abreast=2)  # fmt: skip
    made = flowed([table], paper="a4", title="t", kind="k")
    assert len(made) == -(-count // 48)
    read = []
    for page in made:
        cells = [(t.get_position(), t.get_text()) for t in texts(page)]
        turns = [(x > page.width / 2, -y, int(words)) for (x, y), words in cells if words.isdigit()]
        ordered = [turn for *_, turn in sorted(turns)]
        read += ordered
        lows = sorted({y for _, y, _ in turns})
        # a gloved hand writes in 9.5 mm
        assert all(b - a > 9.4 for a, b in zip(lows, lows[1:], strict=False))
    assert read == list(range(1, count + 1))
    assert html.html([table], title="", kind="").count("<tr") == count + 1


def test_what_it_took_has_the_logs_columns(small_estimate):
    table = work_sheet.hours_table(small_estimate, "mm")
    assert table.columns[:3] == ("Step", "Reckoned", "Taken")
    assert [row[0] for row in table.rows[: len(STEPS)]] == list(STEPS.values())
    assert all(row[2] == "" for row in table.rows) and table.least_mm >= 9
    said = " ".join(" ".join(row) for row in table.rows)
    for name in LIMITS:
        word = {"wire_g": "wire", "pressure_before_bar": "gauge before", "bottle_after_c": "bottle"}
        assert word.get(name, "") in said
    reckoned = [float(row[1].split()[0]) for row in table.rows[: len(STEPS)]]
    assert sum(reckoned) == pytest.approx(float(table.rows[len(STEPS)][1].split()[0]), abs=0.3)


def test_inches_all_through(data_folder, small_estimate, small_plan):
    """What has both units, or is a unit of heat, is left out of the search."""
    said = html.html(
        list(work_sheet.worksheet(small_estimate, small_plan, paper="letter", display="in")),
        title="", kind="",
    )  # fmt: skip
    said = re.sub(r"data:image[^\"]*|<style>.*</style>|<[^>]*>", " ", said, flags=re.S)
    for known in (r"10\.7 m \(35 ft\)", r"0\.8 to 2 mm sheet", r"mg/m³", r"J/mm for each mm of sheet",
                  r"W/\(m² K\)"):  # fmt: skip
        said = re.sub(known, " ", said)
    assert re.findall(r"[\d_] ?(?:mm|ml|m|l|g|kg|bar|cm²|°C|l/min|m/min)\b[^<]{0,30}", said) == []
    assert "fl oz" in said and "psi" in said and "°F" in said


def test_the_helmet_is_never_the_bare_least(small_estimate):
    rows = {row[0]: row[1] for row in work_sheet.settings_table(small_estimate, "mm").rows}
    assert rows["Helmet"] == helmet(small_estimate.lens_shade_min).replace(" (common practice)", "")
    assert rows["Helmet"].startswith("shade 9 or 10")
