"""The drawing: shapes in mm and the edits that turn one drawing into the next.

Nothing here knows a widget or a file.  A drawing never changes; an edit gives
a new one, and `History` keeps them all, so that undo is exact.  A shape that
is unfinished or crosses itself is a shape like any other: it is judged in
`store`, never dropped or mended.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from ..base.errors import Fault, shown
from ..geometry.ring import MOST_POINTS
from ..job.bounds import MOST_POINTS_IN_ALL
from .shape_kinds import (
    BEND_RADIUS_MM,
    BENT,
    KINDS,
    LEAST_POINTS,
    MOST_ID_LETTERS,
    MOST_LETTERS,
    MOST_SHAPES,
    SWAGE_DEPTH_MM,
    TOWARD,
    EditRefused,
    Shape,
    is_text,
    kind_named,
    point,
)


@dataclass(frozen=True)
class Drawing:
    """All shapes, in the order drawn, each with an id of its own."""

    shapes: tuple[Shape, ...] = ()

    def __getitem__(self, id_: str) -> Shape:
        for shape in self.shapes:
            if shape.id == id_:
                return shape
        raise EditRefused(
            Fault("shape", shown(id_), "is not on the drawing (any more)", "choose another shape")
        )

    def __contains__(self, id_: str) -> bool:
        return any(shape.id == id_ for shape in self.shapes)

    def of_kind(self, *kinds: str) -> tuple[Shape, ...]:
        """Return the shapes of some kinds, in order."""
        return tuple(shape for shape in self.shapes if shape.kind in kinds)

    def with_shape(self, changed: Shape) -> Drawing:
        """Return the drawing with the shape of the same id exchanged."""
        return Drawing(tuple(changed if s.id == changed.id else s for s in self.shapes))

    def edited(self, edit: Mapping) -> Drawing:
        """Return the drawing after one edit.

        Parameters
        ----------
        edit : mapping
            ``op`` is a key of `EDITS`; the rest are that function's keywords.

        Raises
        ------
        EditRefused
            With field, value, limit and remedy; the drawing is untouched.
        """
        arguments = dict(edit)
        operation = arguments.pop("op", None)
        if not isinstance(operation, str) or operation not in EDITS:
            raise EditRefused(
                Fault("op", shown(operation), f"must be one of {', '.join(EDITS)}", "edit again")
            )
        try:
            return EDITS[operation](self, **arguments)
        except TypeError:
            raise EditRefused(
                Fault(operation, shown(sorted(arguments)), "takes other words", "edit again")
            ) from None


def _index(shape: Shape, index: object, *, end: int = 0) -> int:
    if type(index) is int and 0 <= index < len(shape.points) + end:
        return index
    raise EditRefused(
        Fault(
            f"{shape.id} point",
            shown(index),
            f"must be 0 to {len(shape.points) + end - 1}",
            "choose another point",
        )
    )


def _room_for(drawing: Drawing, more: int) -> None:
    """Refuse points that no job could hold besides those that are there."""
    points = more + sum(len(shape.points) for shape in drawing.shapes)
    if points > MOST_POINTS_IN_ALL:
        limit = f"must be at most {MOST_POINTS_IN_ALL} in all"
        raise EditRefused(Fault("points", str(points), limit, "delete some"))


def add(drawing: Drawing, *, id: str, kind: str, points: list, done: bool = False) -> Drawing:
    """Put a new shape on the drawing; a point is done at once."""
    if not is_text(id, MOST_ID_LETTERS) or not id or id in drawing:
        raise EditRefused(Fault("id", shown(id), "must be a new short text", "draw it again"))
    if len(drawing.shapes) >= MOST_SHAPES:
        raise EditRefused(
            Fault("shapes", f"{MOST_SHAPES + 1}", f"must be at most {MOST_SHAPES}", "delete some")
        )
    form = kind_named(kind).form
    if not isinstance(points, list | tuple) or not 0 < len(points) <= MOST_POINTS:
        raise EditRefused(
            Fault("points", "none or too many", f"must be 1 to {MOST_POINTS}", "draw it again")
        )
    if form == "point" and len(points) != 1:
        raise EditRefused(Fault("points", str(len(points)), "must be one", "click once"))
    _room_for(drawing, len(points))
    shape = Shape(id, kind, tuple(point(p) for p in points), form == "point")
    drawing = Drawing((*drawing.shapes, shape))
    return finish(drawing, id=id) if done and form != "point" else drawing


def insert(drawing: Drawing, *, id: str, index: int, at: list) -> Drawing:
    """Put a point before point `index`; `index` = number of points adds it at the end."""
    shape = drawing[id]
    if shape.form == "point" or len(shape.points) >= MOST_POINTS:
        most = 1 if shape.form == "point" else MOST_POINTS
        raise EditRefused(
            Fault(f"{id} points", str(most + 1), f"must be at most {most}", "draw a second shape")
        )
    _room_for(drawing, 1)
    index = _index(shape, index, end=1)
    points = (*shape.points[:index], point(at), *shape.points[index:])
    return drawing.with_shape(replace(shape, points=points))


def move_point(drawing: Drawing, *, id: str, index: int, to: list) -> Drawing:
    """Move one point of a shape, mm."""
    shape = drawing[id]
    points = list(shape.points)
    points[_index(shape, index)] = point(to)
    return drawing.with_shape(replace(shape, points=tuple(points)))


def delete_point(drawing: Drawing, *, id: str, index: int) -> Drawing:
    """Take one point away; the last one can't go, the whole shape is deleted instead."""
    shape = drawing[id]
    index = _index(shape, index)
    if len(shape.points) == 1:
        raise EditRefused(
            Fault(f"{id} points", "0", "must be at least 1", "delete the whole shape")
        )
    return drawing.with_shape(
        replace(shape, points=shape.points[:index] + shape.points[index + 1 :])
    )


def finish(drawing: Drawing, *, id: str) -> Drawing:
    """Close a ring or end a line; refused while it has too few different points."""
    shape = drawing[id]
    least = LEAST_POINTS[shape.form]
    if len(set(shape.points)) < least:
        raise EditRefused(
            Fault(
                KINDS[shape.kind].label,
                f"{len(set(shape.points))} different points",
                f"a {shape.form} needs at least {least}",
                "add points, then close it",
            )
        )
    return drawing.with_shape(replace(shape, done=True))


def move(drawing: Drawing, *, id: str, by: list) -> Drawing:
    """Shift a whole shape by (dx, dy) mm."""
    shape, (dx, dy) = drawing[id], point(by, "by")
    points = tuple(point((x + dx, y + dy), f"{id} point") for x, y in shape.points)
    return drawing.with_shape(replace(shape, points=points))


def reshape(drawing: Drawing, *, id: str, points: list) -> Drawing:
    """Give a finished ring other points; what it stands for stays."""
    shape = drawing[id]
    if shape.form != "ring" or not shape.done:
        raise EditRefused(Fault(f"{id}", "no finished ring", "must be one", "close it first"))
    if not isinstance(points, list | tuple) or not 0 < len(points) <= MOST_POINTS:
        raise EditRefused(
            Fault("points", "none or too many", f"must be 1 to {MOST_POINTS}", "draw it again")
        )
    _room_for(drawing, len(points) - len(shape.points))
    changed = replace(shape, points=tuple(point(p) for p in points))
    return finish(drawing.with_shape(changed), id=id)


def delete(drawing: Drawing, *, id: str) -> Drawing:
    """Take a shape away."""
    drawing[id]
    return Drawing(tuple(shape for shape in drawing.shapes if shape.id != id))


def set_kind(drawing: Drawing, *, id: str, kind: str) -> Drawing:
    """Say a shape stands for something else of the same form (a ring stays a ring)."""
    shape, new = drawing[id], kind_named(kind)
    if new.form != shape.form:
        raise EditRefused(
            Fault(
                "kind",
                new.label,
                f"{KINDS[shape.kind].label} is a {shape.form}, {new.label} a {new.form}",
                f"draw the {new.form} anew",
            )
        )
    value = shape.value if new.value == KINDS[shape.kind].value else None
    name = shape.name if new.named else ""
    return drawing.with_shape(replace(shape, kind=kind, name=name, value=value))


def describe(
    drawing: Drawing,
    *,
    id: str,
    name: str | None = None,
    value: float | None = None,
    radius: float | None = None,
    toward: str | None = None,
    depth: float | None = None,
) -> Drawing:
    """Give a shape its name or number; a fold its inner radius, mm, and face; a swage its depth, mm."""
    shape, kind = drawing[id], KINDS[drawing[id].kind]
    if name is not None:
        if not is_text(name, MOST_LETTERS):
            most = f"must be at most {MOST_LETTERS} letters, each whole"
            raise EditRefused(Fault("name", shown(name), most, "write it again, shorter"))
        if not kind.named:
            raise EditRefused(Fault(kind.label, shown(name), "has no name", "leave it out"))
        shape = replace(shape, name=name)
    if value is not None:
        if not kind.value:
            raise EditRefused(Fault(kind.label, shown(value), "carries no number", "leave it out"))
        new = _inside(kind.value_label, value, kind.low, kind.high, kind.unit)
        shape = replace(shape, value=new)
    shape = shape if radius is None else _bent(shape, radius)
    shape = shape if depth is None else _deep(shape, depth)
    return drawing.with_shape(shape if toward is None else _turned(shape, toward))


def _deep(shape: Shape, depth: float) -> Shape:
    _check_kind(shape, ("swage",), depth, "has no depth")
    return replace(shape, depth=_inside("Swage depth", depth, *SWAGE_DEPTH_MM[::2]))


def _inside(name: str, value: object, low: float, high: float, unit: str = "mm") -> float:
    """Return a number between the ends; refuse any other."""
    number = value if isinstance(value, int | float) else math.nan
    if not low <= number <= high:
        limit, remedy = f"must be {low:g} to {high:g} {unit}", "give a value inside these limits"
        raise EditRefused(Fault(name, f"{shown(value)} {unit}", limit, remedy))
    return float(number)


def _check_kind(shape: Shape, kinds: tuple[str, ...], given: object, words: str) -> None:
    if shape.kind not in kinds:
        raise EditRefused(Fault(KINDS[shape.kind].label, shown(given), words, "leave it out"))


def _bent(shape: Shape, radius: float) -> Shape:
    _check_kind(shape, BENT, radius, "has no bend radius")
    return replace(shape, radius=_inside("Bend radius", radius, *BEND_RADIUS_MM[::2]))


def _turned(shape: Shape, toward: str) -> Shape:
    _check_kind(shape, BENT, toward, "isn't bent")
    if toward not in ("", *TOWARD):
        limit, remedy = f"must be one of {', '.join(TOWARD)}", "choose one of these, or nothing"
        raise EditRefused(Fault("Bent to", shown(toward), limit, remedy))
    return replace(shape, toward=toward)


EDITS: dict[str, Callable[..., Drawing]] = {
    function.__name__: function
    for function in (
        add, insert, move_point, delete_point, finish, move, reshape, delete, set_kind, describe,
    )
}  # fmt: skip


class History:
    """The drawings so far; undo and redo walk along them."""

    def __init__(self, start: Drawing | None = None):
        self._drawings = [start or Drawing()]
        self._at = 0

    @property
    def present(self) -> Drawing:
        """The drawing as it is now."""
        return self._drawings[self._at]

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to go back."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """Whether there is a step to go forward."""
        return self._at < len(self._drawings) - 1

    def record(self, drawing: Drawing) -> Drawing:
        """Make `drawing` the present one; what was undone before is forgotten."""
        if drawing != self.present:
            self._drawings[self._at + 1 :] = [drawing]
            self._at += 1
        return self.present

    @property
    def mark(self) -> tuple[tuple[Drawing, ...], int]:
        """Where the history is, for `back_to`."""
        return tuple(self._drawings), self._at

    def back_to(self, mark: tuple[tuple[Drawing, ...], int]) -> None:
        """Be as at `mark`, as if nothing had been recorded since."""
        self._drawings, self._at = list(mark[0]), mark[1]

    def undo(self) -> Drawing:
        """Go one step back, if there is one; return the drawing."""
        self._at = max(self._at - 1, 0)
        return self.present

    def redo(self) -> Drawing:
        """Go one step forward, if there is one; return the drawing."""
        self._at = min(self._at + 1, len(self._drawings) - 1)
        return self.present
