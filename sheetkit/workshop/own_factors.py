"""An estimate by your own log and coupon: the same chain with your factors put in."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from ..base.tables import Row
from ..formulas import hours
from ..formulas.chain import evaluate
from ..repair.estimate import Estimate
from . import learning
from .learning import Factor


def own_access_h(book_access_h, own_access_factor):
    """Access and stripping, h: the book's hours x your own factor."""
    return book_access_h * own_access_factor


def own_cutting_h(book_cutting_h, own_cutting_factor):
    """Cutting out, h: the book's hours x your own factor."""
    return book_cutting_h * own_cutting_factor


def own_making_h(book_making_h, own_making_factor):
    """Making the patch, h: the book's hours x your own factor."""
    return book_making_h * own_making_factor


def own_fitting_h(book_fitting_h, own_fitting_factor):
    """Fit-up, h: the book's hours x your own factor."""
    return book_fitting_h * own_fitting_factor


def own_tacking_h(book_tacking_h, own_tacking_factor):
    """Tacking, h: the book's hours x your own factor."""
    return book_tacking_h * own_tacking_factor


def own_welding_h(book_welding_h, own_welding_factor):
    """Welding, h: the book's hours x your own factor."""
    return book_welding_h * own_welding_factor


def own_dressing_h(book_dressing_h, own_dressing_factor):
    """Dressing, h: the book's hours x your own factor."""
    return book_dressing_h * own_dressing_factor


def own_sealing_h(book_sealing_h, own_sealing_factor):
    """Sealing, h: the book's hours x your own factor."""
    return book_sealing_h * own_sealing_factor


def own_paint_ready_h(book_paint_ready_h, own_paint_ready_factor):
    """Paint-ready, h: the book's hours x your own factor."""
    return book_paint_ready_h * own_paint_ready_factor


def own_wire_g(book_wire_g, own_wire_factor):
    """Wire to reckon with, g: the book's x your own factor."""
    return book_wire_g * own_wire_factor


def own_gas_l(book_gas_l, own_gas_factor):
    """Gas the job really takes, l: the book's x your own factor."""
    return book_gas_l * own_gas_factor


def own_cutting_discs(book_cutting_discs, own_cutting_discs_factor):
    """Cutting discs worn: the book's x your own factor."""
    return book_cutting_discs * own_cutting_discs_factor


def own_flap_discs(book_flap_discs, own_flap_discs_factor):
    """Flap discs worn: the book's x your own factor."""
    return book_flap_discs * own_flap_discs_factor


LEARNED: dict[str, Callable] = {
    "access_h": own_access_h,
    "cutting_h": own_cutting_h,
    "making_h": own_making_h,
    "fitting_h": own_fitting_h,
    "tacking_h": own_tacking_h,
    "welding_h": own_welding_h,
    "dressing_h": own_dressing_h,
    "sealing_h": own_sealing_h,
    "paint_ready_h": own_paint_ready_h,
    "wire_bought_g": own_wire_g,
    "gas_real_l": own_gas_l,
    "cutting_discs": own_cutting_discs,
    "flap_discs": own_flap_discs,
}
"""Figure -> the formula that puts your own factor on it."""


def factors(result: Estimate, ratios: Mapping[str, Sequence[float]]) -> dict[str, Factor]:
    """Return figure -> your own factor for this job's figures.

    `ratios`: figure -> what logged jobs took over what the book said of them.
    """
    found = {}
    for name in LEARNED:
        if result.values.get(name, 0.0) > 0:
            span = result.range(name)
            found[name] = learning.factor(span.low, span.likely, span.high, ratios.get(name, ()))
    return found


def with_own(result: Estimate, ratios: Mapping[str, Sequence[float]]) -> Estimate:
    """Return the estimate with your own factors on hours by step, wire, gas and discs.

    The factors carry the book's ranges from then on, narrowed by what was
    logged, so the inputs they stand for keep still.  What the arc's time still
    moves is left in: these ranges err on the wide side.
    """
    found = factors(result, ratios)
    chain: dict[str, Callable] = {}
    inputs = dict(result.inputs)
    for name, formula in result.chain.items():
        if name not in found:
            chain[name] = formula
            continue
        own = LEARNED[name]
        book, called = own.__code__.co_varnames[:2]
        chain[book], chain[name] = formula, own
        inputs[called] = found[name].row(called)
    for name in _CARRIED:
        if name in inputs:
            inputs[name] = replace(inputs[name], low=None, high=None)
    return _again(result, inputs, chain)


_CARRIED = (
    *hours.inputs(
        joint="butt", role="floor", fill="stitch", position="flat", back_access=True,
        skill="trade", gas_group="M21",
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
    inputs, chain = dict(result.inputs), dict(result.chain)
    for row in readings:
        if row.quantity in chain:
            del chain[row.quantity]
            inputs[row.quantity] = row
        elif row.quantity in inputs:
            inputs[row.quantity] = row
    return _again(result, inputs, chain)


def _again(result: Estimate, inputs: Mapping[str, Row], chain: Mapping[str, Callable]) -> Estimate:
    values = evaluate(chain, {name: row.value for name, row in inputs.items()})
    return replace(result, inputs=inputs, values=values, _chain=chain)
