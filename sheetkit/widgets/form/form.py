"""The form: every field of the job that isn't drawn, in groups to fold, one widget in the page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from ...base.errors import Fault, SheetkitError, plain, unknown
from ...job.job import Job
from ...job.titles import in_words
from ...repair.estimate import Estimate
from ...sketch.drawing import Drawing
from ..bundle import bundle, styles
from ..pad.in_order import InOrder
from . import fields, rows
from .fields import GROUPS, Entry

FIRST_OPEN = (GROUPS[0], GROUPS[1])
"""What is unfolded at first: what a restorer changes most."""


class Form(anywidget.AnyWidget):
    """The job's fields as controls; what the page changes is handed to `take`.

    Parameters
    ----------
    take : callable
        Called with a field's `Entry` and what was typed; what it refuses is told at the field.

    `set(path, text)` does what the page does; `row(path)` is what the page shows.
    """

    _esm = bundle("form/form.js")
    _css = styles("form/form.css", "touch.css")

    groups: traitlets.List[dict] = traitlets.List().tag(sync=True)
    rows = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)
    """acks : what was heard of each page; refused : field -> why, of what it sent last."""

    def __init__(self, take: Callable[[Entry, str], Any]):
        self._take, self._order = take, InOrder()
        self._entries = fields.entries()
        self._by_path = {entry.path: entry for entry in self._entries}
        self._refused: dict[str, str] = {}
        super().__init__()
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        return f"Form({len(self._entries)} fields)"

    def entry(self, path: str) -> Entry:
        """Return a field by its path, such as ``patch__margin``; UnknownName if there is none."""
        if path not in self._by_path:
            unknown("field", path, "must be a field of the form", self._by_path)
        return self._by_path[path]

    def row(self, path: str) -> dict[str, Any]:
        """Return what the page shows of a field (see `rows.row`)."""
        return self.rows[self.entry(path).path]

    def set(self, path: str, text: object) -> None:
        """Type a text into a field, or choose by the value itself, as the page does."""
        entry = self.entry(path)
        if entry.kind == "choice":
            values = [value for _, value in entry.options]
            text = values.index(text) if text in values else text
        self._changed(path, str(text))

    @property
    def refused(self) -> dict[str, str]:
        """Field -> why what was typed there last can't be."""
        return dict(self._refused)

    def show(
        self, job: Job, result: Estimate | None, drawing: Drawing | None, display: str
    ) -> None:
        """Show a job's fields in the units chosen; `result` says what is taken for what's left out."""
        drawn = rows.things(drawing, display) if drawing else []
        made = {e.path: rows.row(e, job, result, display) for e in self._entries}
        made |= {entry.path: row for entry, row in drawn}
        entries = (*self._entries, *(entry for entry, _ in drawn))
        self._by_path = {entry.path: entry for entry in entries}
        with self.hold_sync():
            if (groups := _told(entries)) != self.groups:
                self.groups = groups
            if made != self.rows:
                self.rows = made

    def _changed(self, path: str, text: str) -> None:
        self._refused.pop(path, None)
        try:
            self._take(self.entry(path), text)
        except SheetkitError as error:
            self._refused[path] = "; ".join(_short(fault) for fault in error.faults)

    def _receive(self, _widget: Any, content: Any, buffers: list) -> None:
        """Do what the page asks, in the order it asked; every message is answered."""
        if not isinstance(content, dict):
            return
        client = plain(str(content.get("client", ""))[:40])
        for message in self._order.taken(client, content.get("number", 0), content):
            path, text = message.get("path"), message.get("text")
            if isinstance(path, str) and path in self._by_path:
                if isinstance(text, str):
                    self._changed(path, text[:20_000])
                else:  # typed back to what it was
                    self._refused.pop(path, None)
            self.tell()

    def tell(self) -> None:
        """Answer the page: what was heard, and what was refused."""
        self.answer = {"acks": dict(self._order.acks), "refused": dict(self._refused)}

    def forget_refusals(self) -> None:
        """What was refused before is no more of interest: the job has been worked out since."""
        self._refused.clear()


def _short(fault: Fault) -> str:
    return in_words(f"{fault.value}: {fault.limit}; {fault.remedy}")


def _told(entries: tuple[Entry, ...]) -> list[dict]:
    """Return the groups as the page builds them."""
    told: list[dict] = [
        {"name": group, "open": group in FIRST_OPEN, "entries": []} for group in GROUPS
    ]
    place = {group: n for n, group in enumerate(GROUPS)}
    for entry in entries:
        told[place[entry.group]]["entries"].append(
            {
                "path": entry.path,
                "label": entry.label,
                "kind": entry.kind,
                "options": [words for words, _ in entry.options],
                "picks": [list(pick) for pick in entry.picks],
                "slides": bool(entry.top),
            }
        )
    return [group for group in told if group["entries"]]
