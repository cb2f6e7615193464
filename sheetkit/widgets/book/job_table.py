"""The jobs of a book with small pictures: what each takes, what it took, and which one is chosen."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from ...base.errors import SheetkitError, plain
from ..bundle import bundle, styles
from ..jobs.thumbnail import HEIGHT, WIDTH


class JobTable(anywidget.AnyWidget):
    """A row a job; the arrow keys go from row to row, Enter chooses, its button opens.

    Parameters
    ----------
    choose, open_job : callable
        Called with the name of a row; what they refuse is told.

    Traits
    ------
    rows : of each job its name, title, picture's marks, state, hours, took, cost, and why it has none
    chosen : the name of the row that is looked at
    heads : what the columns are called, after the first
    told : the last word, with a running number
    """

    _esm = bundle("book/job_table.js", {"width": WIDTH, "height": HEIGHT})
    _css = styles("book/job_table.css", "touch.css")

    rows: traitlets.List[dict] = traitlets.List().tag(sync=True)
    chosen = traitlets.Unicode().tag(sync=True)
    heads: traitlets.List[str] = traitlets.List().tag(sync=True)
    told = traitlets.Dict({"n": 0, "text": ""}).tag(sync=True)

    def __init__(self, choose: Callable[[str], Any], open_job: Callable[[str], Any]):
        self._acts = {"choose": choose, "open": open_job}
        self._said = 0
        super().__init__()
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        return f"JobTable({len(self.rows)} jobs)"

    def say(self, text: str) -> None:
        """Tell something under the table."""
        self._said += 1
        self.told = {"n": self._said, "text": plain(text)}

    def _receive(self, _widget: Any, content: Any, _buffers: list) -> None:
        """Do what the page asks of a row that is there."""
        if not isinstance(content, dict):
            return
        what, name = content.get("do"), content.get("name")
        if not (isinstance(what, str) and what in self._acts):
            return
        if not isinstance(name, str) or all(row["name"] != name for row in self.rows):
            return
        self.say("")
        try:
            self._acts[what](name)
        except SheetkitError as refused:
            self.say("; ".join(f"{f.value} {f.limit}: {f.remedy}" for f in refused.faults))
