"""Charts of what thermometer readings say beside the book: the cooling curve with its bands."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes

from ..sequence.cooling_curve import EARLIEST_S, READ_AFTER_S, Learned, Reading, Use, curve
from ..sequence.plan import SequencePlan
from ..sequence.shop_heat import BOOK
from .axes import bare, new_axes
from .order_listing import degree_unit, degrees
from .palette import BLACK, BLUE, ORANGE, SKY

POINTS = 40


def cooling(
    plan: SequencePlan,
    readings: Sequence[Reading],
    learned: Learned,
    ax: Axes | None = None,
    *,
    display: str = "mm",
) -> Axes:
    """Draw the last stitch cooling: the book's curve and band, your own, and your readings.

    Nine in ten lie within a band.  Readings that were not used are crossed out.
    """
    ax = new_axes(
        ax, 7.2, 4.0,
        "the last stitch cooling: the book's curve with its band, yours, and the readings",
    )  # fmt: skip
    last = max([*(one.after_s for one in readings), READ_AFTER_S[-1]])
    after = np.geomspace(EARLIEST_S, 1.15 * last, POINTS)
    bands = [("by the book", BOOK, SKY, BLUE, "--", "")]
    if learned.heat.readings:
        bands.append(("by your ratios", learned.heat, ORANGE, BLACK, "-", "///"))
    for words, heat, fill, line, style, hatch in bands:
        low, likely, high = degrees(curve(plan, heat, after), display)
        ax.fill_between(after / 60, low, high, fc=fill, ec=line, lw=0.4, alpha=0.4, hatch=hatch)
        ax.plot(after / 60, likely, color=line, ls=style, lw=1.8, label=words)
    for used, marker, words in ((True, "o", "read"), (False, "x", "read, in doubt or not used")):
        mine = [
            one
            for one, use in zip(readings, learned.uses, strict=True)
            if (use is Use.USED) == used
        ]
        if mine:
            ax.plot(
                [one.after_s / 60 for one in mine],
                [degrees(one.celsius, display) for one in mine],
                marker, ms=8, mfc="white", mec=BLACK, mew=1.8, ls="", label=words, zorder=5,
            )  # fmt: skip
    ax.set_xlabel("time since the last stitch, min")
    ax.set_ylabel(f"temperature there, {degree_unit(display)}")
    ax.set_xlim(0, None)
    bare(ax)
    ax.legend(frameon=False)
    return ax
