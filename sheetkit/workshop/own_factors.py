"""An estimate by your own log and coupon: the same chain with your factors put in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ..base.tables import Row, chosen
from ..formulas import hours, labour
from ..formulas.chain import Chain, Formula, scaled
from ..repair.estimate import Estimate
from . import learning
from .learning import Factor

LEARNED = (*hours.STEPS, "wire_bought_g", "gas_real_l", "cutting_discs", "flap_discs")
"""The figures your own factors are put on."""


def factors(result: Estimate, ratios: Mapping[str, Sequence[float]]) -> dict[str, Factor]:
    """Return figure -> your own factor for this job's figures.

    `ratios`: figure -> what logged jobs took over the book's value of them.
    """
    found = {}
    for name in LEARNED:
        value = float(result.values.get(name, 0.0))
        if value > 0:
            low, likely, high = result.spans[name]
            seen = ratios.get(name, ())
            found[name] = learning.factor(low, likely, high, seen, value=value)
    return found


def with_own(
    result: Estimate,
    ratios: Mapping[str, Sequence[float]],
    jobs: Iterable[Mapping[str, float]] = (),
) -> Estimate:
    """Return the estimate with your own factors on hours by step, wire, gas and discs.

    The factors carry the book's ranges from then on, narrowed by what was
    logged, so the inputs they stand for keep still.  What the arc's time still
    moves is left in: these ranges err on the wide side.  With nothing logged it
    is the estimate by the book, unchanged.

    Parameters
    ----------
    ratios : figure -> what logged jobs took over the book's value of them
    jobs : of each logged job, step -> the same ratio: how much of a shop's pace is
        common to its steps
    """
    if not any(len(seen) for seen in ratios.values()):
        return result
    found = factors(result, ratios)
    chain: list[Formula] = []
    inputs = dict(result.inputs)
    for name, formula in result.chain.items():
        if name in found:
            own = hours.own_factor(name)
            inputs[own] = found[name].row(own)
            chain += scaled(formula, own)
        else:
            chain.append(formula)
    for name in _CARRIED:
        if name in inputs:
            inputs[name] = chosen(inputs[name])
    common = learning.shop_correlation(jobs, inputs["shop_correlation"])
    inputs["shop_correlation"] = common
    return _again(result, inputs, chain)


_CARRIED = (
    *labour.inputs(
        joint="butt", role="floor", process="135", position="flat", coating="painted",
        back_access=True, skill="trade", gas_group="M21",
    ),
    "flow_l_min",
    "pre_flow_s",
    "post_flow_s",
    "start_surge_l",
    "face_cap_mm",
    "root_cap_mm",
    "fillet_allowance",
    "deposition_efficiency",
    "cutting_disc_per_m",
    "flap_disc_per_m",
)  # fmt: skip


def calibrated(result: Estimate, *readings: Row) -> Estimate:
    """Return the estimate with what a coupon and a run-out showed in place of the tables'.

    `readings` are rows of `learning.run_out`, `coupon_travel`, `coupon_dot`; a
    reading the job's process does not use is left out.
    """
    used = {row.quantity: row for row in readings if row.quantity in result.values}
    chain = [formula for name, formula in result.chain.items() if name not in used]
    return _again(result, {**result.inputs, **used}, chain)


def _again(result: Estimate, inputs: Mapping[str, Row], formulas: Iterable[Formula]) -> Estimate:
    chain = Chain(formulas, inputs)
    values = chain.evaluate({name: row.value for name, row in inputs.items()})
    return replace(result, inputs=inputs, values=values, chain=chain)
