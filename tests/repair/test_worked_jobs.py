"""One job worked by hand for every joint and process, with the tables' numbers written out.

Rust of 100 x 60 mm in a closed seam, margin and corner radius 25 mm, flat; everything else as
the program suggests.  The numbers of a row: sheet mm; A, V, travel mm/min; wire mm, free length
mm; share of solid wire's mass, yield, k; tack s; gas l/min, s before, s after.  Sources: the
tables in sheetkit/base/tables (compared with printed ones in tests/published).
"""

from math import ceil, pi

import pytest

import sheetkit

STEEL = 7.85e-3  # g/mm³
ALPHA, BETA = 0.3, 5e-5  # melting rate of 1.2 mm wire

MIX = (10, 0.5, 1.0)
ARGON = (8, 0.5, 6.0)
CASES = {
    ("135", "butt"): (1.0, 52.5, 14, 475, 0.8, 7.9, 1.0, 0.96, 0.8, 0.75, MIX),
    ("135", "lap"): (1.0, 87.5, 18.5, 550, 0.8, 7.9, 1.0, 0.96, 0.8, 0.75, MIX),
    ("135", "plug"): (1.0, 95, 16.125, None, 0.8, 7.9, 1.0, 0.96, 0.8, 0.75, MIX),
    ("136", "butt"): (2.0, 115, 22, 450, 0.9, 15, 0.85, 0.86, 0.8, 0.75, MIX),
    ("136", "lap"): (2.0, 130, 23, 480, 0.9, 15, 0.85, 0.86, 0.8, 0.75, MIX),
    ("136", "plug"): (2.0, 145, 23.7, None, 0.9, 15, 0.85, 0.86, 0.8, 0.75, MIX),
    ("114", "butt"): (1.0, 52, 13.9, 350, 0.8, 13, 0.85, 0.78, 0.8, 0.75, None),
    ("114", "lap"): (1.0, 68, 14.8, 400, 0.8, 13, 0.85, 0.78, 0.8, 0.75, None),
    ("114", "plug"): (1.0, 80, 14.5, None, 0.8, 13, 0.85, 0.78, 0.8, 0.75, None),
    ("141", "butt"): (1.0, 40, 10.5, 115, 1.2, None, 1.0, 0.97, 0.6, 1.5, ARGON),
    ("141", "lap"): (1.0, 45, 10.5, 115, 1.2, None, 1.0, 0.97, 0.6, 1.5, ARGON),
    ("141", "plug"): (1.0, 61.3, 10.5, 115, 1.2, None, 1.0, 0.97, 0.6, 1.5, ARGON),
}
LEG = {1.0: 2.25, 2.0: 3.25}  # between 3.0 at 1.6 mm and 3.5 at 2.4 mm
HOLE = {1.0: 6.4, 2.0: 8.0}
GAP = {"141": 0.2, "135": 0.5, "136": 0.5, "114": 0.5}  # of the sheet


@pytest.mark.parametrize(("process", "joint"), CASES)
def test_by_hand(job, process, joint):
    sheet, amps, volts, travel, wire, free, lightness, yield_, k, tack_s, gas = CASES[
        process, joint
    ]
    one = job(
        sheet={"thickness": sheet}, patch={"joint": joint}, weld={"process": process, "stitch": 25}
    )
    result = sheetkit.estimate(one)
    v = result.values

    # The seam: sides of the rust, and a full circle at its distance from it
    gap = GAP[process] * sheet
    away = {"butt": 25 - gap / 2, "lap": 25 + 20, "plug": 25 + 10}[joint]
    seam = 2 * (100 + 60) + 2 * pi * away
    per_metre = pi / 4 * wire**2 * 7.85 * lightness
    if free:
        ratio = 1.2 / wire
        feed = 0.06 * (ALPHA * ratio**2 * amps + BETA * ratio**4 * free * amps**2)

    if joint == "plug":
        tacks, welds = 0, ceil(seam / 38)
        grams = welds * pi / 4 * HOLE[sheet] ** 2 * (sheet + 0.25) * STEEL
        if free:
            each = 0.5 + grams / welds / yield_ / (feed * per_metre / 60)
        else:
            each = pi * HOLE[sheet] / travel * 60
        fill = welds * each
        heat = volts * amps * fill / 1000 / seam
        assert v["plug_heat_input_kj"] == pytest.approx(k * volts * amps * each / 1000, rel=2e-3)
    else:
        tacks, welds = ceil(seam / 50), ceil(seam / 25)
        if joint == "butt":
            section = gap * sheet + 2 / 3 * (gap + 2 * sheet) * (0.5 + 0.3)
        else:
            section = LEG[sheet] ** 2 / 2 * 1.15
        grams = section * seam * STEEL
        fill = (seam - 5 * tacks) / travel * 60
        heat = volts * amps * 60 / travel / 1000
    arc = fill + tacks * tack_s

    expected = {
        "seam_length_mm": seam,
        "tack_count": tacks,
        "weld_count": welds,
        "wire_g_per_m": per_metre,
        "deposit_g": grams,
        "wire_g": grams / yield_,
        "wire_m": grams / yield_ / per_metre,
        "arc_time_s": arc,
        "arc_energy_kj_per_mm": heat,
        "heat_input_kj_per_mm": k * heat,
    }
    if free:
        by_feed = feed * arc / 60 * per_metre
        expected |= {"wire_by_feed_g": by_feed, "wire_bought_g": max(by_feed, grams / yield_)}
    if gas:
        flow, before, after = gas
        start = (before + after) / 60 * flow + 0.05
        expected |= {"gas_arc_l": flow * arc / 60}
        expected |= {"gas_real_l": flow * arc / 60 + (tacks + welds) * start}
    for name, value in expected.items():
        assert v[name] == pytest.approx(value, rel=2e-3), name


def test_dots_by_hand(job):
    """1.0 mm overhead: 0.88 of 52.5 A; a dot each 3 mm, none on a tack of 5 mm each 25 mm."""
    result = sheetkit.estimate(
        job(sheet={"thickness": 1.0, "position": "overhead"}, weld={"fill": "dots"})
    )
    v = result.values
    seam = 2 * 160 + 2 * pi * 24.75
    tacks, dots = ceil(seam / 25), ceil(seam / 3)
    made = dots * (1 - 5 * tacks / seam)
    arc = made * 0.5 + tacks * 0.75
    assert (v["tack_count"], v["dot_count"]) == (tacks, dots)
    assert v["arc_time_s"] == pytest.approx(arc, rel=2e-3)
    assert v["arc_energy_kj_per_mm"] == pytest.approx(
        14 * 52.5 * 0.88 * dots * 0.5 / seam / 1000, rel=2e-3
    )
    assert v["gas_real_l"] == pytest.approx(
        10 * arc / 60 + (tacks + made) * (1.5 / 60 * 10 + 0.05), rel=2e-3
    )


def test_structural_vertical_lap_on_thicker_metal_by_hand(job):
    """1.0 mm on 2.0 mm, by the rows of 1.5 mm: current (90 + (105 - 90) x 3/4) x 0.88, 18.875 V."""
    sheet = {"thickness": 1.0, "beneath": 2.0, "role": "structural", "position": "vertical"}
    v = sheetkit.estimate(job(sheet=sheet, patch={"joint": "lap"})).values
    assert v["current_a"] == pytest.approx(101.25 * 0.88)
    assert v["voltage_v"] == pytest.approx(18.5 + 0.5 * 3 / 4)
    assert v["travel_mm_min"] == pytest.approx(525)
    assert v["deposit_g"] == pytest.approx(
        2.25**2 / 2 * 1.15 * STEEL * (320 + 2 * pi * 45), rel=2e-3
    )


@pytest.mark.parametrize(("process", "gap"), [("135", 0.4), ("114", 0.4), ("141", 0.16)])
def test_the_gap_that_is_cut_is_the_gap_that_is_filled(job, process, gap):
    """Half of 0.8 mm sheet, TIG a fifth: between cut and patch, and in the weld metal."""
    one = job(sheet={"thickness": 0.8}, weld={"process": process})
    result = sheetkit.estimate(one)
    (patch,) = result.patches
    assert result.values["gap_mm"] == pytest.approx(gap)
    assert patch.cut_line.exterior.distance(patch.outline.exterior) == pytest.approx(gap, abs=1e-3)
