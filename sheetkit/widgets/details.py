"""What stands under the drawing: cautions, and folded, all figures, the order, the pull, two ways, the pages."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as ipw

from ..repair.estimate import Estimate
from . import cards
from .order import Order
from .plans import Plans
from .print_pages import Pages
from .pull_card import PullCard
from .two_ways import TwoWays
from .warming import Warming

_FOLDS = (
    "All figures",
    "Plan the order",
    "What the seam pulls",
    "Two ways side by side",
    "Pages to print",
)


class Details(ipw.VBox):
    """Everything about a result that is not drawing, setting or chief figure.

    Parameters
    ----------
    source : callable
        Gives the result of the job as it is now; None while there is none.
    plans : Plans
    """

    def __init__(self, source: Callable[[], Estimate | None], plans: Plans):
        self._source = source
        self.cards, self.amounts = ipw.HTML(), ipw.HTML()
        # it has a height of its own, so that nothing below it moves with its words,
        # and who scrolls by keys gets there
        self.cautions = ipw.HTML(
            tabbable=True,
            layout=ipw.Layout(height="190px", overflow="auto", border="1px solid #999"),
        )
        self.order, self.two_ways = Order(source, plans), TwoWays(source)
        self.pages, self.pull = Pages(source, plans=plans), PullCard(source)
        figures = ipw.VBox([self.cards, self.amounts])
        parts = [figures, self.order, self.pull, self.two_ways, self.pages]
        folds = ipw.Accordion(parts, titles=_FOLDS, selected_index=None)
        folds.observe(
            lambda change: self.pull.look(change["new"] == parts.index(self.pull)),
            "selected_index",
        )
        heading = ipw.HTML("<b>Before the first cut: cautions</b>")
        warming = Warming()
        warming.layout = ipw.Layout(min_height="22px")
        super().__init__([heading, self.cautions, folds, warming])
        self.add_class("sk-touch")

    def __repr__(self) -> str:
        return "Details"

    def follow(self, display: str) -> None:
        """Show the result as it is now, in the units chosen."""
        result = self._source()
        for part in (self.order, self.pull, self.two_ways, self.pages):
            part.follow()
        self.cards.value = cards.cards(result, display=display) if result else ""
        self.amounts.value = cards.amounts(result, display=display) if result else ""
        self.cautions.value = cards.caution_list(result, display=display) if result else ""

    def show_in(self, display: str) -> None:
        """Show everything in other units."""
        for part in (self.order, self.pull, self.two_ways):
            part.show_in(display)
        self.follow(display)
