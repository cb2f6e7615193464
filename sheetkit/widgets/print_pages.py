"""Buttons that write a job's pages and show what they look like."""

from __future__ import annotations

import base64
from collections.abc import Callable
from html import escape

import ipywidgets as ipw

from ..base.errors import Fault, JobRefused, SheetkitError
from ..repair.estimate import Estimate, estimate
from ..repair.plan import order_hangs_on
from ..sequence.plan import SequencePlan
from . import cards
from .bench import Bench
from .planning import Planning

FOLDER = "pages"


class Pages(ipw.VBox):
    """A folder, a paper size, and two buttons: show a preview, write the pages.

    The order is planned once for a job, in the background, with a bar and a
    button that stops it; as long as sheet, drawing and welds stay, it is kept.

    Parameters
    ----------
    result : Bench, Estimate, or a callable that gives one
        A bench's last result is printed, and it takes over the order that is planned
        here, so that both reckon the same hours.  A callable is asked at every press.
    order : SequencePlan, optional
        The order of this result; default one is planned.
    """

    def __init__(
        self,
        result: Bench | Estimate | Callable[[], Estimate | None],
        order: SequencePlan | None = None,
    ):
        self._source = result
        first = self.result
        self._kept: tuple[dict, SequencePlan] | None = None
        if order and first:
            self._keep(first, order)
        self._planning: Planning | None = None
        self.folder = ipw.Text(value=FOLDER, description="Folder")
        self.paper = ipw.Dropdown(options=[("A4", "a4"), ("Letter", "letter")], description="Paper")
        self.kind = ipw.Dropdown(
            options=["estimate", "fixed price"],
            value=first.job.shop.quote if first else "estimate",
            description="Quote",
        )
        self.overwrite = ipw.Checkbox(
            value=False,
            description="replace files of the same names",
            indent=False,
            layout=ipw.Layout(width="auto"),
        )
        self.show = ipw.Button(description="Show a preview", icon="eye")
        self.write = ipw.Button(description="Write the pages", icon="print", button_style="primary")
        self.progress = ipw.VBox()
        self.message, self.picture = ipw.HTML(), ipw.HTML()
        self.show.on_click(lambda _: self._pressed(self._show))
        self.write.on_click(lambda _: self._pressed(self._write))
        row = {"flex_flow": "row wrap"}
        super().__init__(
            [
                ipw.HBox([self.folder, self.paper, self.kind], layout=row),
                ipw.HBox([self.show, self.write, self.overwrite], layout=row),
                self.progress,
                self.message,
                self.picture,
            ]
        )

    def __repr__(self) -> str:
        result = self.result
        return f"Pages({result.job.title!r})" if result else "Pages()"

    @property
    def result(self) -> Estimate | None:
        """The result that would be printed now; None while a bench has none."""
        if isinstance(self._source, Bench):
            return self._source.result
        return self._source() if callable(self._source) else self._source

    def _keep(self, result: Estimate, order: SequencePlan) -> None:
        """Keep an order, and let the bench whose job it is reckon with it."""
        basis, bench = order_hangs_on(result.job), self._source
        self._kept = basis, order
        if isinstance(bench, Bench) and bench.job and order_hangs_on(bench.job) == basis:
            bench.plan = order

    def _known(self, result: Estimate) -> SequencePlan | None:
        """Return the order of a result, if it is planned."""
        basis, bench = order_hangs_on(result.job), self._source
        if (
            isinstance(bench, Bench)
            and bench.plan
            and bench.job
            and order_hangs_on(bench.job) == basis
        ):
            return bench.plan
        return self._kept[1] if self._kept and self._kept[0] == basis else None

    def wait(self) -> None:
        """Return once the order is planned and what was pressed is done; tests need it."""
        if self._planning:
            self._planning.join()

    def _asked(self) -> Estimate:
        result = self.result
        if result is None:
            raise JobRefused(
                Fault("pages", "no result", "must have something to print", "draw the rust first")
            )
        if self.kind.value != result.job.shop.quote:
            result = estimate(result.job.changed(shop__quote=self.kind.value))
        return result

    def _pressed(self, action: Callable[[Estimate, SequencePlan], str]) -> None:
        """Do what a button says, after planning the order where there is none for this job."""
        self._busy(True)
        try:
            result = self._asked()
            if action == self._write:
                self._check_folder()
        except SheetkitError as error:
            self._busy(False, cards.faults(error))
            return
        known = self._known(result)
        if known is not None:
            self._do(action, result, known)
            return
        planning = self._planning = Planning(result)
        planning.button.layout.display = "none"
        self.progress.children = [planning]

        def planned(change: dict) -> None:
            if change["new"]:
                return
            if planning.plan is None:
                self._busy(False)  # the reason stands beside the bar
                return
            self._keep(result, planning.plan)
            self._do(action, result, planning.plan)

        planning.observe(planned, "at_work")
        planning.start()

    def _do(
        self, action: Callable[[Estimate, SequencePlan], str], result: Estimate, order: SequencePlan
    ) -> None:
        said = ""
        try:
            said = action(result, order)
        except SheetkitError as error:
            said = cards.faults(error)
        except Exception as error:
            # it may run on a thread, which has nobody above it
            said = f"<b>{escape(type(error).__name__)}</b>: {escape(str(error))}"
        finally:
            self._busy(False, said)

    def _busy(self, busy: bool, said: str = "") -> None:
        self.message.value = "Working …" if busy else said
        self.show.disabled = self.write.disabled = busy

    def _show(self, result: Estimate, order: SequencePlan) -> str:
        from ..paper.write import preview

        data = base64.b64encode(preview(result, order, paper=self.paper.value)).decode()
        self.picture.value = (
            '<img alt="the first template page and the last page of the map" '
            f'style="max-width:100%;border:1px solid #999" src="data:image/png;base64,{data}">'
        )
        return "Left: the first template page. Right: the last page of the map."

    def _check_folder(self) -> None:
        """Refuse before the planning what would be refused after it."""
        from ..paper.write import FILES, check_folder

        check_folder(self._folder(), FILES, overwrite=self.overwrite.value)

    def _folder(self) -> str:
        return self.folder.value.strip() or FOLDER

    def _write(self, result: Estimate, order: SequencePlan) -> str:
        from ..paper.write import write_sheets

        files = write_sheets(
            result,
            order,
            self._folder(),
            paper=self.paper.value,
            overwrite=self.overwrite.value,
        )
        self._show(result, order)
        names = "".join(f"<li>{escape(path.name)}</li>" for path in files)
        return f"Written into <b>{escape(str(files[0].parent.resolve()))}</b>:<ul>{names}</ul>"
