"""The form to log a finished job: the book's figures as hints, judged while one types."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from typing import Any

import anywidget
import traitlets

from ...base.errors import Fault, SheetkitError, plain, unquoted
from ...formulas.hours import STEPS
from ...repair.estimate import Estimate
from ...workshop.book import judged
from ...workshop.log import Entry, checked
from ..bundle import bundle, styles
from ..pad.in_order import InOrder
from . import fields
from .fields import ASKED, GROUPS

MOST_TYPED = 2000


class LogForm(anywidget.AnyWidget):
    """What a finished job took, field by field.

    Parameters
    ----------
    write : callable
        Called with the `Entry` to log; what it refuses is told, and what was typed stays.

    Traits
    ------
    job : the name of the job to log, empty for none
    groups : the fields; rows : field -> hint, note, unit, what is typed, what is wrong with it
    answer : what was heard of each page; ready : whether it can be logged
    total : the hours so far; said : the last word, with a running number

    `type(field, text)` and `press()` do what the page does.
    """

    _esm = bundle("book/log_form.js")
    _css = styles("book/log_form.css")

    job = traitlets.Unicode().tag(sync=True)
    groups: traitlets.List[dict] = traitlets.List().tag(sync=True)
    rows = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)
    ready = traitlets.Bool(False).tag(sync=True)
    total = traitlets.Unicode().tag(sync=True)
    said = traitlets.Dict({"n": 0, "text": "", "kind": "ok"}).tag(sync=True)

    def __init__(self, write: Callable[[Entry], Any]):
        self._write, self._order, self._number = write, InOrder(), 0
        self._file, self._result, self._display = "", None, "mm"
        self._logged: tuple[Entry, ...] = ()
        self._typed: dict[str, dict[str, str]] = {}
        super().__init__(groups=_groups())
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        return f"LogForm({self.job!r})"

    _result: Estimate | None

    def ask(
        self, file: str, result: Estimate | None, logged: Iterable[Entry] = (), display: str = "mm"
    ) -> None:
        """Ask for another job, or for the same one anew; what was typed for each stays.

        Parameters
        ----------
        file : the job file's name; result : what the book says of it, None if it can't be read
        logged : its entries so far, none of which is logged twice
        """
        self._file, self._result, self._logged = file, result, tuple(logged)
        self._display = display
        self.job = unquoted((result.job.title if result else "") or file.removesuffix(".json"))
        self._judge()

    def type(self, name: str, text: str) -> None:
        """Type a text into a field."""
        if name in ASKED and self._result is not None:
            self._texts[name] = text[:MOST_TYPED]
            self._judge()

    def press(self) -> None:
        """Log what is typed, if nothing is wrong with it."""
        entry, faults = self._entry()
        if entry is None:
            self._say("; ".join(fields.words(fault) for fault in faults[:3]), "fault")
            return
        try:
            self._write(entry)
        except SheetkitError as refused:
            self._say("; ".join(fields.words(fault) for fault in refused.faults), "fault")
            return
        self._typed.pop(entry.job, None)
        self._say(f"Logged for {self.job}, {entry.date}. Your own figures follow it.")
        self._judge()

    @property
    def _texts(self) -> dict[str, str]:
        return self._typed.setdefault(self._file, {"date": date.today().isoformat()})

    def _read(self) -> tuple[dict[str, float], list[Fault]]:
        """Return what is typed as the log's numbers, and what can't be read."""
        measured: dict[str, float] = {}
        faults: list[Fault] = []
        for name, text in self._texts.items():
            if name not in ("date", "note") and text.strip():
                try:
                    measured[name] = fields.read(name, text, self._display)
                except SheetkitError as refused:
                    faults += refused.faults
        return measured, faults

    def _entry(self) -> tuple[Entry | None, list[Fault]]:
        """Return what would be logged, or every fault of it."""
        if self._result is None:
            fault = Fault("job", "none", "must be one that can be worked out", "choose one above")
            return None, [fault]
        measured, unread = self._read()
        texts = self._texts
        row: dict[str, object] = {"job": self._file, "date": texts.get("date", "")}
        row |= {"note": " ".join(texts.get("note", "").split()), **measured}
        entry, faults = checked(row)
        if unread:  # what can't be read yet is no reason to ask for something to be filled in
            faults = [fault for fault in faults if fault.field != "entry"]
            return None, unread + faults
        if entry is not None and any(_same(entry, old) for old in self._logged):
            fault = Fault("entry", "the same as one in the log", "is not logged twice",
                          "change what differs, or its day")  # fmt: skip
            return None, [fault]
        return entry, faults

    def _judge(self) -> None:
        """Say of each field what the book says, what is typed, and what is wrong with it."""
        if self._result is None:
            self.rows, self.ready, self.total = {}, False, ""
            return
        measured, _ = self._read()
        entry, faults = self._entry()
        rows = fields.hints(self._result, measured, self._display)
        for name, row in rows.items():
            row |= {"text": self._texts.get(name, ""), "fault": "", "remark": ""}
        for fault in faults:
            if (name := fields.field_of(fault.field)) in rows:
                rows[name]["fault"] = _beside(fault)
        if entry is not None:
            for fault in judged(entry, self._result)[1]:
                name = fields.field_of(fault.field)
                rows[name]["remark"] = f"kept, but nothing is learnt from it: {_beside(fault)}"
        with self.hold_sync():
            self.rows, self.ready = rows, entry is not None
            self.total = self._sum(measured)

    def _sum(self, measured: dict[str, float]) -> str:
        """Return the hours typed so far, beside the book's for the same steps."""
        assert self._result is not None
        steps = [name for name in STEPS if name in measured]
        if not steps:
            return "no hours yet"
        took = sum(measured[name] for name in steps)
        book = sum(self._result.range(name).likely for name in steps)
        all_of = "all" if len(steps) == len(STEPS) else str(len(steps))
        return f"{took:.2f} h in {all_of} steps; the book says {book:.2f} h of these"

    def _say(self, text: str, kind: str = "ok") -> None:
        self._number += 1
        self.said = {"n": self._number, "text": plain(text), "kind": kind}

    def _receive(self, _widget: Any, content: Any, _buffers: list) -> None:
        """Do what the page asks, in the order it asked; every message is answered."""
        if not isinstance(content, dict):
            return
        client = plain(str(content.get("client", ""))[:40])
        for message in self._order.taken(client, content.get("number", 0), content):
            name, text = message.get("name"), message.get("text")
            if isinstance(name, str) and isinstance(text, str):
                # a text for the job shown before is for that one
                if message.get("job") == self.job:
                    self.type(name, text)
            elif message.get("press") == self.job:
                self.press()
            self.answer = {"acks": dict(self._order.acks)}


def _beside(fault: Fault) -> str:
    """Return a fault beside its field, whose name stands there."""
    return f"{fault.value}; {fault.limit}; {fault.remedy}"


def _same(one: Entry, other: Entry) -> bool:
    return (one.date, dict(one.measured)) == (other.date, dict(other.measured))


def _groups() -> list[dict]:
    return [
        {
            "name": group,
            "fields": [
                {"name": one.name, "label": one.label}
                for one in ASKED.values()
                if one.group == group
            ],
        }
        for group in GROUPS
    ]
