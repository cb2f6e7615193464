"""The panel's bends on screen: its cross-section to type in, and the piece as it is when folded."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import anywidget
import ipywidgets as ipw
import numpy as np
import traitlets

from ...base import amounts
from ...base.errors import Fault, SheetkitError, plain
from ...geometry.section import Section
from ...job.job import Job
from ...job.titles import in_words
from ...repair.estimate import Estimate
from ...repair.formed import refuse_compound
from ...sketch import contour_rows, crown_row, profile_rows, strip_rows
from ...sketch.drawing import Drawing
from ...views.folded_scene import folded_scene
from ...views.palette import STYLES
from ...views.section_svg import section_svg
from ..bundle import bundle, styles
from ..pad.in_order import InOrder
from .sent import copied, taken

FLAT = "No bends: the panel is drawn flat."


def _looks() -> str:
    """Return the colours and dashes of the folded view as a style sheet: those of all pictures."""
    rules = []
    for kind in ("panel", "patch"):
        style = STYLES[kind]
        rules += [
            f".skq-{kind} {{ fill: {style.fill}; stroke: {style.line}; }}",
            f".skq-{kind}.skq-curve {{ stroke: {style.fill}; }}",
        ]
    for kind in ("seam", "rust", "bend"):
        style = STYLES[kind]
        dashes = " ".join(map(str, style.dashes)) or "none"
        rules.append(
            f".skq-{kind} {{ stroke: {style.line}; stroke-width: {style.width}; "
            f"stroke-dasharray: {dashes}; }}"
        )
    return "\n".join(rules)


class Editor(anywidget.AnyWidget):
    """The rows of a cross-section; what the page changes is handed to `take` as `Job.changed` takes it.

    told : what the page shows; `set(name, text)` does what the page does.
    """

    _esm = bundle("bent/editor.js")
    _css = styles("bent/bent.css")

    told = traitlets.Dict().tag(sync=True)

    def __init__(self, take: Callable[[dict[str, Any]], Any]):
        self._take, self._order = take, InOrder()
        self._job: Job | None = None
        self._result: Estimate | None = None
        self._drawn: list[np.ndarray] = []
        self._display = "mm"
        self._typed: dict[str, Any] | None = None
        self._refused: dict[str, str] = {}
        self._traced = ""
        super().__init__()
        self.tell()
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        rows = self.rows
        return f"Editor({len(rows['bends'])} bends)" if rows else "Editor(flat)"

    @property
    def rows(self) -> dict[str, Any] | None:
        """The rows as they are shown: as typed while that is refused; None for a flat panel."""
        if self._typed is not None or self._job is None:
            return self._typed
        return _rows(self._job, self._display)

    def show(self, job: Job, result: Estimate | None, drawing: Drawing, display: str) -> None:
        """Show a job's cross-section in the units chosen; its patches are those of `result`."""
        if display != self._display:
            self._typed, self._refused = None, {}
        self._job, self._result, self._display = job, result, display
        self._drawn = [np.array(shape.points) for shape in drawing.shapes]
        self.tell()

    def set(self, name: str, text: str) -> None:
        """Type a text into a row, named as "flats.0.length", as the page does."""
        rows = copied(self.rows or {})
        *path, key = name.split(".")
        part: Any = rows
        for step in path:
            part = part[int(step)] if isinstance(part, list) else part[step]
        part[key] = text
        self._changed(rows)

    def begin(self, kind: str) -> None:
        """Give a flat panel the rows of one of `profile_rows.STARTS`."""
        if self._job is not None and kind in profile_rows.STARTS:
            sheet = self._job.sheet
            self._changed(profile_rows.first_rows(kind, sheet, self._drawn, self._display))

    def more(self) -> None:
        """Put one more bend at the end."""
        rows = self.rows
        if rows and self._job and len(rows["bends"]) < profile_rows.MOST_BENDS:
            self._changed(profile_rows.more(rows, self._job.sheet))

    def less(self, number: int) -> None:
        """Take a bend, counted from 0, and the flat after it away."""
        if self.rows:
            self._changed(profile_rows.less(self.rows, number))

    def strip(self, number: int | None = None) -> None:
        """Put an empty test strip at the end; or take one, counted from 0, away."""
        rows = self.rows
        if rows is None:
            return
        strips = rows["strips"]
        if number is None:
            strips = [*strips, strip_rows.empty_strip(self._display)][: strip_rows.MOST_STRIPS]
        self._changed({**rows, "strips": [s for n, s in enumerate(strips) if n != number]})

    def trace(self, text: str) -> None:
        """Fill the rows with what fits a contour's trace, x and y on each line, in the unit shown."""
        if self._job is None:
            return
        sheet, drawn, display = self._job.sheet, self._drawn, self._display
        try:
            rows, word = contour_rows.traced(text, sheet, self.rows, drawn, display)
        except SheetkitError as error:
            faults = (f"{fault.value}: {fault.limit}; {fault.remedy}" for fault in error.faults)
            self._traced = f"⚠ {in_words('. '.join(faults))}"
            self.tell()
            return
        self._changed(rows)
        self._traced = word
        self.tell()

    def flatten(self) -> None:
        """Make the panel flat again."""
        self._changed(None)

    def _changed(self, rows: dict[str, Any] | None) -> None:
        self._typed, self._refused, self._traced = rows, {}, ""
        try:
            self._take({"panel__profile": None} if rows is None else self._changes(rows))
            self._typed = None
        except SheetkitError as error:
            told = profile_rows.told_at(error)
            self._refused = {name: in_words(words) for name, words in told.items()}
        self.tell()

    def _changes(self, rows: Mapping[str, Any]) -> dict[str, Any]:
        """Return the job's changes of rows as typed; refuse a panel that no patch would lie on."""
        job = self._job
        faults: list[Fault] = []
        made: dict[str, Any] = {}
        assert job is not None
        before = job.data.get("panel", {}).get("profile")
        try:
            made["panel__profile"] = profile_rows.profile_of(rows, job.sheet, job.drawn_in, before)
        except profile_rows.RowsRefused as error:
            faults += error.faults
        try:
            made["panel__crowns"] = crown_row.crowns_of(rows, job)
        except profile_rows.RowsRefused as error:
            faults += error.faults
        if faults:
            raise profile_rows.RowsRefused(faults)
        if made["panel__crowns"] and self._result:
            refuse_compound(job.changed(**made), [p.outline for p in self._result.patches])
        return made

    def _receive(self, _widget: Any, content: Any, buffers: list) -> None:
        """Do what the page asks, in the order it asked; every message is answered."""
        if not isinstance(content, dict):
            return
        client = plain(str(content.get("client", ""))[:40])
        for message in self._order.taken(client, content.get("number", 0), content):
            kind, number = message.get("type"), message.get("n")
            if kind == "profile" and (rows := taken(message.get("profile"), self.rows)):
                self._changed(rows)
            elif kind == "start":
                self.begin(str(message.get("name")))
            elif kind == "more":
                self.more()
            elif kind == "less" and isinstance(number, int):
                self.less(number)
            elif kind == "strip":
                self.strip(number if isinstance(number, int) else None)
            elif kind == "trace" and isinstance(text := message.get("text"), str):
                self.trace(text)
            elif kind == "flat":
                self.flatten()
            self.tell()

    def tell(self) -> None:
        """Tell the page what to show, what it is answered, and what was refused."""
        rows, unit = self.rows, self._display
        section = self._job.section if self._job else None
        runs = dict(profile_rows.RUNS)
        if rows and rows["run"] not in runs:
            runs[rows["run"]] = f"square to {rows['run']}"
        self.told = {
            "acks": dict(self._order.acks),
            "shown": rows and rows | {"length_label": f"length, {unit}", "start_label": f"flat 1 begins at, {unit}", "radius_label": f"inside radius, {unit}", "strip_labels": strip_rows.labels(unit)},
            "refused": dict(self._refused),
            "starts": list(map(list, profile_rows.STARTS.items())),
            "choices": {
                "measured": _options(profile_rows.MEASURED), "run": _options(runs),
                "position": _options(profile_rows.POSITIONS), "toward": _options(profile_rows.TOWARD),
            },
            "trace": {"word": self._traced, "unit": unit},
            "word": self._word(section),
            "picture": self._picture(section),
        }  # fmt: skip

    def _word(self, section: Section | None) -> str:
        if section is None or self.rows is None:
            return FLAT
        if self._refused:
            return f"Not taken over yet. {self._refused.get('', '')}".strip()
        whole = amounts.show(
            section.unrolled_length_mm, "length", units=self._display,
            digits=2 if self._display == "in" else 1,
        )  # fmt: skip
        assert self._job is not None and self._job.panel.profile is not None
        k = strip_rows.k_word(self._job.panel.profile, self._job.sheet)
        by = "" if k else " (DIN 6935, from memory, or your own K)"
        return f"Unrolled, this section is {whole} long{by}.{k}"

    def _picture(self, section: Section | None) -> str:
        rows = _rows(self._job, self._display) if self._job else None
        if section is None or rows is None:
            return ""
        lengths = [f"{flat['length']} {self._display}" for flat in rows["flats"]]
        return section_svg(section, lengths, display=self._display)


class Folded(anywidget.AnyWidget):
    """The piece as it is when folded, to be turned by dragging and by keys.

    front : where the vehicle's front lies in the drawing, "" if nobody said
    """

    _esm = bundle("bent/folded.js")
    _css = f"{styles('bent/bent.css')}\n{_looks()}"

    scene = traitlets.Dict({"words": FLAT}).tag(sync=True)
    front = traitlets.Enum(["", "left", "right", "top", "bottom"], "").tag(sync=True)

    def __repr__(self) -> str:
        return f"Folded({len(self.scene.get('bends', ()))} bends)"

    def show(self, job: Job, result: Estimate | None, display: str) -> None:
        """Show a job's folded panel, with the patches and seams of `result`."""
        section = job.section
        if section is None:
            self.scene = {"words": FLAT}
        else:
            self.scene = folded_scene(job, section, result, display=display).told()


class BentPanel(ipw.VBox):
    """Cross-section and folded view of one job, side by side where there is room."""

    def __init__(self, take: Callable[[dict[str, Any]], Any]):
        self.editor, self.folded = Editor(take), Folded()
        for part in (self.editor, self.folded):
            part.add_class("skb-half")
        both = ipw.Box([self.editor, self.folded])
        both.add_class("skb-bent")
        self.fold = ipw.Accordion([both], titles=(_title(None),), selected_index=None)
        super().__init__([self.fold])
        self.add_class("sk-touch")

    def __repr__(self) -> str:
        return f"BentPanel({self.editor!r})"

    def begin(self, job: Job) -> None:
        """Be open for a job with bends, folded away for a flat one."""
        self.fold.selected_index = 0 if job.panel.profile else None

    def follow(self, job: Job, result: Estimate | None, drawing: Drawing, display: str) -> None:
        """Show a job as it is now."""
        self.fold.titles = (_title(job),)
        self.editor.show(job, result, drawing, display)
        self.folded.show(job, result, display)


def _rows(job: Job, display: str) -> dict[str, Any] | None:
    """Return the rows of a job's profile; None for a flat panel."""
    profile = job.panel.profile
    if profile is None:
        return None
    rows = profile_rows.rows_of(profile, job.sheet, display)
    return rows | {"crown": crown_row.crown_row(job, display)}


def _title(job: Job | None) -> str:
    section = job.section if job else None
    if section is None:
        return "Bends: a panel that isn't flat"
    count = len(section.bends)
    return (
        f"Bends: {count}, the drawing is the unrolled sheet"
        if count > 1
        else "Bends: 1, the drawing is the unrolled sheet"
    )


def _options(choices: Mapping[str, str]) -> list[list[str]]:
    return [[value, words] for value, words in choices.items()]
