"""Ranges of whole jobs: the printed likely, low and high against draws written anew here."""

import random
from math import cos, pi, sin

import numpy as np
from scipy import stats

import sheetkit as sk
from sheetkit.base import tables

TOTALS = ("hours_h", "cost", "gas_real_l", "wire_bought_g")


def random_job(draw: random.Random) -> sk.Job:
    """A job with one to three ragged holes in a random place of a random panel, or in none."""

    def ring(x: float, y: float) -> list[list[float]]:
        size, corners = draw.uniform(20, 150), draw.randint(4, 12)
        return [
            [
                x + draw.uniform(0.5, 1) * size * cos(2 * pi * k / corners),
                y + draw.uniform(0.5, 1) * size * sin(2 * pi * k / corners),
            ]
            for k in range(corners)
        ]

    process = draw.choice(["135", "135", "136", "114", "141"])
    joint = draw.choice(["butt", "lap", "plug"])
    fill = "dots" if process == "135" and joint == "butt" and draw.random() < 0.3 else "stitch"
    return sk.Job.from_data({
        "format": "sheetkit-job/1",
        "sheet": {
            "thickness": draw.choice([0.7, 0.8, 0.9, 1.0, 1.2, 1.5, 2.0]),
            "role": draw.choice(["skin", "floor", "structural"]),
            "position": draw.choice(["flat", "vertical", "overhead"]),
            "coating": draw.choice(["bare", "painted", "zinc"]),
            "back_access": draw.random() < 0.7,
        },
        "rust": [{"ring": ring(500 * k, 0)} for k in range(draw.randint(1, 3))],
        "patch": {"joint": joint, "margin": draw.uniform(12, 40)},
        "weld": {"process": process, "fill": fill},
        "shop": {"skill": draw.choice(["first", "practised", "trade"])},
    })  # fmt: skip


def drawn_anew(result: sk.Estimate, rng: np.random.Generator, draws: int) -> dict:
    """A plain draw: each input triangular by scipy; those of labour share half their variance."""
    stated = tables.row("labour", "one shop", "correlation").value
    common, inputs = rng.standard_normal(draws), {}
    for name, row in result.inputs.items():
        inputs[name] = row.value
        if row.low is not None and row.high is not None and row.low < row.high:
            score = rng.standard_normal(draws)
            if row.table in ("labour", "labour_steps") or name == "cleanup_factor":
                score = stated**0.5 * common + (1 - stated) ** 0.5 * score
            wide = row.high - row.low
            triangle = stats.triang((row.value - row.low) / wide, row.low, wide)
            inputs[name] = triangle.ppf(stats.norm.cdf(score))
    return result.chain.evaluate(inputs)


def test_likely_low_and_high_are_the_draws_own_on_200_random_jobs():
    draw, rng = random.Random(11), np.random.default_rng(12)
    for number in range(200):
        result = sk.estimate(random_job(draw))
        anew = drawn_anew(result, rng, 4000)
        for name in TOTALS:
            if name not in result.values:
                continue
            span = result.range(name)
            under = [100 * np.mean(anew[name] <= x) for x in (span.low, span.likely, span.high)]
            assert 40 <= under[1] <= 60, (number, name, under)
            assert abs(under[0] - 10) <= 5 and abs(under[2] - 90) <= 5, (number, name, under)
            low, high = result.worst(name)
            assert low <= np.min(anew[name]) and np.max(anew[name]) <= high, (number, name)


def plain(width: float, **changes) -> sk.Estimate:
    ring = [[0, 0], [width, 0], [width, 0.7 * width], [0, 0.7 * width]]
    data = {
        "format": "sheetkit-job/1",
        "sheet": {"thickness": 0.9, "role": "floor"},
        "rust": [{"ring": ring}],
    }
    return sk.estimate(sk.Job.from_data(data).changed(**changes))


def test_a_choice_is_no_uncertainty():
    """Margin, wire, drill and prices are what somebody chose; none of them has a range."""
    inputs = plain(200, patch__joint="plug").inputs
    for name, row in inputs.items():
        if name in ("wire_diameter_mm", "hole_diameter_mm", "plug_pitch_mm") or "price" in name:
            assert row.low is None and row.high is None, name
    assert inputs["labour_rate_per_h"].low is None
    assert inputs["current_a"].low is not None  # what a coupon will ask for is not known yet


def test_an_unrelated_field_moves_no_total():
    """The draws belong to the inputs' names: another title, or a cylinder more, moves nothing."""
    first = plain(200)
    for change in ({"title": "another"}, {"shop__cylinder": {"water_volume": 5, "pressure": 90}}):
        other = plain(200, **change)
        for name in TOTALS:
            assert other.range(name) == first.range(name)


def test_the_command_lines_object_says_what_is_likely_worst_and_usual():
    from sheetkit.views.json_objects import estimate_object

    result = plain(200)
    told = estimate_object(result)
    for key, name in (("hours", "hours_h"), ("cost", "cost")):
        span = told[key]
        assert span["as_usual"] < span["low"] * 1.26 and span["as_usual"] < span["likely"]
        assert span["low"] < span["likely"] < span["high"] < span["worst"]
        assert span["likely"] == round(float(np.median(result.drawn[name])), 2)
    for name, span in told["ranges"].items():
        assert span["low"] <= span["likely"] <= span["high"], name
    assert told["gas_real_l"] == round(float(result.values["gas_real_l"]), 4)
