"""A drawing's place on disk: the job file, and beside it what isn't fit for it yet.

The job file always holds a valid job.  While some shape is unfinished or
faulty, or no rust is drawn, a draft in the folder beside it (see `beside`) holds
the whole drawing; it goes once everything fits.  Both are written in one step
each, draft first, so that a crash between the two loses nothing.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ..base import files, lock
from ..base.errors import Fault, JobRefused, NotWritten, SheetkitError, shown
from ..geometry.ring import Ring
from ..job import file
from ..job.job import Job, dumps
from .beside import BACKUP, DRAFT, Beside
from .drawing import Drawing
from .job_entries import from_draft, from_job, into_job_data, to_draft
from .shape_kinds import KINDS, LEAST_POINTS, Shape

DRAFT_FORMAT = "sheetkit-draft/1"


NEW_JOB = {"format": file.FORMAT, "sheet": {"thickness": "1 mm"}}
"""A new job's data: 1 mm is what restorers mostly weld in (PRACTICE)."""


_STAND_IN = [[0, 0], [100, 0], [100, 100], [0, 100]]
"""What settings are judged with while nothing is drawn."""


class NewerDrawing(SheetkitError):
    """Somebody else wrote the file since it was read here; nothing was written."""


@dataclass(frozen=True)
class Fitted:
    """A drawing fitted into a job: the job of its sound shapes, and why others stay out."""

    job: Job | None
    reasons: dict[str, tuple[Fault, ...]] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    """What keeps the job as a whole from being valid."""


def shape_faults(shape: Shape) -> list[Fault]:
    """Say what is wrong with one shape by itself."""
    label, least = KINDS[shape.kind].label, LEAST_POINTS[shape.form]
    if not shape.done:
        end = "close the ring" if shape.form == "ring" else "end the line"
        count = f"{len(shape.points)} point{'s' if len(shape.points) != 1 else ''} so far"
        return [Fault(label, count, "not finished yet", end)]
    if shape.form == "ring":
        try:
            Ring.drawn(shape.points, field=label)
        except SheetkitError as refused:
            return list(refused.faults)
        return []
    different = len(set(shape.points))
    if different < least:
        return [
            Fault(
                label,
                f"{different} different point{'s' if different != 1 else ''}",
                f"must have at least {least}",
                "add a point or delete the shape",
            )
        ]
    return []


def fit(drawing: Drawing, base: Mapping) -> Fitted:
    """Return the job of the sound shapes of `drawing`, with the reasons for the others.

    Parameters
    ----------
    base : mapping
        The job's data; what isn't drawn is taken over.
    """
    reasons: dict[str, tuple[Fault, ...]] = {}
    outline = None
    for shape in drawing.shapes:
        faults = shape_faults(shape)
        if shape.kind == "panel_outline" and not faults:
            if outline:
                faults = [
                    Fault("Panel outline", "a second one", "a panel has one", "delete one of them")
                ]
            outline = outline or shape
        if faults:
            reasons[shape.id] = tuple(faults)
    while True:
        sound = [shape for shape in drawing.shapes if shape.id not in reasons]
        data, owners = into_job_data(base, sound)
        if not data["rust"]:
            left = Fault("rust", "no sound ring", "must have at least 1", "draw the rust-out")
            return Fitted(None, reasons, (left,))
        try:
            return Fitted(Job.from_data(data), reasons)
        except JobRefused as refused:
            blamed: dict[str, list[Fault]] = {}
            for fault in refused.faults:
                for owner, id_ in owners.items():
                    if _within(fault.field, owner) or _within(owner, fault.field):
                        blamed.setdefault(id_, []).append(fault)
            if not blamed:
                return Fitted(None, reasons, refused.faults)
            reasons |= {id_: tuple(faults) for id_, faults in blamed.items()}


def undrawn(base: Mapping) -> Job:
    """Return the job of everything in `base` that isn't drawn, with a stand-in for the rust.

    Raises JobRefused if what isn't drawn has faults of its own.
    """
    data, _ = into_job_data(base, ())
    return Job.from_data(data | {"rust": [{"ring": _STAND_IN}]})


def changed_data(fitted: Fitted, base: Mapping, changes: Mapping[str, Any]) -> dict:
    """Return a job's data with some fields changed (see `Job.changed`), drawn on already or not.

    Raises JobRefused with the faults.
    """
    if fitted.job is not None:
        return fitted.job.changed(**changes).data
    data = undrawn(base).changed(**changes).data
    del data["rust"]
    return data


def _within(field_: str, owner: str) -> bool:
    return field_ == owner or field_.startswith((owner + ".", owner + "["))


def _digest(content: bytes | None) -> str:
    return hashlib.sha256(content).hexdigest() if content is not None else ""


def _content(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None


class Store:
    """Reads and writes one job's drawing; tells when somebody else wrote it.

    Before each write, under a lock, the files' contents are compared with
    what was read or written here last.
    """

    def __init__(
        self,
        path: str | os.PathLike,
        *,
        new: Mapping | None = None,
        like: str | os.PathLike | None = None,
    ):
        self.path = files.followed(path)
        self.beside = Beside(self.path)
        there = self.path.exists() or self.draft_path.exists()
        self.like = None if like is None or there else Path(like)
        """The job that this one starts from, until this one is first written."""
        self.unlocked = False
        """Whether the folder's file system knows no locks, so that two writers could meet."""
        self.data: dict[str, Any] = dict(new or NEW_JOB)
        self._known = ("", "")
        if not self.path.parent.is_dir():
            raise JobRefused(
                Fault("job", shown(str(self.path)), "its folder must exist", "make it or rename")
            )

    @property
    def draft_path(self) -> Path:
        """Where the draft is, or will be."""
        return self.beside.found(DRAFT)

    def _on_disk(self) -> tuple[str, str]:
        return _digest(_content(self.path)), _digest(_content(self.draft_path))

    @property
    def newer(self) -> bool:
        """Whether somebody else wrote the job or its draft since it was read here."""
        return self._on_disk() != self._known

    def load(self) -> Drawing:
        """Return the drawing on disk; for a new job that of `like`, or an empty one.

        The draft is the whole truth while the job file is one of the two
        versions it was written for.  Else the job file was changed by other
        means: its shapes count, and the draft's unfit ones are added.

        Raises
        ------
        JobRefused
            The job file is not a valid job; nothing was changed.
        """
        try:
            with lock.held(self.path) as sure:
                files.remove_scraps(self.path, locked=sure)
                self.beside.remove_scraps(locked=sure)
                return self.seen()
        except NotWritten:  # a folder that may only be read, or a writer that hangs
            return self.seen()

    def seen(self) -> Drawing:
        """Return the drawing as `load` does, without a lock: to show it, not to change it."""
        if self.like:
            job = Job.from_data(file.read(self.like))
            self.data = job.data
            return from_job(job)
        known = self._on_disk()
        drawing, kept = Drawing(), self._draft()
        if known[0]:
            job = Job.from_data(file.read(self.path))
            self.data, drawing = job.data, from_job(job)
        self._known = known
        if kept is None:
            return drawing
        if known[0] in kept["job_versions"]:
            self.data = kept["data"]
            return Drawing(kept["shapes"])
        aside = tuple(
            replace(shape, id=f"draft-{n}", source=None)
            for n, shape in enumerate(kept["shapes"])
            if shape.id in kept["unfit"]
        )
        return Drawing(drawing.shapes + aside)

    def _draft(self) -> dict[str, Any] | None:
        if not self.draft_path.exists():
            return None
        try:
            draft = file.read(self.draft_path)
            if draft["format"] != DRAFT_FORMAT:
                raise ValueError
            shapes = tuple(from_draft(plain) for plain in draft["shapes"])
            if len({shape.id for shape in shapes}) != len(shapes):
                raise ValueError
            return {
                "shapes": shapes,
                "unfit": set(draft["unfit"]),
                "job_versions": list(draft["job_versions"]),
                "data": dict(draft["data"]),
            }
        except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
            raise JobRefused(
                Fault(
                    f"{self.draft_path.name} of {self.path.name}",
                    "other contents",
                    f"must be a {DRAFT_FORMAT} as the pad writes it",
                    "move it away: the job file is whole without it",
                )
            ) from None

    def save(
        self, drawing: Drawing, data: Mapping | None = None, *, fitted: Fitted | None = None
    ) -> Fitted:
        """Write the drawing; `data` exchanges the rest of the job.

        `fitted` is what `fit` gave for both, if it is known already.

        Returns
        -------
        Fitted
            The job now on disk (None: the job file is as it was) and what stays out of it.

        Raises
        ------
        NewerDrawing
            Somebody else wrote in between; nothing was written.
        NotWritten
            The system refused; nothing is lost on disk.
        """
        base = dict(self.data if data is None else data)
        fitted = fitted or fit(drawing, base)
        with lock.held(self.path) as sure:
            self.unlocked = not sure
            if self.newer:
                raise NewerDrawing(
                    Fault(
                        self.path.name,
                        "a newer drawing by another tab or program",
                        "is not overwritten",
                        "load the newer drawing",
                    )
                )
            with self.beside.held_ready():
                self._write(drawing, fitted, base)
        self.data, self.like = base, None
        return fitted

    def _write(self, drawing: Drawing, fitted: Fitted, base: dict) -> None:
        """Write what changed, the draft first."""
        job_now, draft_now = self._known
        text = dumps(fitted.job) if fitted.job else None
        job_next = _digest(text.encode()) if text else job_now
        if fitted.reasons or not fitted.job or draft_now:
            draft = self._draft_text(drawing, fitted, [job_now, job_next], base)
            draft_next = _digest(draft.encode())
            if draft_next != draft_now:
                files.write_text_atomically(self.beside.path(DRAFT), draft, backup=False)
            self._known = (job_now, draft_next)
        if text and job_next != job_now:
            files.write_text_atomically(self.path, text, backup=self.beside.path(BACKUP))
            self._known = (job_next, self._known[1])
        if fitted.job and not fitted.reasons and self._known[1]:
            self.beside.remove(DRAFT)
            self._known = (job_next, "")

    @staticmethod
    def _draft_text(drawing: Drawing, fitted: Fitted, versions: list[str], base: dict) -> str:
        draft = {
            "format": DRAFT_FORMAT,
            "job_versions": versions,
            "unfit": [s.id for s in drawing.shapes if s.id in fitted.reasons or not fitted.job],
            "shapes": [to_draft(shape) for shape in drawing.shapes],
            "data": base,
        }
        return json.dumps(draft, ensure_ascii=False, allow_nan=False) + "\n"
