"""Buttons that write a job's pages and show what they look like."""

from __future__ import annotations

import base64
import threading
from html import escape

import ipywidgets as ipw

from ..base.errors import SheetkitError
from ..repair.estimate import Estimate, estimate
from ..repair.plan import plan
from ..sequence.plan import SequencePlan
from . import cards

FOLDER = "pages"


class Pages(ipw.VBox):
    """A folder, a paper size, and two buttons: show a preview, write the pages.

    Parameters
    ----------
    result : Estimate, or a callable that gives one
        A callable is asked at every press, so that a bench's last result is printed:
        ``Pages(lambda: bench.result)``.
    order : SequencePlan, optional
        Default the order planned for the result.
    """

    def __init__(self, result, order: SequencePlan | None = None):
        self._source, self._order, self._lock = result, order, threading.Lock()
        self.folder = ipw.Text(value=FOLDER, description="Folder")
        self.paper = ipw.Dropdown(options=[("A4", "a4"), ("Letter", "letter")], description="Paper")
        self.kind = ipw.Dropdown(
            options=["estimate", "fixed price"],
            value=self.result.job.shop.quote,
            description="Quote",
        )
        self.overwrite = ipw.Checkbox(value=False, description="replace files of the same names")
        self.show = ipw.Button(description="Show a preview", icon="eye")
        self.write = ipw.Button(description="Write the pages", icon="print", button_style="primary")
        self.message, self.picture = ipw.HTML(), ipw.HTML()
        self.show.on_click(lambda _: self._try(self._show))
        self.write.on_click(lambda _: self._try(self._write))
        super().__init__(
            [
                ipw.HBox([self.folder, self.paper, self.kind], layout={"flex_flow": "row wrap"}),
                ipw.HBox([self.show, self.write, self.overwrite], layout={"flex_flow": "row wrap"}),
                self.message,
                self.picture,
            ]
        )

    def __repr__(self) -> str:
        return f"Pages({self.result.job.title!r})"

    @property
    def result(self) -> Estimate:
        """The result that would be printed now."""
        return self._source() if callable(self._source) else self._source

    def _asked(self) -> tuple[Estimate, SequencePlan]:
        result = self.result
        if self.kind.value != result.job.shop.quote:
            result = estimate(result.job.changed(shop__quote=self.kind.value))
        return result, self._order or plan(result)

    def _try(self, action) -> None:
        """Do one thing at a time and say what went wrong in words."""
        with self._lock:
            self.message.value = "Working …"
            for button in (self.show, self.write):
                button.disabled = True
            try:
                self.message.value = action()
            except SheetkitError as error:
                self.message.value = cards.faults(error)
            finally:
                for button in (self.show, self.write):
                    button.disabled = False

    def _preview(self, result: Estimate, order: SequencePlan) -> None:
        from ..paper.write import preview

        data = base64.b64encode(preview(result, order, paper=self.paper.value)).decode()
        self.picture.value = (
            '<img alt="the first template page and the last page of the map" '
            f'style="max-width:100%;border:1px solid #999" src="data:image/png;base64,{data}">'
        )

    def _show(self) -> str:
        self._preview(*self._asked())
        return "Left: the first template page. Right: the last page of the map."

    def _write(self) -> str:
        from ..paper.write import write_sheets

        asked = self._asked()
        files = write_sheets(
            *asked,
            self.folder.value.strip() or FOLDER,
            paper=self.paper.value,
            overwrite=self.overwrite.value,
        )
        self._preview(*asked)
        names = "".join(f"<li>{escape(path.name)}</li>" for path in files)
        return f"Written into <b>{escape(str(files[0].parent))}</b>:<ul>{names}</ul>"
