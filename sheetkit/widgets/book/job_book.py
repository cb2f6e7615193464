"""The job book on screen: a folder's jobs, what they took, a form to log one, and what the log teaches."""

from __future__ import annotations

import os
import threading
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as ipw
import traitlets

from ...base.errors import Fault, JobRefused, SheetkitError, shown, unquoted
from ...base.showing import Listing, counted
from ...formulas.hours import STEPS
from ...repair.estimate import Estimate
from ...sketch import jobs
from ...workshop.book import Book
from ...workshop.log import Entry
from .. import cards
from ..bench import Bench
from ..jobs.thumbnail import thumbnail
from .job_table import JobTable
from .log_form import LogForm

_WAITS = "…"


class JobBook(ipw.VBox):
    """A folder of jobs as a book to read and to write in.

    Parameters
    ----------
    folder : path
        Of the job files, with ``log.csv`` beside them.

    Traits, for live views to follow: `book`, the folder as last read; `result`, the estimate
    of the chosen job by your own figures; `by_book`, the same by the book; `display`,
    "mm" or "in".  Whatever is logged renews all of them at once.
    """

    book = traitlets.Instance(Book)
    by_book = traitlets.Instance(Estimate, allow_none=True)
    result = traitlets.Instance(Estimate, allow_none=True)
    display = traitlets.Enum(["mm", "in"], "mm")

    def __init__(self, folder: str | os.PathLike):
        self.table = JobTable(self.choose, self.open_job)
        self.form = LogForm(self._log)
        self.factors, self.aside = ipw.HTML(), ipw.HTML()
        self.bench: Bench | None = None
        self._guard, self._thread = threading.RLock(), None
        self._listed: list[jobs.Listed] = []
        units = ipw.Dropdown(options=[("mm", "mm"), ("inch", "in")], description="Units")
        again = ipw.Button(description="Read the folder again")
        again.on_click(lambda _: self.renew())
        super().__init__(book=Book.open(folder))
        self.add_class("sk-touch")
        traitlets.link((units, "value"), (self, "display"))
        bar = ipw.HBox([units, again])
        self._under = [bar, self.table, self.form, self.factors, self.aside]
        self.children = self._under
        self.renew()

    _thread: threading.Thread | None

    def __repr__(self) -> str:
        return f"JobBook({unquoted(self.book.folder.name)!r})"

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        """Add the table as it stands, for notebooks that aren't trusted."""
        bundle = super()._repr_mimebundle_(**kwargs)
        if isinstance(bundle, dict):
            self.wait()
            rows = [(row["title"] or row["name"], *(row["cells"] or ["", "", "", row["why"]]))
                    for row in self.table.rows]  # fmt: skip
            bundle["text/html"] = Listing(["job", *self.table.heads], rows)._repr_html_()
        return bundle

    def renew(self) -> None:
        """Read the folder and its log anew, and show what is there now."""
        with self._guard:
            self.book = Book.open(self.book.folder)
            try:
                self._listed = sorted(jobs.listed(self.book.folder), key=lambda one: one.name)
            except SheetkitError as refused:
                self._listed = []
                self.table.say(str(refused))
            by = "your own" if self.book.entries else "by the book"
            self.table.heads = ["state", f"hours, {by}", "hours it took", f"cost, {by}"]
            known = {row["name"]: row for row in self.table.rows}
            self.table.rows = [
                self._row(n, one, known.get(one.name)) for n, one in enumerate(self._listed)
            ]
            names = [one.name for one in self._listed]
            if self.table.chosen not in names:
                new = [one.name for one in self._listed if not self._took(one) and not one.why]
                self.table.chosen = next(iter(new + names), "")
            self._show_chosen()
        self._work_out()

    def choose(self, name: str) -> None:
        """Look at another job: its own figures, and the form to log it."""
        with self._guard:
            self.table.chosen = name
            self._show_chosen()

    def open_job(self, name: str) -> None:
        """Open a job on a bench under the book; what is changed there renews the book."""
        with self._guard:
            path = self._path(name)
            bench = Bench()
            bench.open_job(path)
            close = ipw.Button(description="Close the bench")
            close.on_click(lambda _: self._close())
            self.bench = bench
            self.children = [*self._under[:2], close, bench, *self._under[2:]]
            self.choose(name)

    def wait(self) -> None:
        """Return once every row has its figures; tests need it."""
        while self._thread is not None and self._thread.is_alive():
            self._thread.join()

    def _close(self) -> None:
        self.bench = None
        self.children = self._under
        self.renew()

    def _path(self, name: str) -> Path:
        for one in self._listed:
            if one.name == name:
                return one.path
        raise JobRefused(
            Fault("job", shown(name), "must be a job of this book", "read the folder again")
        )

    def _log(self, entry: Entry) -> None:
        self.book.add(entry)
        self.renew()

    def _took(self, one: jobs.Listed) -> tuple[Entry, ...]:
        return self.book.logged(one.path)

    def _row(self, n: int, one: jobs.Listed, known: dict | None) -> dict[str, Any]:
        """Return a job's row as far as it is known at once; its figures come afterwards."""
        old = known["cells"] if known and known["cells"] else [_WAITS] * 4
        entries = self._took(one)
        took = [sum(e.measured.get(step, 0.0) for step in STEPS) for e in entries]
        return {
            "n": n,
            "name": one.name,
            "title": unquoted(one.title, longest=120),
            "marks": thumbnail(one.drawing),
            "why": one.why or ("" if one.path.exists() else "nothing drawn yet that can be worked out"),
            "cells": [_state(entries), old[1], ", ".join(f"{h:.1f}" for h in took) or "–", old[3]],
        }  # fmt: skip

    def _work_out(self) -> None:
        """Fill the rows' figures in beside the page, the newest reading of the folder last."""
        before = self._thread

        def fill(book: Book) -> None:
            if before is not None:
                before.join()
            for one in self._listed:
                if book is not self.book:
                    return
                self._fill(book, one)

        self._thread = threading.Thread(target=fill, args=(self.book,), daemon=True)
        self._thread.start()

    def _fill(self, book: Book, one: jobs.Listed) -> None:
        why, cells = one.why, {}
        if one.path.exists() and not why:
            try:
                own = book.own(book.estimate(one.path))
                cells = {1: _span(own, "hours_h"), 3: _span(own, "cost")}
            except SheetkitError as refused:
                why = unquoted(str(refused.faults[0]), longest=200)
            except Exception as error:  # a thread has nobody above it
                why = f"{type(error).__name__}: {unquoted(str(error), longest=160)}"
        with self._guard:
            if book is self.book:
                self.table.rows = [
                    {**row, "why": why or row["why"],
                     "cells": [cells.get(n, text) for n, text in enumerate(row["cells"])]}
                    if row["name"] == one.name else row
                    for row in self.table.rows
                ]  # fmt: skip

    @traitlets.observe("display")
    def _switched(self, _change: object) -> None:
        self._show_chosen()

    def _show_chosen(self) -> None:
        """Show the chosen job's own figures, and ask what it took."""
        one = next((one for one in self._listed if one.name == self.table.chosen), None)
        found, mine, said = None, None, ""
        if one is not None and one.path.exists():
            try:
                found = self.book.estimate(one.path)
                mine = self.book.own(found)
                said = self._told(found)
            except SheetkitError as refused:
                said = cards.faults(refused)
        self.factors.value = said
        rows = self.book.set_aside_listing()
        self.aside.value = f"<h3>Not used of the log</h3>{rows._repr_html_()}" if rows.rows else ""
        file = one.path.name if one else ""
        self.form.ask(file, found, self._took(one) if one else (), self.display)
        self.by_book, self.result = found, mine

    def _told(self, found: Estimate) -> str:
        count = len(self.book.entries)
        learnt = (
            f"learnt from {counted(count, 'logged job')}; every one more narrows the range"
            if count else "nothing is logged yet, so they are the book's"
        )  # fmt: skip
        title = escape(found.job.title or self.table.chosen)
        listing = self.book.factors(found)._repr_html_()
        return f"<h3>Your own figures for {title}</h3><p>{learnt}</p>{listing}"


def _state(entries: tuple[Entry, ...]) -> str:
    if not entries:
        return "estimated"
    days = ", ".join(entry.date for entry in entries[-2:])
    return f"logged {days}" if len(entries) < 3 else f"logged {len(entries)} times, last {days}"


def _span(result: Estimate, name: str) -> str:
    span = result.range(name)
    digits = 1 if name == "hours_h" else 0
    unit = "" if name == "hours_h" else f" {span.unit}"
    return f"{span.likely:.{digits}f}{unit} ({span.low:.{digits}f} to {span.high:.{digits}f})"
