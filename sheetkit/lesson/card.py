"""The card a pupil keeps: the best order of each board, and the best mark."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ..sequence.plan import SequencePlan
from ..views.axes import figure
from ..views.heat_charts import turns
from ..views.words import minutes
from .board import Board
from .records import Mark
from .tries import Judged

MOST_BOARDS = 3
LEARNED = (
    "Heat takes time to arrive: a place that is cool now can be hot when you start there.",
    "Next comes the place that stays coolest, not the next one along.",
    "No order takes the shrinkage away: it is planished out.",
    "The seconds come from a heat-flow model, not validated against measured temperatures: "
    "go by the thermometer.",
)


@dataclass(frozen=True)
class Best:
    """The best order of one board."""

    name: str
    plan: SequencePlan
    once_round_s: float

    @classmethod
    def of(cls, board: Board, best: Judged | None) -> Best | None:
        """Return the best order of a board; None where none was tried."""
        if best is None:
            return None
        return cls(board.name, best.plan, board.once_round().plan.total_s)


def card(name: str, best: Sequence[Best], mark: Mark | None, form: str = "png") -> bytes:
    """Return the card, landscape A5, as "png" or "pdf"."""
    made = figure(8.27, 5.83)
    best = list(best)[:MOST_BOARDS]
    made.suptitle(f"Which stitch next, and why{': ' + name if name else ''}", fontsize=17,
                  fontweight="bold", x=0.03, ha="left", parse_math=False)  # fmt: skip
    high = [0.9, 3.4, 1.5] if best else [1.0, 0.1, 1.5]
    parts = made.subfigures(3, 1, squeeze=False, height_ratios=high)
    head, middle, foot = parts[:, 0]
    told = f"{mark.marks} of {mark.full} marks in the test" if mark else "no test taken yet"
    head.text(0.03, 0.45, f"{told}   ·   {date.today().isoformat()}", fontsize=14, va="center")
    for n, one in enumerate(best):
        ax = middle.add_subplot(1, max(len(best), 2), n + 1)
        turns(one.plan, ax)
        ax.set_axis_off()
        ax.set_title(f"{one.name}\n{minutes(one.plan.total_s)}; once round {minutes(one.once_round_s)}",
                     fontsize=9, parse_math=False)  # fmt: skip
    for n, words in enumerate(LEARNED):
        foot.text(0.03, 0.86 - 0.24 * n, f"·  {words}", fontsize=9, va="center")
    buffer = io.BytesIO()
    made.savefig(buffer, format=form, dpi=150)
    return buffer.getvalue()
