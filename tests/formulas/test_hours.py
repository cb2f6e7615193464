"""Hours by step: the sum, every rate and factor by hand, and what moves it.

Logged hours, from outside: tests/published/test_logged_hours.
"""

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
    # paint burns by 200 degC in air of 20: sqrt(2 pi e) = 4.1327, 4.71e-3 J/(mm3 K); the rate is
    # for a strip of 40 mm on both faces
    strip = 2 * 1000 * v["heat_input_kj_per_mm"] / (4.1327 * 4.71e-3 * 0.9 * 180)
    assert strip > 25
    assert v["access_h"] == pytest.approx(0.6 + 0.5 + 0.4 * metres * strip / 40, rel=1e-4)
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


FIT_UP = {  # h/m
    ("butt", "skin"): 0.75, ("butt", "floor"): 0.6, ("butt", "structural"): 0.7,
    ("lap", "skin"): 0.225, ("lap", "floor"): 0.15, ("lap", "structural"): 0.18,
    ("plug", "skin"): 0.525, ("plug", "floor"): 0.35, ("plug", "structural"): 0.42,
}  # fmt: skip
DRESSING = {  # h/m
    ("butt", "skin"): 1.3, ("butt", "floor"): 0.6, ("butt", "structural"): 0.95,
    ("lap", "skin"): 0.7, ("lap", "floor"): 0.15, ("lap", "structural"): 0.4,
    ("plug", "skin"): 0.35, ("plug", "floor"): 0.2, ("plug", "structural"): 0.3,
}  # fmt: skip
SEALING = {"butt": 0.1, "lap": 0.12, "plug": 0.12}
PAINT_READY = {"skin": 0.5, "floor": 0.15, "structural": 0.2}
POSITION = {"flat": 1.0, "vertical": 1.2, "overhead": 1.5}
CLEAN_UP = {"M21": 1.0, "M20": 0.95, "C1": 1.3}


@pytest.mark.parametrize(("joint", "role"), FIT_UP)
@pytest.mark.parametrize("position", POSITION)
def test_fit_up_dressing_and_coats_by_hand(joint, role, position):
    """1.8 mm sheet, (1.8 / 0.9)^0.4 = 1.3195; a closed back 1.3; a first-timer 1.8."""
    v = sk.estimate(
        job(
            patch__joint=joint, sheet__role=role, sheet__position=position,
            sheet__thickness="1.8 mm", sheet__back_access=False, shop__skill="first",
        )
    ).values  # fmt: skip
    slow = v["metres_m"] * POSITION[position] * 1.8
    assert v["fitting_h"] == pytest.approx(slow * FIT_UP[joint, role] * 1.3195 * 1.3, rel=1e-4)
    assert v["dressing_h"] == pytest.approx(slow * DRESSING[joint, role] * 1.3195 * 1.3, rel=1e-4)
    assert v["sealing_h"] == pytest.approx(slow * SEALING[joint])
    assert v["paint_ready_h"] == pytest.approx(slow * PAINT_READY[role])


HANDLING = {"135": (1.0, 0.75), "136": (1.1, 0.75), "114": (1.15, 0.75), "141": (1.5, 1.5)}
"""How much slower than solid wire a process is handled, and the arc of its tack, s."""


@pytest.mark.parametrize("process", HANDLING)
@pytest.mark.parametrize("position", POSITION)
def test_tacking_and_welding_by_hand(process, position):
    """Settling 5 s and aligning 12 s, by process, position and hand (1.3); 2 s and 0.8 s on the way."""
    sheet = {"thickness": 2.0 if process == "136" else 0.9, "position": position}
    v = sk.estimate(job(weld={"process": process}, sheet=sheet, shop__skill="practised")).values
    slow, arc = HANDLING[process]
    settle = 5 * slow * POSITION[position] * 1.3
    each = arc + settle + 2 + 12 * slow * POSITION[position] * 1.3
    assert v["tacking_h"] == pytest.approx(v["tack_count"] * each / 3600)
    run = v["fill_time_s"] + v["weld_count"] * (settle + 0.8 + 3)
    assert v["welding_h"] == pytest.approx(0.25 * slow * 1.3 + run / 3600)


@pytest.mark.parametrize("gas", CLEAN_UP)
def test_spatter_is_dressed_away(gas):
    """A flat floor butt at 0.9 mm: 0.6 h/m, times what the gas leaves to clean."""
    v = sk.estimate(job(weld={"gas": gas})).values
    assert v["dressing_h"] == pytest.approx(0.6 * CLEAN_UP[gas] * v["metres_m"])


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
    m, h, bare = v["metres_m"], v["hours_h"], v["stripped_m"]
    discs = v["cut_length_mm"] / 1000 * 0.75 * 2 + m * 0.6 * 5 + bare * 0.2 * 12
    coats = m * (15 * 20 / 300 + 40 * 20 / 500 + 10 * 25 / 400) + bare * 20 * 30 / 400
    guard = h * (0.05 * 15 + 0.5 * 14 / 50)
    wire, gas = v["wire_bought_g"] / 700 * 15, v["gas_real_l"] / 2000 * 65
    sheet = v["blank_mass_g"] / 1000 * 3
    assert v["materials_cost"] == pytest.approx(discs + coats + guard + wire + gas + sheet)
    butt = sk.estimate(job(patch__joint="butt")).values
    assert butt["lap_primer_ml"] == 0 and v["lap_primer_ml"] > 0
