"""Readings while the sheet cools after the last stitch: the heat put in and the heat lost.

Soon after the last stitch a reading tells the heat, minutes later what was lost
of it.  The rise is in proportion to the heat; how it falls with the loss ratio
is marched on a coarse grid.  The two ratios are weighed against the book's word
on a grid of their logarithms, each reading with a small chance of being a slip.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import log, pi, sqrt

import numpy as np

from ..base.errors import check, refuse
from ..heat.grid import GridChoice
from ..heat.sheet_model import SheetModel
from .burnt_strip import MeasuredStrip, strip_surprise
from .plan import SequencePlan
from .shop_heat import BOOK, BOOK_HEAT, BOOK_LOSS, HEAT_RANGE, LOSS_RANGE, ShopHeat
from .thermometer import BELOW_AIR_K, LEAST_READING_C, MOST_READING_C

READ_AFTER_S = (60.0, 180.0, 420.0)
"""When to read after the last stitch: early ones tell the heat, late ones the losses (derived)."""
EARLIEST_S, LATEST_S = 30.0, 3600.0
"""Sooner the bead itself is read; later the sheet is cold."""
MOST_READINGS = 24
READING_K = 1.5
"""Standard deviation of a contact thermometer on sheet, K.  GUESS."""
MODEL_SHARE = 0.03
"""The same of the heat-flow model, as a share of the rise it gives.  GUESS."""
SLIPS = 0.05
"""The share of readings taken for slips: wrong place, wrong unit, wrong key.  GUESS."""
FEW = 3
"""Of so many readings one that slipped can pass for sound: each is left out in turn."""
AGREED = 1.5
"""So many stated standard deviations may leaving one of FEW out move the ratios (our own choice:
of 100 made-up shops with one reading a minute late or 15 K off, at least 90 are covered or told)."""
COARSE_MM = 8.0
DRAWS = 1000
LOSSES = np.exp(np.linspace(np.log(LOSS_RANGE[0]), np.log(LOSS_RANGE[1]), 13))
"""The loss ratios that are marched."""
_HEAT = np.linspace(log(HEAT_RANGE[0]), log(HEAT_RANGE[1]), 241)
_LOSS = np.linspace(log(LOSS_RANGE[0]), log(LOSS_RANGE[1]), 241)


@dataclass(frozen=True)
class Reading:
    """A thermometer on the last stitch: s after its arc went out, and deg C.

    after_s : 30 to 3600; celsius : -60 to 1600
    """

    after_s: float
    celsius: float

    def __post_init__(self) -> None:
        check("after_s", self.after_s, EARLIEST_S, LATEST_S, "s")
        check("celsius", self.celsius, LEAST_READING_C, MOST_READING_C, "degC")


class Use(Enum):
    """What became of a reading."""

    USED = "used"
    ODD = (
        "the others alone say something else: check its place and its minute, or leave it out; "
        "the range is wider for it"
    )
    LITTLE = "far from what the others say: it counts little"
    BELOW_AIR = "below the air's temperature: not used"
    SLIP = "further off than any sheet can be: not used"


@dataclass(frozen=True)
class Learned:
    """What one job's readings say.

    heat : ShopHeat, with the book's word in it; None of the readings used: the book's
    uses : what became of each reading, in the order given
    book_c : what the book's heat and losses give at each reading, deg C
    fitted_c : the same by the ratios found
    strip_used : whether the strip's width was
    """

    heat: ShopHeat
    uses: tuple[Use, ...]
    book_c: tuple[float, ...]
    fitted_c: tuple[float, ...]
    strip_used: bool = False


class CoolingCurves:
    """Rise on the last stitch while the sheet cools, by the book's heat, for a range of losses.

    Parameters
    ----------
    plan : SequencePlan; starts_s : the actual starts, s after the end of tacking (as planned)
    after_s : (n,) s after the last arc went out
    """

    def __init__(self, plan: SequencePlan, starts_s: Sequence[float] | None, after_s: np.ndarray):
        starts = list(plan.start_s if starts_s is None else starts_s)
        if len(starts) != len(plan.order):
            refuse("starts_s", f"{len(starts)} starts", f"must be {len(plan.order)}, one a stitch",
                   "read after the last stitch")  # fmt: skip
        model = SheetModel(plan.model.piece, GridChoice(cell_mm=max(COARSE_MM, plan.grid_mm)))
        self.ambient_c = model.ambient_c
        heat, loss = plan.taken
        rises = [_cooling(plan, starts, model.varied(film=one / loss), after_s) for one in LOSSES]
        self._logs = np.log(np.maximum(rises, 1e-6)) - log(heat)

    def rise(self, loss: np.ndarray) -> np.ndarray:
        """Return the rise by the book's heat at each time for loss ratios, (losses, times), K."""
        from scipy.interpolate import CubicSpline

        return np.exp(CubicSpline(np.log(LOSSES), self._logs)(np.log(loss)))


def _cooling(
    plan: SequencePlan, starts: Sequence[float], model: SheetModel, after_s: np.ndarray
) -> np.ndarray:
    """Return the highest rise along the last stitch at times after its arc went out, K."""
    tacks, free = len(plan.tack_order), plan.tack_s
    fixed: list[float] = []
    for stitch, start in zip(plan.order, starts, strict=True):
        fixed.append(max(float(start) + plan.tack_s, free))
        free = fixed[-1] + model.stitches[stitch].duration_s
    state = model.play(plan.tack_order, plan.tack_start_s).state
    last = tacks + plan.order[-1]
    state = model.play([tacks + n for n in plan.order], fixed, state=state).state
    end, found = state.clock, np.zeros(len(after_s))
    for n in np.argsort(after_s):
        if end + after_s[n] > state.clock:
            model.cool(state, end + after_s[n] - state.clock)
        found[n] = model.read(state)[last] - model.ambient_c
    return found


def learned(
    plan: SequencePlan,
    readings: Sequence[Reading] = (),
    *,
    starts_s: Sequence[float] | None = None,
    strip: MeasuredStrip | None = None,
) -> Learned:
    """Return the heat and loss ratios that readings after the last stitch give.

    Parameters
    ----------
    plan : SequencePlan that was followed
    readings : on the last stitch, best 1, 3 and 7 minutes after it, at most MOST_READINGS
    starts_s : actual starts of all stitches, s after the end of tacking; None: as planned
    strip : the burnt strip's width; it tells the heat alone

    Returns
    -------
    Learned.  Nine in ten of such shops lie within its ranges, if the sheet is
    what the model takes it for: conductivity, surroundings, no draught.

    Raises
    ------
    OutOfRange : a start or a reading is outside its range; too many readings

    Source
    ------
    Bayes' rule on a grid.  Our own use of it: no source.
    """
    if len(readings) > MOST_READINGS:
        refuse("readings", len(readings), f"must be at most {MOST_READINGS}", "leave some out")
    belief: np.ndarray = -0.5 * ((_HEAT / BOOK_HEAT)[:, None] ** 2 + (_LOSS / BOOK_LOSS)[None] ** 2)
    uses: list[Use] = []
    told: list[np.ndarray] = []
    said: dict[int, np.ndarray] = {}
    ambient_c, rise = plan.model.ambient_c, np.zeros((_LOSS.size, 0))
    if readings:
        curves = CoolingCurves(plan, starts_s, np.array([one.after_s for one in readings]))
        rise = curves.rise(np.exp(_LOSS))
    for n, one in enumerate(readings):
        measured = one.celsius - ambient_c
        use = _believable(measured, rise[:, n])
        uses.append(use)
        told.append(_slip_free(measured, rise[:, n]))
        if use is Use.USED:
            said[n] = np.log((1 - SLIPS) * told[n] + SLIPS * _anywhere(rise[:, n]))
            belief = belief + said[n]
    if strip is not None:
        belief = belief - 0.5 * strip_surprise(plan, strip, np.exp(_HEAT))[:, None] ** 2
    share = _shares(belief)
    odd, wider = _left_out(belief, said)
    for n, use in enumerate(uses):
        if use is Use.USED:
            slip = SLIPS * _anywhere(rise[:, n])
            sure = float((share * (1 - (slip / ((1 - SLIPS) * told[n] + slip)))).sum())
            uses[n] = Use.USED if sure > 0.5 else Use.LITTLE
    if odd is not None and Use.LITTLE not in uses:
        uses[odd] = Use.ODD
    used = len(said) + (strip is not None)
    mean, covariance = _moments(share)
    heat = ShopHeat.of(mean, covariance + wider, used, 1) if used else BOOK
    at_book, at_found = (
        [
            ambient_c + ratio * float(np.interp(log(loss), _LOSS, rise[:, n]))
            for n in range(len(uses))
        ]
        for ratio, loss in ((1.0, 1.0), (heat.heat, heat.loss))
    )
    return Learned(heat, tuple(uses), tuple(at_book), tuple(at_found), strip is not None)


def _deviation(rise: np.ndarray) -> np.ndarray:
    """Return the standard deviation of a reading about the rise the model gives, K."""
    return np.hypot(READING_K, MODEL_SHARE * rise)


def _slip_free(measured: float, rise: np.ndarray) -> np.ndarray:
    """Return the density of a sound reading for each pair of ratios, (heats, losses), 1/K."""
    expected = np.exp(_HEAT)[:, None] * rise[None]
    sd = _deviation(expected)
    return np.exp(-0.5 * ((measured - expected) / sd) ** 2) / (sd * sqrt(2 * pi))


def _anywhere(rise: np.ndarray) -> float:
    """Return the density of a slip: anywhere between the air and the hottest sheet, 1/K."""
    return 1 / max(HEAT_RANGE[1] * float(rise.max()), 20.0)


def _believable(measured: float, rise: np.ndarray) -> Use:
    """Say whether any sheet could read so."""
    if measured < -BELOW_AIR_K:
        return Use.BELOW_AIR
    low, high = HEAT_RANGE[0] * rise.min(), HEAT_RANGE[1] * rise.max()
    if not low - 2 * READING_K <= measured <= high + 2 * READING_K:
        return Use.SLIP
    return Use.USED


def _shares(belief: np.ndarray) -> np.ndarray:
    """Return the share of each pair of ratios by its logarithm."""
    share = np.exp(belief - belief.max())
    return np.asarray(share / share.sum())


def _left_out(belief: np.ndarray, said: dict[int, np.ndarray]) -> tuple[int | None, np.ndarray]:
    """Return which of FEW readings looks odd, and how much wider that makes the covariance.

    The one without which the ratios move the most, where that is more than they are
    stated to; the covariance gets wider by the squares of all the moves.
    """
    if len(said) != FEW:
        return None, np.zeros((2, 2))
    mean, covariance = _moments(_shares(belief))
    moves = np.array([_moments(_shares(belief - one))[0] - mean for one in said.values()])
    away = np.sqrt(((moves @ np.linalg.inv(covariance)) * moves).sum(axis=1))
    if not away.max() > AGREED:
        return None, np.zeros((2, 2))
    return list(said)[int(away.argmax())], moves.T @ moves


def _moments(share: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return mean and covariance of the logarithms."""
    heat, loss = share.sum(axis=1), share.sum(axis=0)
    mean = np.array([heat @ _HEAT, loss @ _LOSS])
    off = [_HEAT - mean[0], _LOSS - mean[1]]
    both = off[0] @ share @ off[1]
    covariance = np.array([[heat @ off[0] ** 2, both], [both, loss @ off[1] ** 2]])
    return mean, covariance


def curve(plan: SequencePlan, heat: ShopHeat, after_s: np.ndarray) -> np.ndarray:
    """Return the temperature on the last stitch as it cools, (low, likely, high) x times, deg C.

    Nine in ten of what is believed lie between low and high.
    """
    if not len(after_s):
        return np.zeros((3, 0))
    curves = CoolingCurves(plan, None, np.asarray(after_s, float))
    drawn = np.random.default_rng(1).multivariate_normal(heat.mean, heat.covariance, DRAWS)
    losses = np.clip(np.exp(drawn[:, 1]), *LOSS_RANGE)
    rises = np.exp(drawn[:, :1]) * curves.rise(losses)
    low, high = np.quantile(rises, (0.05, 0.95), axis=0)
    likely = heat.heat * curves.rise(np.array([heat.loss]))[0]
    return np.stack([low, likely, high]) + curves.ambient_c
