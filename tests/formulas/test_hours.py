"""Hours by step: the sum, what moves it, and logged hours as a check from outside."""

from pathlib import Path

import pytest

import sheetkit as sk
from sheetkit.base import tables
from sheetkit.formulas import hours

DATA = Path(__file__).parents[2] / "data"


def job(**changes):
    data = {
        "format": "sheetkit-job/1",
        "sheet": {"thickness": 0.9, "role": "floor"},
        "rust": [{"ring": [[0, 0], [200, 0], [200, 150], [0, 150]]}],
        "patch": {"margin": 25},
        "shop": {"skill": "trade"},
    }
    return sk.Job.from_data(data).changed(**changes)


@pytest.mark.parametrize("name", ["trunk_floor", "footwell", "wheel_arch"])
def test_hours_are_the_sum_of_the_steps(name):
    values = sk.estimate(sk.load(DATA / f"{name}.json")).values
    assert values["hours_h"] == pytest.approx(sum(values[step] for step in hours.STEPS))
    assert values["arc_on_share"] == pytest.approx(values["arc_time_s"] / 3600 / values["hours_h"])


def test_the_steps_by_hand():
    """Every step of a plain repair, from the tables' numbers."""
    v = sk.estimate(job()).values
    metres, cut = v["seam_length_mm"] / 1000, v["cut_length_mm"] / 1000
    assert v["access_h"] == pytest.approx(0.6 + 0.5 + 0.4 * metres)
    assert v["cutting_h"] == pytest.approx(0.2 * cut)
    assert v["making_h"] == pytest.approx(0.25 + 0.15 * cut)
    assert v["fitting_h"] == pytest.approx(0.6 * metres)
    # 5 s to settle at each, 2 s and 0.8 s on the way; 12 s more to align a tack, 3 s to cool
    assert v["tacking_h"] == pytest.approx(v["tack_count"] * (0.75 + 5 + 2 + 12) / 3600)
    welds = v["weld_count"]
    assert v["welding_h"] == pytest.approx(0.25 + (v["fill_time_s"] + welds * (5 + 0.8 + 3)) / 3600)
    assert v["dressing_h"] == pytest.approx(0.6 * metres)
    assert v["sealing_h"] == pytest.approx(0.1 * metres)
    assert v["paint_ready_h"] == pytest.approx(0.15 * metres)


@pytest.mark.parametrize("joint", ["butt", "lap", "plug"])
@pytest.mark.parametrize("role", ["skin", "floor", "structural"])
def test_steps_by_the_metre_add_up_to_the_hours_a_metre_they_were_shared_out_of(joint, role):
    """No check from outside: the steps were cut out of these rows, and must still add up to them."""
    short = sk.estimate(job(patch__joint=joint, sheet__role=role))
    ring = [[0, 0], [600, 0], [600, 350], [0, 350]]
    long = sk.estimate(job(patch__joint=joint, sheet__role=role, rust=[{"ring": ring}]))
    grown = long.values["hours_h"] - short.values["hours_h"]
    rate = grown / (long.values["metres_m"] - short.values["metres_m"])
    rate -= 0.4  # stripping, which the logs keep apart
    logged = tables.row("labour", f"{joint} {role}", "hours_per_metre")
    assert logged.low <= rate <= logged.high, f"{rate:.2f} h/m"


def test_what_makes_it_harder_takes_longer():
    plain = sk.estimate(job()).values
    for change, grows in (
        ({"sheet__position": "overhead"}, set(hours.STEPS) - {"making_h"}),
        ({"sheet__coating": "zinc"}, {"access_h"}),
        ({"sheet__thickness": "1.8 mm"}, {"cutting_h", "making_h", "fitting_h", "dressing_h"}),
        ({"weld__process": "141"}, {"tacking_h", "welding_h"}),
        ({"weld__process": "136"}, {"tacking_h", "welding_h"}),
        ({"weld__fill": "dots"}, {"welding_h"}),
        ({"sheet__back_access": False}, {"fitting_h", "dressing_h"}),
        ({"shop__skill": "first"}, set(hours.STEPS)),
        ({"weld__process": "114"}, {"dressing_h"}),
    ):  # fmt: skip
        harder = sk.estimate(job(**change)).values
        found = {step for step in hours.STEPS if harder[step] > plain[step] * 1.001}
        assert found >= grows, change


def test_explain_shows_the_sum_and_where_it_comes_from():
    result = sk.estimate(job())
    text = str(result.explain("hours_h"))
    assert "access_h + cutting_h + making_h" in text
    assert "our own starting value" in str(result.explain("dressing_h"))


def test_by_step_shares_are_one():
    result = sk.estimate(job())
    rows = hours.by_step(result.parts("hours_h"), result.spans)
    assert [row["step"] for row in rows][:2] == ["access and stripping", "cutting out"]
    assert sum(row["share"] for row in rows) == pytest.approx(1)
    assert sum(row["hours"] for row in rows) == pytest.approx(result.hours.likely)
    assert all(row["low"] <= row["hours"] <= row["high"] for row in rows)


def test_nothing_claims_a_source_it_lacks():
    for row in tables.rows("labour_steps"):
        assert row.status in ("guess", "common practice"), row


def test_materials_are_all_the_repair_takes_by_hand():
    """Every consumable by use at the tables' likely rates and prices, for a lap of known length."""
    v = sk.estimate(job(patch__joint="lap", shop__tax=0)).values
    m, h = v["metres_m"], v["hours_h"]
    discs = v["cut_length_mm"] / 1000 * 0.75 * 2 + m * 0.6 * 5 + m * 0.2 * 12
    coats = m * (15 * 20 / 300 + 20 * 30 / 400 + 40 * 20 / 500 + 10 * 25 / 400)
    guard = h * (0.05 * 15 + 0.5 * 14 / 50)
    wire, gas = v["wire_bought_g"] / 700 * 15, v["gas_real_l"] / 2000 * 65
    sheet = v["blank_mass_g"] / 1000 * 3
    assert v["materials_cost"] == pytest.approx(discs + coats + guard + wire + gas + sheet)
    butt = sk.estimate(job(patch__joint="butt")).values
    assert butt["lap_primer_ml"] == 0 and v["lap_primer_ml"] > 0
