"""Draws against closed forms, the worst case against every corner, drivers by hand."""

from itertools import product

import numpy as np
import pytest
from scipy import stats

from sheetkit.base.errors import OutOfRange
from sheetkit.base.tables import Row
from sheetkit.formulas import hours, labour, montecarlo, ranges
from sheetkit.formulas.chain import Chain, formula


def row(name, low, value, high):
    return Row("t", name, name, low, value, high, "h", "test", "guess", "")


TRIANGLES = [(0, 1, 2), (0.5, 0.5, 3), (1, 4, 4), (2, 2.1, 9), (-3.2, -1, -0.4), (0.01, 0.02, 0.1)]


ANY = (-np.inf, np.inf)


@formula(valid=dict.fromkeys("abcdef", ANY))
def total(a, b, c, d, e, f):
    return a + b + c + d + e + f


MANY = 200_000
"""Draws enough to tell a bias of the variance from the scatter of independent columns."""
INPUTS = {n: row(n, *t) for n, t in zip("abcdef", TRIANGLES, strict=True)}
CHAIN = Chain([total], INPUTS)


def moments(triangles):
    """Mean and variance of a sum of triangulars, by scipy's own distribution."""
    parts = [stats.triang((m - a) / (b - a), a, b - a) for a, m, b in triangles]
    return sum(p.mean() for p in parts), sum(p.var() for p in parts)


@pytest.mark.parametrize("seed", [1, 20, 333])
def test_a_sum_of_triangulars_has_its_mean_and_variance(seed):
    drawn = montecarlo.simulate(CHAIN, INPUTS, seed=seed, draws=MANY)["total"]
    mean, variance = moments(TRIANGLES)
    assert drawn.mean() == pytest.approx(mean, rel=0.01)
    assert drawn.var() == pytest.approx(variance, rel=0.01)


def test_a_weighted_sum_has_its_mean_and_variance():
    weights = {"a": 3.0, "b": -1.0, "c": 0.5}

    @formula(valid=dict.fromkeys("abc", ANY))
    def weighted(a, b, c):
        return 3 * a - b + 0.5 * c

    chain, inputs = Chain([weighted], weights), {n: INPUTS[n] for n in weights}
    drawn = montecarlo.simulate(chain, inputs, draws=MANY)["weighted"]
    parts = [moments([t]) for t in TRIANGLES[:3]]
    mean = sum(w * m for w, (m, _) in zip(weights.values(), parts, strict=True))
    variance = sum(w * w * v for w, (_, v) in zip(weights.values(), parts, strict=True))
    assert drawn.mean() == pytest.approx(mean, rel=0.01)
    assert drawn.var() == pytest.approx(variance, rel=0.01)


def test_thirty_inputs_are_uncorrelated_and_keep_the_variance_of_their_sum():
    names = [f"x{i}" for i in range(30)]
    inputs = {n: row(n, 0, 0.3, 1) for n in names}
    drawn = montecarlo.draw(inputs, draws=MANY)
    table = np.array([drawn[n] for n in names])
    _, variance = moments([(0, 0.3, 1)] * 30)
    assert table.sum(axis=0).var() == pytest.approx(variance, rel=0.01)
    off = np.corrcoef(table) - np.eye(30)
    assert np.abs(off).max() < 0.01


def test_hours_of_labour_agree_with_their_closed_form():
    """With the factors still, hours are a weighted sum of triangular inputs."""
    still = {
        "metres_m": 1.2, "stripped_m": 1.2, "cut_length_mm": 1300, "patch_count": 2, "tack_count": 50, "tack_time_s": 0.75,
        "fill_time_s": 170, "starts": 95, "weld_count": 45, "arc_time_s": 210, "thickness_mm": 0.9,
        "tack_distance_mm": 200, "move_distance_mm": 80, "planishing_factor": 1,
    }  # fmt: skip
    inputs = dict(
        labour.inputs(joint="butt", role="floor", process="135", position="flat", coating="painted",
                     back_access=True, skill="trade", gas_group="M21")
    )  # fmt: skip
    inputs |= {n: row(n, None, v, None) for n, v in still.items()}
    inputs["shop_correlation"] = row("shop_correlation", None, 0.0, None)  # each step by itself
    chain = Chain(hours.chain(dots=False), inputs)
    drawn = montecarlo.simulate(chain, inputs, draws=MANY)["hours_h"]
    weight = {
        "access_hours_per_job": 1, "stripping_hours_per_job": 1, "stripping_hours_per_metre": 1.2,
        "cutting_hours_per_metre": 1.3, "making_hours_per_patch": 2, "making_hours_per_metre": 1.3,
        "fitting_hours_per_metre": 1.2, "tack_aligning_s": 50 / 3600, "setting_up_hours_per_job": 1,
        "move_time_s": 95 / 3600, "cooling_wait_s": 45 / 3600, "dressing_hours_per_metre": 1.2,
        "sealing_hours_per_metre": 1.2, "paint_ready_hours_per_metre": 1.2,
    }  # fmt: skip
    parts = {n: moments([(inputs[n].low, inputs[n].value, inputs[n].high)]) for n in weight}
    fixed = (50 * (0.75 + 2) + 170 + 45 * 0.8) / 3600
    assert drawn.mean() == pytest.approx(
        fixed + sum(w * parts[n][0] for n, w in weight.items()), rel=0.01
    )
    assert drawn.var() == pytest.approx(
        sum(w * w * parts[n][1] for n, w in weight.items()), rel=0.01
    )


def test_the_quantile_is_scipys():
    for a, m, b in TRIANGLES:
        u = np.linspace(0, 1, 101)
        wanted = stats.triang((m - a) / (b - a), a, b - a).ppf(u)
        assert montecarlo.triangular(u, a, m, b) == pytest.approx(wanted, abs=1e-9)


def test_the_same_seed_gives_the_same_draws_and_another_other_ones():
    first, again = (montecarlo.simulate(CHAIN, INPUTS, seed=5)["total"] for _ in range(2))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, montecarlo.simulate(CHAIN, INPUTS, seed=6)["total"])


def test_the_worst_case_is_the_worst_corner_and_holds_every_draw():
    @formula(valid=dict.fromkeys("abcd", ANY))
    def figure(a, b, c, d):
        return a * b / (c + 1) - d * a

    inputs = {n: row(n, *t) for n, t in zip("abcd", [(1, 2, 3), (4, 5, 9), (0, 1, 2), (0.1, 0.2, 0.4)], strict=True)}  # fmt: skip
    chain = Chain([figure], inputs)
    corners = [figure(*at) for at in product(*[(r.low, r.high) for r in inputs.values()])]
    low, high = ranges.worst_case(chain, inputs, "figure")
    assert (low, high) == (pytest.approx(min(corners)), pytest.approx(max(corners)))
    drawn = montecarlo.simulate(chain, inputs)["figure"]
    assert low <= drawn.min() and drawn.max() <= high


def test_drivers_are_the_swings_by_hand_strongest_first():
    found = ranges.drivers(CHAIN, INPUTS, "total")
    assert [d.name for d in found] == ["d", "c", "e", "b", "a", "f"]
    assert found[0].swing == pytest.approx(7)
    middle = sum(t[1] for t in TRIANGLES)
    assert found[0].at_low == pytest.approx(middle - 0.1)


def test_nothing_uncertain_is_one_number():
    inputs = {n: row(n, None, 1.0, None) for n in "abcdef"}
    drawn = montecarlo.simulate(CHAIN, inputs)["total"]
    found = ranges.spread(drawn, ranges.worst_case(CHAIN, inputs, "total"))
    assert (found.p10, found.p90, found.low, found.high) == (6, 6, 6, 6)
    assert ranges.drivers(CHAIN, inputs, "total") == []


def test_too_few_draws_are_refused():
    with pytest.raises(OutOfRange, match="draws"):
        montecarlo.draw(INPUTS, draws=1)


def test_an_input_more_leaves_the_draws_of_the_others_as_they_are():
    """Otherwise a likely sum would jump when an unrelated field changes."""
    few = montecarlo.draw({n: INPUTS[n] for n in "ace"})
    for name, column in montecarlo.draw(INPUTS).items():
        assert name not in few or np.array_equal(few[name], column)


def test_draws_of_one_shop_are_correlated_as_stated_and_no_others():
    """By normal scores; each keeps its own triangular distribution whatever the others do."""
    names = ["dressing_hours_per_metre", "tack_aligning_s", "flow_l_min", "gap_mm"]
    inputs = {n: row(n, 0, 0.3, 1) for n in names}
    for stated in (0.0, 0.5, 0.9):
        inputs["shop_correlation"] = row("shop_correlation", None, stated, None)
        drawn = montecarlo.draw(inputs, draws=MANY)
        scores = [stats.norm.ppf(stats.rankdata(drawn[n]) / (MANY + 1)) for n in names]
        found = np.corrcoef(scores)
        assert found[0, 1] == pytest.approx(stated, abs=0.01)
        assert np.abs(found[2:, :2]).max() < 0.01 and abs(found[2, 3]) < 0.01
        triangle = stats.triang(0.3)
        assert stats.kstest(drawn["tack_aligning_s"], triangle.cdf).statistic < 1e-4


def test_a_shops_steps_go_together_by_065():
    """Our own value, two thirds, between the slowness of any two of its labour steps."""
    inputs = labour.inputs(
        joint="lap", role="skin", process="135", position="flat", coating="painted",
        back_access=True, skill="trade", gas_group="M21",
    )  # fmt: skip
    drawn = montecarlo.draw(inputs, draws=MANY)
    names = ["access_hours_per_job", "fitting_hours_per_metre", "dressing_hours_per_metre"]
    scores = [stats.norm.ppf(stats.rankdata(drawn[n]) / (MANY + 1)) for n in names]
    assert np.corrcoef(scores)[np.triu_indices(3, 1)] == pytest.approx(0.65, abs=0.01)


def test_a_range_is_one_in_ten_half_and_nine_in_ten_of_the_draws():
    drawn = montecarlo.simulate(CHAIN, INPUTS)["total"]
    low, likely, high = ranges.quantiles(drawn)
    assert [np.mean(drawn <= x) for x in (low, likely, high)] == [0.1, 0.5, 0.9]
    assert (low, likely, high) == pytest.approx(np.quantile(drawn, (0.1, 0.5, 0.9)))


def test_the_draws_shown_agree_with_many_more():
    few, many = (
        ranges.quantiles(montecarlo.simulate(CHAIN, INPUTS, draws=n)["total"])
        for n in (montecarlo.DRAWS, MANY)
    )
    assert few == pytest.approx(many, abs=0.02 * (many[2] - many[0]))


def test_typical_parts_add_up_to_the_likely_whole():
    @formula(valid=dict.fromkeys("abc", ANY))
    def part(a, b, c):
        return a * b + c

    @formula(valid={"part": ANY, "d": ANY})
    def whole(part, d):
        return 3 * part - d

    chain = Chain([part, whole], INPUTS)
    drawn = chain.evaluate(montecarlo.draw(INPUTS))
    found = ranges.typical(drawn, "whole")
    assert found["whole"] == pytest.approx(ranges.quantiles(drawn["whole"])[1])
    assert found["whole"] == pytest.approx(3 * found["part"] - found["d"])


def test_a_factor_from_a_log_is_log_normal_nine_in_ten_within_its_ends():
    own = Row("log", "own_dressing_factor", "own_dressing_factor", 0.8, 1.2, 1.8, "1", "log", "derived", "")  # fmt: skip
    drawn = montecarlo.column(own, MANY)
    assert np.mean((drawn > 0.8) & (drawn < 1.8)) == pytest.approx(0.9, abs=1e-4)
    assert np.median(drawn) == pytest.approx(1.2, rel=1e-3)
