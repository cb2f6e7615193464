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
from . import (
    heat_charts,
    listings,
    pull_chart,
    pull_words,
    range_charts,
    repair_charts,
    shop_charts,
)
from .axes import picture
from .order_listing import order_listing
from .place_words import hot_lines
from .summary import SUMMARY, summary, summary_numbers
from .words import named


@dataclass(frozen=True)
class View:
    """How one kind of result is shown.

    rows : called with (result, display), display is "mm" or "in": the numbers of its table;
        None where the class has its own listing
    plot : called with (result, ax, options of its own)
    read : as `rows`, where a reader is shown other rows than the table holds
    warned : called with the result: lines that must be read before it is followed
    """

    rows: Callable[[Any, str], Listing] | None
    plot: Callable[..., Axes]
    read: Callable[[Any, str], Listing] | None = None
    warned: Callable[[Any], list[str]] | None = None

    def listing(self, result: Any, display: str) -> Listing:
        """Return the numbers of a result's table."""
        if self.rows is None:
            raise LookupError(f"{type(result).__name__} has no listing")
        return self.rows(result, display)


def _summary(result: Estimate, display: str) -> Listing:
    return Listing(SUMMARY, summary(result, display=display))


def _bars(name: str) -> Callable[..., Axes]:
    def plot(result: Any, ax: Axes | None = None) -> Axes:
        return range_charts.column_bars(result.listing(), name, ax)

    return plot


def _cooling(result: Any, ax: Axes | None = None, **options: Any) -> Axes:
    return shop_charts.cooling(result.plan, result.readings, result.learned, ax, **options)


VIEWS: dict[str, View] = {
    "Estimate": View(summary_numbers, repair_charts.patch_plan, _summary),
    "SequencePlan": View(order_listing, heat_charts.turns, warned=hot_lines),
    "Job": View(listings.job_listing, repair_charts.job_plan),
    "Range": View(listings.range_listing, _bars("likely")),
    "Extent": View(listings.extent_listing, range_charts.distribution),
    "Placement": View(listings.placement_listing, repair_charts.stock_plan),
    "Comparison": View(None, _bars("cost")),
    "ShoppingList": View(None, _bars("price")),
    "HeatCoupon": View(None, _cooling),
    "Pull": View(
        pull_words.pull_listing,
        pull_chart.buckle,
        warned=lambda pull: [*pull_words.assumed(pull), pull_words.NO_ORDER, pull_words.STOPS],
    ),
    "Book": View(None, _bars("hours")),
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
    """Return a result as HTML: its short name, its chart and its rows."""
    view = view_of(result)
    rows = view.read(result, "mm") if view.read else result.listing()
    name = repr(result).removeprefix("<").removesuffix(">")
    if isinstance(method := getattr(result, "method", None), str):
        name = name.replace(method, named(method))
    told = (
        "".join(f"<p><b>{escape(line)}</b></p>" for line in view.warned(result))
        if view.warned
        else ""
    )
    return f"<p><b>{escape(name)}</b></p>{told}{picture(view.plot(result))}{rows._repr_html_()}"
