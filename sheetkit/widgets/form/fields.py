"""Every field of a job that isn't drawn, as a table: read off the job's own model.

What the model knows (kind of value, limits, choices) is never typed again here; what
it can't know (a welder's words, where somebody would look, how far a slider goes) is.
A field that is new in the model has a control at once, under its own name.
"""

from __future__ import annotations

import types
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Le
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from ...base import tables
from ...job.field_types import Quantity
from ...job.job import Job
from ...job.titles import CHOICES, title

GROUPS = (
    "Sheet and its place",
    "Cut and joint",
    "Welding",
    "Near the weld",
    "The job",
    "Hours and money",
    "What is in the shop",
    "Prices",
    "The offer",
)
SHEET, CUT, WELDING, NEAR, JOB, MONEY, SHOP, PRICES, OFFER = GROUPS
_DRAWN = {"rust", "panel__outline", "panel__holes", "panel__mountings", "panel__protect",
          "panel__stiff", "patch__folds", "patch__lips", "panel__profile",
          "panel__swages", "panel__crowns"}  # fmt: skip
"""What is drawn on the pad, set beside it (`bent.bent_panel`) or in the job file; names and numbers of these have rows of their own (see `drawn`)."""
SWITCHES = {"patch__joggle__on": "patch__joggle"}
"""Choice -> the part that isn't there at all where none of it is chosen."""
_NOT_SET = {"format", "drawn_in"}
"""What no user sets by hand: the file's kind, and the units its numbers were drawn in."""


@dataclass(frozen=True)
class Entry:
    """One field of the form.

    path : as `Job.changed` takes it, parts joined by two underscores
    kind : "quantity", "choice", "number", "text", "lines", "sizes" or "names"
    shown_as : the kind of amount a quantity is shown as (see `amounts.converted`)
    low, high : its limits, internal units; top : where its slider usually ends, 0 without one
    options : (words, value) of each choice; picks : (words, text) to take instead of typing
    unit : of a plain number
    """

    path: str
    label: str
    group: str
    kind: str
    shown_as: str = ""
    low: float | None = None
    high: float | None = None
    top: float = 0.0
    options: tuple[tuple[str, Any], ...] = ()
    picks: tuple[tuple[str, str], ...] = ()
    unit: str = ""

    @property
    def field(self) -> str:
        """The field as the job file names it."""
        return self.path.replace("__", ".")


_PLACES: dict[str, tuple[str, ...]] = {
    SHEET: (
        "sheet__thickness",
        "sheet__role",
        "sheet__coating",
        "sheet__position",
        "sheet__back_access",
        "sheet__beneath",
    ),
    CUT: (
        "patch__margin",
        "patch__shape",
        "patch__joint",
        "patch__gap",
        "patch__overlap",
        "patch__joggle__on",
        "patch__joggle__run",
        "patch__joggle__radius",
        "patch__corner_radius",
        "patch__web",
    ),
    WELDING: (
        "weld__process",
        "weld__current",
        "weld__fill",
        "weld__stitch",
        "weld__voltage",
        "weld__travel",
        "weld__wire",
        "weld__gas",
        "weld__flow",
        "weld__pre_flow",
        "weld__post_flow",
        "weld__tack",
        "weld__spacing",
        "weld__interpass_limit",
        "weld__plug_hole",
        "weld__plug_pitch",
    ),
    NEAR: (
        "surroundings__ambient",
        "surroundings__air",
        "surroundings__front",
        "surroundings__back",
    ),
    JOB: (
        "title",
        "customer",
        "contact",
        "vehicle",
        "plate",
        "vin",
        "odometer",
        "notes",
    ),
    MONEY: (
        "shop__skill",
        "shop__labour_rate",
        "shop__currency",
        "shop__tax",
        "shop__tolerance",
        "shop__stop_limit",
    ),
    SHOP: (
        "shop__cylinder__water_volume",
        "shop__cylinder__pressure",
        "shop__spool",
        "shop__sheet_stock",
    ),
    OFFER: (
        "shop__name",
        "shop__address",
        "shop__phone",
        "shop__registration",
        "shop__quote",
        "shop__date",
        "shop__valid_days",
        "shop__exclusions",
        "shop__photos",
    ),
}
"""Group -> the fields in it, in their order; others go by their part, after these."""
_PLACE = {path: group for group, paths in _PLACES.items() for path in paths}
_OF_PART = {
    "sheet": SHEET,
    "panel": NEAR,
    "patch": CUT,
    "weld": WELDING,
    "surroundings": NEAR,
    "shop": SHOP,
}
_SHOWN_AS = {"sheet__thickness": "thickness", "sheet__beneath": "thickness",
             "patch__gap": "thickness", "patch__joggle__radius": "thickness",
             "weld__wire": "wire"}  # fmt: skip
_TOPS = {
    "patch__margin": 50.0,
    "patch__gap": 3.0,
    "patch__overlap": 40.0,
    "patch__corner_radius": 60.0,
    "weld__current": 180.0,
    "weld__stitch": 100.0,
}
"""Where a slider usually ends; it goes farther where the job is beyond it."""
_UNITS = {
    "shop__labour_rate": "{currency}/h",
    "shop__stop_limit": "{currency}",
    "shop__tax": "%",
    "shop__tolerance": "% more",
    "shop__valid_days": "days",
}
_GAS_WORDS = {"M21": "M21 argon mix", "M20": "M20 argon, little CO2", "C1": "C1 CO2",
              "I1": "I1 argon"}  # fmt: skip


def entries() -> tuple[Entry, ...]:
    """Return every field of the form, group by group."""
    found = {entry.path: entry for entry in (*_walk(Job, ""), *_prices())}
    order = {path: n for n, path in enumerate(_PLACE)}
    place = {group: n for n, group in enumerate(GROUPS)}
    return tuple(
        sorted(found.values(), key=lambda e: (place[e.group], order.get(e.path, len(order))))
    )


def _walk(model: type[BaseModel], above: str) -> Iterator[Entry]:
    for name, info in model.model_fields.items():
        path = f"{above}{name}"
        if path in _DRAWN | _NOT_SET or path == "shop__prices":
            continue
        kinds, marks = _looked_into(info.annotation)
        inner = [k for k in kinds if isinstance(k, type) and issubclass(k, BaseModel)]
        if inner:
            yield from _walk(inner[0], f"{path}__")
        else:
            yield _entry(path, info.annotation, kinds, [*info.metadata, *marks])


def _looked_into(annotation: Any) -> tuple[list[Any], list[Any]]:
    """Return the kinds of value an annotation allows but for None, and the marks on them."""
    origin = get_origin(annotation)
    if origin is Annotated:
        first, *marks = get_args(annotation)
        kinds, more = _looked_into(first)
        inner = [m for mark in marks if isinstance(mark, FieldInfo) for m in mark.metadata]
        return kinds, [*marks, *inner, *more]
    if origin in (Union, types.UnionType):
        kinds, marks = [], []
        for arg in get_args(annotation):
            if arg is not type(None):
                more_kinds, more = _looked_into(arg)
                kinds += more_kinds
                marks += more
        return kinds, marks
    return [annotation], []


def _entry(path: str, annotation: Any, kinds: list[Any], marks: list[Any]) -> Entry:
    field = path.replace("__", ".")
    label, group = title(field), _PLACE.get(path, _OF_PART.get(path.split("__")[0], JOB))
    quantity = next((mark for mark in marks if isinstance(mark, Quantity)), None)
    if quantity:
        return Entry(
            path, label, group, "quantity", _SHOWN_AS.get(path, quantity.dimension),
            quantity.low, quantity.high, _TOPS.get(path, 0.0), picks=_picks(path),
        )  # fmt: skip
    kind = kinds[0]
    if kind is bool or get_origin(kind) is Literal:
        values = (True, False) if kind is bool else get_args(kind)
        if type(None) in get_args(annotation) or path in SWITCHES:
            values = (None, *values)
        usual = {True: "yes", False: "no"} if kind is bool else {}
        words = CHOICES.get(field, usual | {None: "not said"})
        options = tuple((words.get(value, str(value)), value) for value in values)
        return Entry(path, label, group, "choice", options=options)
    if kind in (float, int):
        low, high = _ends(marks)
        unit = _UNITS.get(path, "")
        return Entry(path, label, group, "number", low=low, high=high, unit=unit)
    if path == "shop__sheet_stock":
        return Entry(path, label, group, "sizes", picks=_picks(path))
    if get_origin(kind) is tuple:
        return Entry(path, label, group, "names")
    return Entry(path, label, group, "lines" if path == "notes" else "text", picks=_picks(path))


def _ends(marks: list[Any]) -> tuple[float | None, float | None]:
    """Return the least and the greatest number that the marks allow."""
    low = high = None
    for mark in marks:
        if isinstance(mark, Ge) and isinstance(mark.ge, int | float):
            low = mark.ge
        elif isinstance(mark, Le) and isinstance(mark.le, int | float):
            high = mark.le
    return low, high


def _picks(path: str) -> tuple[tuple[str, str], ...]:
    """Return what is sold, to be taken instead of typed; "{length}" is shown in the page's units."""
    if path == "sheet__thickness":
        return tuple((f"{name} mm", f"{name} mm") for name in tables.names("sheet_thicknesses"))
    if path == "weld__gas":
        return tuple((words, name) for name, words in _GAS_WORDS.items())
    if path == "shop__sheet_stock":
        return tuple((f"{name} mm", f"{name} mm") for name in tables.names("stock_sheets"))
    return ()


def _prices() -> Iterator[Entry]:
    """Give a field for every price: what it is paid for stands beside it."""
    for row in tables.rows("consumables"):
        if row.quantity == "price":
            label = row.name.replace("_", " ").capitalize()
            unit = f"{{currency}} {row.note.split(':')[0]}"
            path = f"shop__prices__{row.name}"
            yield Entry(path, label, PRICES, "number", low=0, high=1_000_000, unit=unit)
