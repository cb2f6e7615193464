"""What each result shows of itself: its listing, its chart, and both as one page in a notebook.

Found by a class's name, so that rooms below and beside this one need not be imported.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from typing import Any

from matplotlib.axes import Axes

from ..base.showing import Listing
from ..repair.estimate import Estimate
from . import heat_charts, repair_charts
from .axes import picture
from .order_listing import order_listing
from .summary import SUMMARY, summary


@dataclass(frozen=True)
class View:
    """How one kind of result is shown.

    listing : called with (result, display); display is "mm" or "in"
    plot : called with (result, ax, options of its own)
    """

    listing: Callable[[Any, str], Listing]
    plot: Callable[..., Axes]


def estimate_listing(result: Estimate, display: str = "mm") -> Listing:
    """Return an estimate's summary: what, amount, how far it can differ, what it rests on."""
    return Listing(SUMMARY, summary(result, display=display))


VIEWS: dict[str, View] = {
    "Estimate": View(
        estimate_listing,
        repair_charts.patch_plan,
    ),
    "SequencePlan": View(
        order_listing,
        heat_charts.turns,
    ),
}
"""Class name -> how it is shown."""


def view_of(result: object) -> View:
    """Return how a result is shown: by its class's name, else by a parent's.

    Raises
    ------
    LookupError
        Nothing is known of it.
    """
    for kind in type(result).__mro__:
        if kind.__name__ in VIEWS:
            return VIEWS[kind.__name__]
    raise LookupError(f"{type(result).__name__} has no view; there are: {', '.join(VIEWS)}")


def page_of(result: Any) -> str:
    """Return a result as HTML: its short name, its chart and its listing."""
    view = view_of(result)
    chart, rows = picture(view.plot(result)), result.listing()._repr_html_()
    return f"<p><b>{escape(repr(result).strip('<>'))}</b></p>{chart}{rows}"
