"""The faults of a job: pydantic's errors in sheetkit's words, and faults between fields."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import Any, get_args

import shapely
from pydantic import BaseModel, ValidationError

from ..base import tables
from ..base.errors import Fault, shown, unquoted
from ..geometry.ring import polygon
from .file import FORMAT
from .model import Panel, PatchChoice, Rust, Sheet, Shop, WeldChoice

OVER_EDGE_MM = 5.0
"""Rust drawn this far over the panel's edge is a slip of the hand and is clipped (guess)."""


def _field(loc: tuple) -> str:
    text = ""
    for part in loc:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return unquoted(text.strip() or "job", longest=120)


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for arg in get_args(annotation) for model in _models_in(arg)]


def _keys_at(model: type[BaseModel], loc: tuple) -> list[str]:
    """Return the keys allowed where the last one of `loc` stands."""
    for part in loc[:-1]:
        if isinstance(part, str) and part in model.model_fields:
            model = _models_in(model.model_fields[part].annotation)[0]
    return list(model.model_fields)


def faults_of(item: Mapping, root: type[BaseModel]) -> list[Fault]:
    """Return pydantic's error as faults in sheetkit's words."""
    kind, loc, value = item["type"], item["loc"], item.get("input")
    field = _field(loc)
    if kind == "fault":
        return [
            Fault(f"{field}{fault.field}", fault.value, fault.limit, fault.remedy)
            for fault in item["ctx"]["faults"]
        ]
    if kind == "extra_forbidden":
        near = difflib.get_close_matches(str(loc[-1]), _keys_at(root, loc), 1)
        return [
            Fault(
                field,
                "an unknown key",
                "must be a key of the job file",
                f'did you mean "{near[0]}"?' if near else "delete it",
            )
        ]
    if kind == "missing":
        example = {
            "format": f'"format": "{FORMAT}"',
            "thickness": '"thickness": "1 mm"',
            "sheet": '"sheet": {"thickness": "1 mm"}',
            "rust": '"rust": [{"ring": [[x, y], ...]}]',
        }.get(str(loc[-1]), "it")
        return [Fault(field, "nothing", "must be given", f"add {example}")]
    if kind == "literal_error":
        return [
            Fault(field, shown(value), f"must be {item['ctx']['expected']}", "choose one of these")
        ]
    if kind in ("greater_than_equal", "less_than_equal"):
        bound = item["ctx"].get("ge", item["ctx"].get("le"))
        word = "at least" if "ge" in item["ctx"] else "at most"
        return [Fault(field, shown(value), f"must be {word} {bound:g}", "give another number")]
    if kind in ("too_short", "too_long"):
        if loc == ("rust",) and value:
            return []  # its rings have faults of their own
        bound = item["ctx"].get("min_length", item["ctx"].get("max_length"))
        word = "at least" if "min_length" in item["ctx"] else "at most"
        return [
            Fault(
                field,
                f"{item['ctx'].get('actual_length', 'other')} entries",
                f"must have {word} {bound}",
                "draw the rust-out first" if loc == ("rust",) else "add or leave out some",
            )
        ]
    message = item["msg"][0].lower() + item["msg"][1:]
    return [
        Fault(
            field,
            shown(value),
            message.replace("input should", "must"),
            "see Job file in README.md",
        )
    ]


def cross_faults(job: Any | None, data: Mapping, context: dict) -> list[Fault]:
    """Return the faults that lie between fields, as far as their parts are sound."""

    def part(name: str, model: type[BaseModel], raw: Any) -> Any:
        if job is not None and hasattr(job, name):
            return getattr(job, name)
        try:
            return model.model_validate(raw, context=context)
        except ValidationError:
            return None

    faults: list[Fault] = []
    panel = part("panel", Panel, data.get("panel", {}))
    raw_rust = data.get("rust") if isinstance(data.get("rust"), list) else []
    rusts = (
        list(enumerate(job.rust))
        if job
        else [(i, r) for i, raw in enumerate(raw_rust) if (r := part(f"rust[{i}]", Rust, raw))]
    )
    if panel is not None and panel.outline is not None:
        outer = polygon(panel.outline)
        allowed = outer.buffer(OVER_EDGE_MM)
        shapely.prepare(allowed)
        for index, rust in rusts:
            shape = polygon(rust.ring)
            if not allowed.covers(shape):
                out = shape.difference(outer)
                faults.append(
                    Fault(
                        f"rust[{index}].ring",
                        f"{out.area:.4g} mm² outside the panel",
                        f"must lie inside panel.outline (up to {OVER_EDGE_MM:g} mm over is clipped)",
                        "move the rust or redraw the panel's outline",
                    )
                )
        for index, ring in enumerate(panel.holes):
            hole = polygon(ring)
            if not outer.covers(hole):
                faults.append(
                    Fault(
                        f"panel.holes[{index}]",
                        "a hole outside the panel",
                        "must lie inside panel.outline",
                        "move it or delete it",
                    )
                )
            for number, rust in rusts:
                if hole.covers(polygon(rust.ring)):
                    faults.append(
                        Fault(
                            f"rust[{number}].ring",
                            "rust wholly inside an existing hole",
                            "must be on metal",
                            f"delete this rust or panel.holes[{index}]",
                        )
                    )
    elif panel is not None and panel.holes:
        faults.append(
            Fault(
                "panel.holes",
                f"{len(panel.holes)} without an outline",
                "need panel.outline",
                "draw the panel's outline",
            )
        )
    for index, item in enumerate(panel.protect if panel else ()):
        if (item.at is None) == (item.line is None):
            faults.append(
                Fault(
                    f"panel.protect[{index}]",
                    "both or neither of at and line",
                    "needs one of at, line",
                    "keep the one that was measured",
                )
            )
    faults += _weld_faults(
        part("sheet", Sheet, data.get("sheet", {})),
        part("patch", PatchChoice, data.get("patch", {})),
        part("weld", WeldChoice, data.get("weld", {})),
    )
    shop = part("shop", Shop, data.get("shop", {}))
    known = set(tables.names("consumables"))
    for name in shop.prices if shop else ():
        if name not in known:
            near = difflib.get_close_matches(name, known, 1)
            faults.append(
                Fault(
                    f"shop.prices.{unquoted(name)}",
                    "an unknown item",
                    f"must be one of {', '.join(sorted(known))}",
                    f'did you mean "{near[0]}"?' if near else "delete it",
                )
            )
    return faults


def _weld_faults(sheet: Sheet | None, patch: PatchChoice | None, weld: WeldChoice | None):
    """Return the faults between sheet, joint, process, gas and fill."""
    faults: list[Fault] = []
    if weld is None:
        return faults
    group = weld.gas.split("-")[0] if weld.gas else None
    if group:
        fits = {
            "135": ("M20", "M21", "C1"),
            "136": ("M20", "M21", "C1"),
            "114": (),
            "141": ("I1",),
        }[weld.process]
        if group not in fits:
            faults.append(
                Fault(
                    "weld.gas",
                    shown(weld.gas),
                    f"process {weld.process} takes "
                    + (" or ".join(fits) if fits else "no shielding gas (its wire makes its own)"),
                    "choose another gas or process" if fits else "leave weld.gas out",
                )
            )
    if weld.process == "114" and weld.flow:
        faults.append(
            Fault(
                "weld.flow",
                f"{weld.flow:g} l/min",
                "process 114 takes no shielding gas (its wire makes its own)",
                "leave weld.flow out",
            )
        )
    if weld.spacing and sheet and sheet.role != "skin":
        faults.append(
            Fault(
                "weld.spacing",
                f"{weld.spacing:g} mm",
                f'must be 0 where sheet.role is "{sheet.role}": gaps are not a continuous seam',
                'leave it out, or sheet.role "skin"',
            )
        )
    if weld.process == "141" and weld.fill == "dots":
        faults.append(
            Fault(
                "weld.fill",
                '"dots"',
                "dots are welded with a wire-feed process",
                'choose "stitch", or process "135"',
            )
        )
    if patch and patch.joint == "plug":
        hole = weld.plug_hole or 6.4
        if hole > patch.overlap - 2:
            faults.append(
                Fault(
                    "weld.plug_hole",
                    f"{hole:g} mm",
                    f"must be at least 2 mm less than the overlap ({patch.overlap:g} mm)",
                    "widen patch.overlap or take a smaller hole",
                )
            )
        if weld.plug_pitch and weld.plug_pitch <= hole:
            faults.append(
                Fault(
                    "weld.plug_pitch",
                    f"{weld.plug_pitch:g} mm",
                    f"must be more than the hole ({hole:g} mm)",
                    "widen the pitch",
                )
            )
    return faults
