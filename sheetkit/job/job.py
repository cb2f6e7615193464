"""The job: what was drawn and chosen, validated, frozen, with every fault named.

A job keeps the data it came from (`Job.data`), so that saving writes texts
with units as the user gave them.  Model fields are in internal units.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Any, Literal

import shapely
from pydantic import Field, PrivateAttr, ValidationError
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from ..base import files, lock
from ..base.errors import Fault, JobRefused, shown
from ..base.showing import Shown
from ..base.tables import limit
from ..geometry.section import Section
from . import file
from .bounds import bound_faults, told
from .clashes import Parts, clashes
from .faces import Faces, faces_of
from .faults import faults_of
from .field_types import Name, Text
from .model import (
    Panel,
    PatchChoice,
    Rust,
    Sheet,
    Shop,
    Surroundings,
    WeldChoice,
    panel_shape,
    section_of,
)
from .part import Part


class Job(Part, Shown):
    """One repair, as in the job file; frozen.

    hand : the side of the vehicle it is for; see `mirror.mirrored`
    """

    format: Literal["sheetkit-job/1"]
    drawn_in: Literal["mm", "in"] = "mm"
    hand: Literal["left", "right"] | None = None
    title: Text = ""
    notes: Text = ""
    vehicle: Text = ""
    plate: Name = ""
    vin: Name = ""
    odometer: Name = ""
    customer: Text = ""
    contact: Name = ""
    sheet: Sheet
    surroundings: Surroundings = Surroundings()
    panel: Panel = Panel()
    rust: Annotated[tuple[Rust, ...], Field(min_length=1, max_length=500)]
    patch: PatchChoice = Field(default_factory=PatchChoice)
    weld: WeldChoice = Field(default_factory=WeldChoice)
    shop: Shop = Field(default_factory=Shop)
    _data: dict = PrivateAttr(default_factory=dict)

    @classmethod
    def from_data(cls, data: Mapping) -> Job:
        """Return the job in a JSON-like mapping.

        Raises
        ------
        JobRefused
            With every fault: field, value, limit, remedy.
        """
        if not isinstance(data, Mapping):
            raise JobRefused(
                Fault("job", shown(data), "must be a mapping of the job's fields", "give an object")
            )
        context = {"drawn_in": "in" if data.get("drawn_in") == "in" else "mm"}
        if faults := bound_faults(data, cls):
            raise JobRefused(faults)
        try:
            job = cls.model_validate(data, context=context)
        except ValidationError as error:
            faults = [fault for item in error.errors() for fault in faults_of(item, cls)]
            raise JobRefused(told(faults + clashes(Parts.of(data, context)))) from None
        parts = Parts(
            job.sheet,
            job.surroundings,
            job.panel,
            tuple(enumerate(job.rust)),
            job.patch,
            job.weld,
            job.shop,
        )
        if faults := clashes(parts):
            raise JobRefused(told(faults))
        job._data = _copied(dict(data))
        return job

    def __repr__(self) -> str:
        title = f"{shown(self.title)}, " if self.title else ""
        rings = f"{len(self.rust)} rust ring{'s' if len(self.rust) != 1 else ''}"
        return (
            f"Job({title}{self.sheet.thickness:.3g} mm sheet, {rings}, {self.patch.joint} joint, "
            f"process {self.weld.process})"
        )

    __str__ = __repr__

    @property
    def data(self) -> dict:
        """A copy of the data the job was made from, as the user wrote it."""
        return _copied(self._data)

    def changed(self, **changes: Any) -> Job:
        """Return a job with some fields changed, named as ``patch__margin=30``.

        Validates as `from_data` does; None takes a field back to its default.
        """
        data = self.data
        for path, value in changes.items():
            *parents, key = path.split("__")
            part = data
            for parent in parents:
                part = part.setdefault(parent, {})
            if value is None:
                part.pop(key, None)
            else:
                part[key] = value
        return Job.from_data(data)

    @cached_property
    def rust_shape(self) -> MultiPolygon | Polygon:
        """All rust rings as one shape, mm."""
        return shapely.union_all([rust.ring.polygon for rust in self.rust])

    @cached_property
    def panel_shape(self) -> Polygon | None:
        """The panel's outline less its holes, mm; None if it wasn't drawn."""
        return panel_shape(self.panel)

    @cached_property
    def section(self) -> Section | None:
        """The panel's unrolled cross-section; None for a flat panel."""
        return section_of(self.panel, self.sheet.thickness)

    def faces(self, lines: BaseGeometry) -> Faces:
        """Return the panel's flats with their positions and backs, by the length of lines on each."""
        return faces_of(
            self.panel.profile,
            self.section,
            lines,
            position=self.sheet.position,
            back_access=self.sheet.back_access,
        )

    @cached_property
    def rusty_faces(self) -> Faces:
        """The panel's flats by the rust's outlines: where work will be, before a seam is known."""
        return self.faces(self.rust_shape.boundary)

    @property
    def gap(self) -> float:
        """The butt joint's gap, mm: the one given, or the usual share of the sheet's thickness."""
        usual = "gap_share_141" if self.weld.process == "141" else "gap_share"
        given = self.patch.gap
        return limit(usual).value * self.sheet.thickness if given is None else given

    @property
    def tack(self) -> float:
        """Greatest distance between tacks, mm: the one given, or the usual one before the fill."""
        usual = "tack_last" if self.weld.fill == "dots" else "tack_before_stitches"
        return limit(usual).value if self.weld.tack is None else self.weld.tack

    def given(self, path: str) -> bool:
        """Say whether the user gave a field, such as ``weld.current``."""
        part = self._data
        for key in path.split("."):
            if not isinstance(part, Mapping) or key not in part:
                return False
            part = part[key]
        return True


def _copied(part: Any) -> Any:
    """Return JSON-like data copied through and through (rings make `copy.deepcopy` slow)."""
    if isinstance(part, Mapping):
        return {key: _copied(value) for key, value in part.items()}
    if isinstance(part, list | tuple):
        return [value if type(value) in (float, int, str) else _copied(value) for value in part]
    return part


def load(path: str | os.PathLike) -> Job:
    """Return the job in a file; refuse with every fault (see `file.read`, `Job.from_data`)."""
    return Job.from_data(file.read(path))


def save(job: Job, path: str | os.PathLike) -> None:
    """Write the job to `path` in one piece, keeping the version before as ``<name>.bak``."""
    path, text = files.followed(path), dumps(job)
    with lock.held(path):
        files.write_text_atomically(path, text)


def dumps(job: Job) -> str:
    """Return the job as the text of a job file."""
    return json.dumps(job._data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
