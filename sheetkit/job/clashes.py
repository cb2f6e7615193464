"""Faults that lie between fields of a job: rust beside its panel, a gas beside its process."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import shapely
from pydantic import BaseModel, ValidationError
from shapely import Polygon

from ..base import tables
from ..base.errors import Fault, shown, unquoted
from ..geometry.fold import RADIUS_OF_THICKNESS
from ..geometry.patch import SCRAP_MM2
from ..geometry.ring import CORNER_MM
from ..geometry.scribble import MOST_CROSSINGS, MOST_TURNS_IN_ALL, crossings, turns
from . import formed
from .faults import did_you_mean
from .model import (
    Panel,
    PatchChoice,
    Rust,
    Sheet,
    Shop,
    Surroundings,
    WeldChoice,
    panel_pieces,
)
from .profile import profile_faults

OVER_EDGE_MM = 5.0
"""Rust drawn this far over the panel's edge is a slip of the hand and is clipped (guess)."""
LEAST_OVER_AIR_K = 5.0
"""A limit nearer to the air's temperature is reached after hours (our own choice)."""
GASES = {
    "135": ("M20", "M21", "C1"),
    "136": ("M20", "M21", "C1"),
    "114": (),
    "141": ("I1",),
}
"""Process -> the groups of shielding gas it takes."""

Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True)
class Parts:
    """The parts of a job, as far as they are sound: None for one that isn't."""

    sheet: Sheet | None
    surroundings: Surroundings | None
    panel: Panel | None
    rust: Sequence[tuple[int, Rust]]
    """(its number in the job, rust)"""
    patch: PatchChoice | None
    weld: WeldChoice | None
    shop: Shop | None

    @classmethod
    def of(cls, data: Mapping, context: dict[str, Any]) -> Parts:
        """Return the sound parts of a job's data."""

        def part(model: type[Model], raw: object) -> Model | None:
            try:
                return model.model_validate(raw, context=context)
            except ValidationError:
                return None

        rust = data.get("rust")
        rings = rust if isinstance(rust, list | tuple) else ()
        return cls(
            part(Sheet, data.get("sheet", {})),
            part(Surroundings, data.get("surroundings", {})),
            part(Panel, data.get("panel", {})),
            [(n, sound) for n, raw in enumerate(rings) if (sound := part(Rust, raw))],
            part(PatchChoice, data.get("patch", {})),
            part(WeldChoice, data.get("weld", {})),
            part(Shop, data.get("shop", {})),
        )


def clashes(parts: Parts) -> list[Fault]:
    """Return the faults that lie between fields, as far as their parts are sound."""
    if too_much := list(_scribbles(parts.panel, parts.rust)):
        return too_much  # what else there is would take too long to find
    return [
        *_panel_clashes(parts.panel, parts.rust),
        *_protect_clashes(parts.panel),
        *_line_clashes(parts.panel, parts.patch),
        *_warm_clashes(parts.surroundings, parts.weld),
        *_profile_clashes(parts),
        *_fold_clashes(parts.sheet, parts.patch),
        *_formed_clashes(parts),
        *_gas_clashes(parts.weld),
        *_fill_clashes(parts.sheet, parts.weld),
        *_plug_clashes(parts.sheet, parts.patch, parts.weld),
        *_price_clashes(parts.shop),
    ]


def _scribbles(panel: Panel | None, rusts: Sequence[tuple[int, Rust]]) -> Iterator[Fault]:
    """Yield what no outlines of panel and rust have, and what would take minutes to work out."""
    rings = [rust.ring.polygon for _, rust in rusts]
    if panel is not None:
        drawn = (panel.outline, *panel.holes)
        rings += [ring.polygon for ring in drawn if ring is not None]
    if not rings:
        return
    if (many := turns(rings)) > MOST_TURNS_IN_ALL:
        yield Fault(
            "job",
            f"outlines that turn through {many} right angles, {CORNER_MM:g} mm deep and more",
            f"must have at most {MOST_TURNS_IN_ALL} in all; a smooth ring has four",
            "draw the outlines smoother, or the repairs in several jobs",
        )
    elif len(rings) > 1 and crossings(rings) > MOST_CROSSINGS:
        yield Fault(
            "job",
            f"outlines that cross one another more than {MOST_CROSSINGS} times",
            "each rust-out and hole must have an outline of its own",
            "delete rings drawn over one another",
        )


def _warm_clashes(air: Surroundings | None, weld: WeldChoice | None) -> Iterator[Fault]:
    if air is None or weld is None:
        return
    least = air.ambient + LEAST_OVER_AIR_K
    if weld.interpass_limit < least:
        yield Fault(
            "weld.interpass_limit",
            f"{weld.interpass_limit:g} degC",
            f"must be {least:g} degC or more: {LEAST_OVER_AIR_K:g} K over surroundings.ambient, or "
            "the sheet never cools to it",
            "raise the limit, or weld on a cooler day",
        )


def _panel_clashes(panel: Panel | None, rusts: Sequence[tuple[int, Rust]]) -> Iterator[Fault]:
    if panel is None:
        return
    if panel.outline is None:
        if panel.holes:
            yield Fault(
                "panel.holes",
                f"{len(panel.holes)} without an outline",
                "need panel.outline",
                "draw the panel's outline",
            )
        return
    outer = panel.outline.polygon
    allowed = outer.buffer(OVER_EDGE_MM)
    shapely.prepare(allowed)
    pieces = panel_pieces(panel)
    if len(pieces) != 1 and (not pieces or pieces[1].area >= SCRAP_MM2):
        yield Fault(
            "panel.holes",
            f"{len(pieces)} pieces of panel",
            "the holes must leave the panel in one piece",
            "draw only the piece that is repaired, each piece in a job of its own",
        )
        pieces = []
    for index, rust in rusts:
        if not allowed.covers(rust.ring.polygon):
            out = rust.ring.polygon.difference(outer)
            yield Fault(
                f"rust[{index}].ring",
                f"{out.area:.4g} mm² outside the panel",
                f"must lie inside panel.outline (up to {OVER_EDGE_MM:g} mm over is clipped)",
                "move the rust or redraw the panel's outline",
            )
        elif pieces and not _on_metal(rust.ring.polygon, pieces[0]):
            inside = [n for n, h in enumerate(panel.holes) if h.polygon.covers(rust.ring.polygon)]
            yield Fault(
                f"rust[{index}].ring",
                f"rust wholly {'inside an existing hole' if inside else 'off the metal'}",
                "must be on the panel's metal",
                f"delete this rust or {f'panel.holes[{inside[0]}]' if inside else 'move it'}",
            )
    for index, hole in enumerate(panel.holes):
        if not outer.covers(hole.polygon):
            yield Fault(
                f"panel.holes[{index}]",
                "a hole outside the panel",
                "must lie inside panel.outline",
                "move it or delete it",
            )


def _on_metal(rust: Polygon, metal: Polygon) -> bool:
    """Say whether any of the rust's area lies on the metal."""
    if metal.contains(rust.representative_point()):
        return True
    return shapely.relate_pattern(metal, rust, "T********")


def _protect_clashes(panel: Panel | None) -> Iterator[Fault]:
    for index, item in enumerate(panel.protect if panel else ()):
        if (item.at is None) == (item.line is None):
            yield Fault(
                f"panel.protect[{index}]",
                "both or neither of at and line",
                "needs one of at, line",
                "keep the one that was measured",
            )


def _line_clashes(panel: Panel | None, patch: PatchChoice | None) -> Iterator[Fault]:
    if panel is None:
        return
    lines = [(f"panel.stiff[{n}].line", item.line) for n, item in enumerate(panel.stiff)]
    lines += [(f"panel.swages[{n}].line", item.line) for n, item in enumerate(panel.swages)]
    yield from formed.scribble_faults(lines)
    if panel.outline is None:
        return
    yield from formed.off_panel_faults(panel.outline.polygon, lines, OVER_EDGE_MM)
    drawn = [ring.polygon.boundary for ring in (panel.outline, *panel.holes)]
    yield from formed.off_edge_faults(shapely.union_all(drawn), patch.lips if patch else ())


def _profile_clashes(parts: Parts) -> Iterator[Fault]:
    profile = parts.panel.profile if parts.panel else None
    if profile is None or parts.panel is None:
        return
    if parts.sheet is not None:
        drawn: list[tuple[str, Polygon]] = []
        if parts.panel.outline is not None:
            drawn.append(("panel.outline", parts.panel.outline.polygon))
        drawn += [(f"rust[{n}].ring", rust.ring.polygon) for n, rust in parts.rust]
        yield from profile_faults(profile, parts.sheet.thickness, drawn)
    if parts.patch is not None and parts.patch.folds:
        yield Fault(
            "patch.folds",
            f"{len(parts.patch.folds)} beside panel.profile",
            "the profile's bends are the patch's",
            "leave patch.folds out, or panel.profile where the panel is flat",
        )


def _fold_clashes(sheet: Sheet | None, patch: PatchChoice | None) -> Iterator[Fault]:
    if sheet is None or patch is None:
        return
    low, high = (times * sheet.thickness for times in RADIUS_OF_THICKNESS)
    for index, fold in enumerate(patch.folds):
        if not low <= fold.radius <= high:
            yield Fault(
                f"patch.folds[{index}].radius",
                f"{fold.radius:g} mm",
                f"must be {low:g} to {high:g} mm in {sheet.thickness:g} mm sheet",
                "bend it over another radius",
            )


def _formed_clashes(parts: Parts) -> Iterator[Fault]:
    panel, patch, sheet = parts.panel, parts.patch, parts.sheet
    if panel is not None:
        yield from formed.swage_faults(panel.swages)
        yield from formed.crown_faults(panel.crowns)
    if patch is not None and sheet is not None:
        yield from formed.lip_faults(patch.lips, sheet.thickness, len(patch.folds))
        yield from formed.joggle_faults(patch.joggle, patch.joint, sheet.thickness, sheet.beneath)


def _gas_clashes(weld: WeldChoice | None) -> Iterator[Fault]:
    if weld is None:
        return
    fits = GASES[weld.process]
    if weld.gas and weld.gas.split("-")[0] not in fits:
        yield Fault(
            "weld.gas",
            shown(weld.gas),
            f"process {weld.process} takes "
            + (" or ".join(fits) if fits else "no shielding gas (its wire makes its own)"),
            "choose another gas or process" if fits else "leave weld.gas out",
        )
    if not fits and weld.flow:
        yield Fault(
            "weld.flow",
            f"{weld.flow:g} l/min",
            f"process {weld.process} takes no shielding gas (its wire makes its own)",
            "leave weld.flow out",
        )


def _fill_clashes(sheet: Sheet | None, weld: WeldChoice | None) -> Iterator[Fault]:
    if weld is None:
        return
    if weld.spacing and sheet and sheet.role != "skin":
        yield Fault(
            "weld.spacing",
            f"{weld.spacing:g} mm",
            f'must be 0 where sheet.role is "{sheet.role}": gaps are not a continuous seam',
            'leave it out, or sheet.role "skin"',
        )
    if weld.process == "141" and weld.fill == "dots":
        yield Fault(
            "weld.fill",
            '"dots"',
            "dots are welded with a wire-feed process",
            'choose "stitch", or process "135"',
        )


def _plug_clashes(
    sheet: Sheet | None, patch: PatchChoice | None, weld: WeldChoice | None
) -> Iterator[Fault]:
    if sheet is None or weld is None or patch is None or patch.joint != "plug":
        return
    hole = weld.plug_hole or tables.plug_hole("hole_diameter", sheet.thickness).value
    if hole > patch.overlap - 2:
        yield Fault(
            "weld.plug_hole",
            f"{hole:g} mm",
            f"must be at least 2 mm less than the overlap ({patch.overlap:g} mm)",
            "widen patch.overlap or take a smaller hole",
        )
    if weld.plug_pitch and weld.plug_pitch <= hole:
        yield Fault(
            "weld.plug_pitch",
            f"{weld.plug_pitch:g} mm",
            f"must be more than the hole ({hole:g} mm)",
            "widen the pitch",
        )


def _price_clashes(shop: Shop | None) -> Iterator[Fault]:
    known = tables.names("consumables")
    for name in shop.prices if shop else ():
        if name not in known:
            yield Fault(
                f"shop.prices.{unquoted(name)}",
                "an unknown item",
                f"must be one of {', '.join(sorted(known))}",
                did_you_mean(name, known),
            )
