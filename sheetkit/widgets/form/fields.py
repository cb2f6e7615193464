"""Every field of a job that isn't drawn, as a table: read off the job's own model.

What the model knows (kind of value, limits, choices) is never typed again here; what
it can't know (a welder's words, where somebody would look, how far a slider goes) is.
A field that is new in the model has a control at once, under its own name.
"""

from __future__ import annotations

import re
import types
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Le
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from ...base import tables
from ...job.field_types import Quantity
from ...job.job import Job
from ...views.words import PROCESSES

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
          "patch__folds"}  # fmt: skip
"""What is drawn on the pad; names and numbers of these have rows of their own (see `drawn`)."""
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


_WORDS: dict[str, tuple[str, str]] = {
    "sheet__thickness": ("Sheet", SHEET),
    "sheet__role": ("Part", SHEET),
    "sheet__coating": ("Coating", SHEET),
    "sheet__position": ("Position", SHEET),
    "sheet__back_access": ("Back", SHEET),
    "sheet__beneath": ("Sheet beneath", SHEET),
    "patch__margin": ("Margin", CUT),
    "patch__shape": ("Shape", CUT),
    "patch__joint": ("Joint", CUT),
    "patch__gap": ("Gap (butt)", CUT),
    "patch__overlap": ("Overlap (lap)", CUT),
    "patch__corner_radius": ("Corner radius", CUT),
    "patch__web": ("Cut strips below", CUT),
    "weld__process": ("Process", WELDING),
    "weld__current": ("Current", WELDING),
    "weld__fill": ("Fill", WELDING),
    "weld__stitch": ("Stitch length", WELDING),
    "weld__voltage": ("Voltage", WELDING),
    "weld__travel": ("Travel speed", WELDING),
    "weld__wire": ("Wire or rod", WELDING),
    "weld__gas": ("Gas", WELDING),
    "weld__flow": ("Gas flow", WELDING),
    "weld__pre_flow": ("Gas before the arc", WELDING),
    "weld__post_flow": ("Gas after the arc", WELDING),
    "weld__tack": ("Tacks apart, at most", WELDING),
    "weld__spacing": ("Bare between stitches", WELDING),
    "weld__interpass_limit": ("Stitches start below", WELDING),
    "weld__plug_hole": ("Plug hole", WELDING),
    "weld__plug_pitch": ("Plugs apart", WELDING),
    "surroundings__ambient": ("Air and sheet", NEAR),
    "surroundings__air": ("The air is", NEAR),
    "surroundings__front": ("Your side is", NEAR),
    "surroundings__back": ("The far side is", NEAR),
    "title": ("Name of the job", JOB),
    "customer": ("Customer", JOB),
    "vehicle": ("Vehicle", JOB),
    "notes": ("Notes", JOB),
    "shop__skill": ("Skill", MONEY),
    "shop__labour_rate": ("Labour rate", MONEY),
    "shop__currency": ("Currency", MONEY),
    "shop__tax": ("Tax", MONEY),
    "shop__tolerance": ("Stop and ask above", MONEY),
    "shop__stop_limit": ("Stop and ask at", MONEY),
    "shop__cylinder__water_volume": ("Gas bottle", SHOP),
    "shop__cylinder__pressure": ("Its gauge shows", SHOP),
    "shop__spool": ("Spool of wire", SHOP),
    "shop__sheet_stock": ("Sheets in stock", SHOP),
    "shop__name": ("Your shop", OFFER),
    "shop__quote": ("Kind of offer", OFFER),
    "shop__valid_days": ("Valid for", OFFER),
    "shop__exclusions": ("Not included", OFFER),
    "shop__photos": ("Room for photos", OFFER),
}
"""Path -> its words and where they stand, in this order; others go by their part."""
_OF_PART = {
    "sheet": SHEET,
    "panel": NEAR,
    "patch": CUT,
    "weld": WELDING,
    "surroundings": NEAR,
    "shop": SHOP,
}
_CHOICES: dict[str, dict[Any, str]] = {
    "sheet__role": {
        "floor": "floor", "skin": "visible skin", "structural": "carries load: sill, pillar",
    },
    "sheet__back_access": {True: "a hand reaches it", False: "closed"},
    "sheet__coating": {"painted": "painted", "zinc": "zinc", "bare": "bare"},
    "patch__shape": {
        "follow": "follows the rust", "hull": "straight across hollows", "box": "box",
    },
    "patch__joint": {"butt": "butt, flush", "lap": "lap, on top", "plug": "lap with plug welds"},
    "weld__process": PROCESSES,
    "weld__fill": {"stitch": "stitches", "dots": "dots"},
    "surroundings__back": {
        None: "as the back above says", "open": "open", "closed": "a closed section",
        "covered": "covered",
    },
    "shop__skill": {"first": "first time", "practised": "practised", "trade": "by trade"},
    "shop__quote": {"estimate": "estimate", "fixed price": "fixed price"},
}  # fmt: skip
_SHOWN_AS = {"sheet__thickness": "thickness", "sheet__beneath": "thickness",
             "patch__gap": "thickness", "weld__wire": "wire"}  # fmt: skip
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
_FIELD = re.compile(r"\b(?:sheet|patch|weld|shop|panel|surroundings)(?:\.[a-z_]+)+")
_GAS_WORDS = {"M21": "M21 argon mix", "M20": "M20 argon, little CO2", "C1": "C1 CO2",
              "I1": "I1 argon"}  # fmt: skip


def entries() -> tuple[Entry, ...]:
    """Return every field of the form, group by group."""
    found = {entry.path: entry for entry in (*_walk(Job, ""), *_prices())}
    order = {path: n for n, path in enumerate(_WORDS)}
    place = {group: n for n, group in enumerate(GROUPS)}
    return tuple(
        sorted(found.values(), key=lambda e: (place[e.group], order.get(e.path, len(order))))
    )


@cache
def _labels() -> dict[str, str]:
    return {entry.field: entry.label for entry in entries()}


def in_words(text: str) -> str:
    """Return a refusal with the form's own words for the fields that the job file names."""
    labels = _labels()

    def said(found: re.Match) -> str:
        return f"“{labels[found[0]]}”" if found[0] in labels else found[0]

    return _FIELD.sub(said, text)


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
    own = path.rpartition("__")[2].replace("_", " ")
    label, group = _WORDS.get(
        path, (own[:1].upper() + own[1:], _OF_PART.get(path.split("__")[0], JOB))
    )
    quantity = next((mark for mark in marks if isinstance(mark, Quantity)), None)
    if quantity:
        return Entry(
            path, label, group, "quantity", _SHOWN_AS.get(path, quantity.dimension),
            quantity.low, quantity.high, _TOPS.get(path, 0.0), picks=_picks(path),
        )  # fmt: skip
    kind = kinds[0]
    if kind is bool or get_origin(kind) is Literal:
        values = (True, False) if kind is bool else get_args(kind)
        if type(None) in get_args(annotation):
            values = (None, *values)
        usual = {True: "yes", False: "no"} if kind is bool else {}
        words = _CHOICES.get(path, usual | {None: "not said"})
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
