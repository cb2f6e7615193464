"""Drawing <-> the geometry in a job file.

Entries the user didn't touch go back word for word ("250 mm" stays so); new
and changed ones are written in the job's own unit.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from ..base.units import MM_PER_INCH
from ..job.job import Job
from .drawing import Drawing
from .lip_edge import on_edge
from .shape_kinds import (
    ALWAYS_WRITTEN,
    BENT,
    KINDS,
    SWAGE_DEPTH_MM,
    TOWARD,
    Point,
    Shape,
    Source,
    point,
)  # fmt: skip

_KEYS = {"ring": "ring", "line": "line", "point": "at"}
"""Form -> what holds its points in the job file; a lip's are its `edge`."""
_GRADES = {"holed": "rust_holed", "pitted": "rust_pitted"}
_GEOMETRY = {
    "panel": ("outline", "holes", "mountings", "protect", "stiff", "swages"),
    "patch": ("folds", "lips"),
}


def _rounded(points: Iterable) -> tuple[Point, ...]:
    return tuple(point(p) for p in points)


def from_job(job: Job) -> Drawing:
    """Return the drawing of a job's rings, lines and points."""
    data: dict[str, Any] = job.data
    shapes: list[Shape] = []
    panel, folds = data.get("panel", {}), data.get("patch", {}).get("folds", ())

    def put(kind: str, points: Iterable, entry: Any, name: str = "", value: float | None = None,
            radius: float | None = None, toward: str = "", depth: float | None = None):  # fmt: skip
        plain = Shape(
            f"job-{len(shapes) + 1}",
            kind,
            _rounded(points),
            True,
            name,
            value,
            radius,
            toward,
            depth,
        )
        source = Source(json.dumps(entry, ensure_ascii=False), plain)
        shapes.append(replace(plain, source=source))

    if job.panel.outline:
        put("panel_outline", job.panel.outline.points, panel["outline"])
    for ring, entry in zip(job.panel.holes, panel.get("holes", ()), strict=True):
        put("panel_hole", ring.points, entry)
    for mount, entry in zip(job.panel.mountings, panel.get("mountings", ()), strict=True):
        put("mounting", [mount.at], entry, mount.name, mount.ring)
    for item, entry in zip(job.panel.protect, panel.get("protect", ()), strict=True):
        if item.line is None:
            put("protect_point", [item.at], entry, item.name, item.limit)
        else:
            put("protect_line", item.line, entry, item.name, item.limit)
    for one, entry in zip(job.panel.stiff, panel.get("stiff", ()), strict=True):
        put("stiff_line", one.line, entry, one.name)
    for swage, entry in zip(job.panel.swages, panel.get("swages", ()), strict=True):
        put("swage", swage.line, entry, value=swage.width, depth=swage.depth)
    for rust, entry in zip(job.rust, data["rust"], strict=True):
        put(_GRADES[rust.grade], rust.ring.points, entry)
    for fold, entry in zip(job.patch.folds, folds, strict=True):
        put(
            "fold",
            fold.line,
            entry,
            value=fold.angle,
            radius=fold.radius if "radius" in entry else None,
            toward=fold.toward or "",
        )
    lips = data.get("patch", {}).get("lips", ())
    for lip, entry in zip(job.patch.lips, lips, strict=True):
        radius = lip.radius if "radius" in entry else None
        put("lip", lip.edge, entry, value=lip.width, radius=radius, toward=lip.toward or "")
    return Drawing(tuple(shapes))


def _written(points: Iterable[Point], drawn_in: str) -> list[list[float]]:
    if drawn_in == "in":
        return [[round(x / MM_PER_INCH, 7), round(y / MM_PER_INCH, 7)] for x, y in points]
    return [[x, y] for x, y in points]


def entry_of(shape: Shape, drawn_in: str) -> Any:
    """Return the job file's entry for a shape: a bare ring, or an object."""
    source, kind = shape.source, KINDS[shape.kind]
    key = "edge" if shape.kind == "lip" else _KEYS[kind.form]
    old = json.loads(source.entry) if source else {}
    if source and source.read_as == replace(shape, id=source.read_as.id):
        return old
    if not isinstance(old, dict):
        old = {key: old}
    moved = not source or source.read_as.points != shape.points or key not in old
    if shape.kind in ("panel_outline", "panel_hole"):
        return _written(shape.points, drawn_in) if moved else old[key]
    entry: dict[str, Any] = {}
    if kind.named:
        entry["name"] = shape.name
    if moved:
        points = _written(shape.points, drawn_in)
        entry[key] = points[0] if kind.form == "point" else points
    else:
        entry[key] = old[key]
    if kind.form == "ring":
        entry["grade"] = shape.kind.removeprefix("rust_")
    if kind.value:
        same = source and kind.value in old and source.read_as.value == shape.value
        if same:
            entry[kind.value] = old[kind.value]
        elif shape.value is not None or shape.kind in ALWAYS_WRITTEN:
            value = kind.default if shape.value is None else shape.value
            entry[kind.value] = f"{value!r} mm" if kind.unit == "mm" else value
    return entry | _second(shape, old)


def _second(shape: Shape, old: dict) -> dict[str, Any]:
    """Return what a swage's or bent kind's entry holds beside its points and first number."""
    source = shape.source
    entry: dict[str, Any] = {}
    if shape.kind == "swage":
        kept = source is not None and source.read_as.depth == shape.depth and "depth" in old
        depth = SWAGE_DEPTH_MM[1] if shape.depth is None else shape.depth
        entry["depth"] = old["depth"] if kept else f"{depth!r} mm"
    if shape.kind == "lip" and "angle" in old:
        entry["angle"] = old["angle"]
    if shape.kind in BENT:
        kept = source is not None and source.read_as.radius == shape.radius
        if kept and "radius" in old:
            entry["radius"] = old["radius"]
        elif shape.radius is not None and not kept:
            entry["radius"] = f"{shape.radius!r} mm"
        if shape.toward:
            entry["toward"] = shape.toward
    return entry


def _followed(shape: Shape, outline: Iterable[Point]) -> Shape:
    """Return a lip along the panel's edge; one that the job had so stays word for word."""
    if shape.source and shape.source.read_as.points == shape.points:
        return shape
    return replace(shape, points=_rounded(on_edge(shape.points, tuple(outline))))


def into_job_data(base: Mapping, shapes: Iterable[Shape]) -> tuple[dict, dict[str, str]]:
    """Return job data with the geometry of `shapes`, and which field is which shape.

    Parameters
    ----------
    base : mapping
        The job's data; everything that isn't drawn is taken over.
    shapes : iterable of Shape
        In the order they shall stand in the job.

    Returns
    -------
    data : dict
    owners : dict
        Field, such as ``rust[0]``, -> the shape's id.
    """
    data, owners = dict(base), {}
    drawn_in = "in" if data.get("drawn_in") == "in" else "mm"
    lists: dict[str, list] = {}
    outline = None
    shapes = list(shapes)
    edge = next((shape.points for shape in shapes if shape.kind == "panel_outline"), ())
    for shape in shapes:
        if shape.kind == "lip" and shape.done:
            shape = _followed(shape, edge)
        entry = entry_of(shape, drawn_in)
        if shape.kind == "panel_outline":
            outline = entry
            owners["panel.outline"] = shape.id
            continue
        field = {
            "panel_hole": "panel.holes",
            "mounting": "panel.mountings",
            "protect_point": "panel.protect",
            "protect_line": "panel.protect",
            "stiff_line": "panel.stiff",
            "swage": "panel.swages",
            "fold": "patch.folds",
            "lip": "patch.lips",
        }.get(shape.kind, "rust")
        entries = lists.setdefault(field, [])
        owners[f"{field}[{len(entries)}]"] = shape.id
        entries.append(entry)
    data["rust"] = lists.get("rust", [])
    for part, keys in _GEOMETRY.items():
        old = data.get(part)
        kept = old if isinstance(old, dict) else {}
        new = {key: value for key, value in kept.items() if key not in keys}
        if part == "panel" and outline is not None:
            new["outline"] = outline
        for key in keys:
            if lists.get(f"{part}.{key}"):
                new[key] = lists[f"{part}.{key}"]
        if new or part in data:
            data[part] = new
    return data, owners


def to_plain(shape: Shape) -> dict:
    """Return a shape as JSON-like data, for the page and the draft file."""
    plain = {
        "id": shape.id,
        "kind": shape.kind,
        "points": [list(p) for p in shape.points],
        "done": shape.done,
        "name": shape.name,
        "value": shape.value,
    }
    if shape.radius is not None:
        plain["radius"] = shape.radius
    if shape.toward:
        plain["toward"] = shape.toward
    if shape.depth is not None:
        plain["depth"] = shape.depth
    return plain


def to_draft(shape: Shape) -> dict:
    """Return a shape as the draft file keeps it, with the job's own words."""
    plain = to_plain(shape)
    if shape.source:
        read_as = to_plain(shape.source.read_as)
        plain["source"] = {"entry": shape.source.entry, "read_as": read_as}
    return plain


def from_draft(plain: Mapping) -> Shape:
    """Return the shape that `to_draft` wrote; KeyError, TypeError or ValueError if it isn't one."""
    source = plain.get("source")
    kind = KINDS[plain["kind"]].name
    value, radius, depth = (
        None if plain.get(key) is None else float(plain[key])
        for key in ("value", "radius", "depth")
    )
    return Shape(
        str(plain["id"]),
        kind,
        _rounded(plain["points"]),
        bool(plain["done"]),
        str(plain.get("name", "")),
        value,
        radius,
        plain.get("toward", "") if plain.get("toward") in TOWARD else "",
        depth,
        Source(str(source["entry"]), from_draft(source["read_as"])) if source else None,
    )
