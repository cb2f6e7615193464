"""What can stand on a drawing: kinds, shapes, points; all in mm."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..base.errors import Fault, SheetkitError, shown
from ..geometry.ring import LARGEST_MM

MOST_SHAPES = 500
MOST_LETTERS = 200
MOST_ID_LETTERS = 64
DIGITS = 4
"""Coordinates are kept to 0.1 um, so that mm and inch files give back the same numbers."""


class EditRefused(SheetkitError):
    """An edit that can't be done; the drawing stays as it was."""


@dataclass(frozen=True)
class Kind:
    """What a shape stands for: its form on the pad and the values it carries."""

    name: str
    label: str
    form: str
    value: str = ""
    value_label: str = ""
    unit: str = ""
    default: float | None = None
    low: float = 0.0
    high: float = 0.0
    named: bool = False


KINDS = {
    kind.name: kind
    for kind in (
        Kind("rust_holed", "Rusted through", "ring"),
        Kind("rust_pitted", "Pitted rust", "ring"),
        Kind("panel_outline", "Panel outline", "ring"),
        Kind("panel_hole", "Hole in panel", "ring"),
        Kind("mounting", "Mounting", "point", "ring", "Ring radius", "mm", 300, 1, 2000, True),
        Kind(
            "protect_point", "Keep cool, point", "point", "limit", "Limit", "°C", 80, 25, 400, True
        ),
        Kind("protect_line", "Keep cool, line", "line", "limit", "Limit", "°C", 80, 25, 400, True),
        Kind("stiff_line", "Stays straight, line", "line", named=True),
        Kind("swage", "Swage (bead, rib), line", "line", "width", "Swage width", "mm", 20, 2, 200),
        Kind("fold", "Fold line", "line", "angle", "Bend angle", "°", 90, 1, 170),
        Kind("lip", "Lip on the edge", "line", "width", "Lip height", "mm", 15, 3, 200),
    )
}
BENT = ("fold", "lip")
"""Kinds that are bent: they have an inner radius, and a face they are turned to."""
BEND_RADIUS_MM = (0.1, 1.0, 100.0)
"""A fold's or lip's inner radius: the least, the one taken where none is given, the most."""
SWAGE_DEPTH_MM = (0.3, 4.0, 60.0)
"""A swage's depth: the least, the one to begin with (guess), the most."""
ALWAYS_WRITTEN = (*BENT, "swage")
"""Kinds whose number the job file must have: the usual one is written where none is given."""
TOWARD = ("face", "back")
"""Where a fold or lip can be bent to: up to whoever looks at the drawing, or down."""
LEAST_POINTS = {"ring": 3, "line": 2, "point": 1}

Point = tuple[float, float]


@dataclass(frozen=True)
class Source:
    """A shape's entry as the user wrote it in the job file, and how it was read."""

    entry: str
    read_as: Shape


@dataclass(frozen=True)
class Shape:
    """One drawn ring, line or point; `value` is the kind's ring radius, limit, angle, height or width.

    radius : a fold's or lip's inner radius, mm; None: the usual one
    depth : a swage's, mm; None: the one to begin with
    toward : the face it is bent to, of `TOWARD`; "": not said

    A ring or line is `done` once its author closed or ended it.
    """

    id: str
    kind: str
    points: tuple[Point, ...]
    done: bool = True
    name: str = ""
    value: float | None = None
    radius: float | None = None
    toward: str = ""
    depth: float | None = None
    source: Source | None = field(default=None, compare=False)

    @property
    def form(self) -> str:
        """What it is drawn as, by its kind."""
        return KINDS[self.kind].form


def number_mm(value: object, field_: str, *, limit: float = LARGEST_MM) -> float:
    """Return a finite number of at most `limit` mm, else raise EditRefused."""
    if isinstance(value, int | float) and not isinstance(value, bool) and -limit <= value <= limit:
        return round(float(value), DIGITS) + 0.0
    raise EditRefused(
        Fault(
            field_,
            shown(value),
            f"must be a number between {-limit:g} and {limit:g} mm",
            "draw it nearer to the origin",
        )
    )


def point(value: object, field_: str = "point") -> Point:
    """Return `value` as a rounded point in mm; refuse anything else."""
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise EditRefused(Fault(field_, shown(value), "must be one point [x, y]", "draw it again"))
    return number_mm(value[0], field_), number_mm(value[1], field_)


def short_text(value: object, field_: str, *, longest: int, least: int = 0) -> str:
    """Return a text of `least` to `longest` letters that can be written; refuse anything else."""
    if isinstance(value, str) and least <= len(value) <= longest:
        try:
            value.encode()
            return value
        except UnicodeEncodeError:  # one half of a sign that takes two, as a page can send
            pass
    limit = f"must be {f'{least} to' if least else 'at most'} {longest} whole letters"
    raise EditRefused(Fault(field_, shown(value), limit, "write it again"))


def is_text(value: object, longest: int) -> bool:
    """Say whether `value` is a text that can be written, of at most `longest` letters."""
    if not isinstance(value, str) or len(value) > longest:
        return False
    # a page can send one half of a letter that takes two: no file can hold it
    return not any("\ud800" <= letter <= "\udfff" for letter in value)


def kind_named(name: object) -> Kind:
    """Return a kind by its name; EditRefused if there is none."""
    if isinstance(name, str) and name in KINDS:
        return KINDS[name]
    raise EditRefused(
        Fault("kind", shown(name), f"must be one of {', '.join(KINDS)}", "choose one of these")
    )
