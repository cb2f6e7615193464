"""The live picture and result cards as HTML text: fast enough to follow a slider.

Everything a user typed is escaped before it becomes HTML.
"""

from __future__ import annotations

from html import escape

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from .. import scene, text, units
from ..errors import SheetkitError
from ..estimate import Estimate
from ..patch import blank_size

WIDTH_PX = 620


def _path(shape: BaseGeometry) -> str:
    """Return a shape as the data of an SVG path, y up turned to y down, 0.1 mm."""
    pieces = []
    for part in shapely.get_parts(shape):
        if part.geom_type.startswith(("Multi", "Geometry")):
            pieces.append(_path(part))
            continue
        rings = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
        for ring in rings:
            xy = np.asarray(ring.coords)
            body = "L".join(f"{x:.1f} {-y:.1f}" for x, y in xy.tolist())
            pieces.append(f"M{body}{'Z' if part.geom_type == 'Polygon' else ''}")
    return "".join(pieces)


def _mark(mark: scene.Mark, px: float) -> str:
    """Return one mark as SVG; `px` is mm for each pixel, so that lines keep their width."""
    style = mark.style
    if shapely.get_type_id(mark.shape) in (0, 4):
        return "".join(
            f'<circle cx="{x:.1f}" cy="{-y:.1f}" r="{3.5 * px:.2f}" fill="{style.fill}" '
            f'stroke="{style.line}" stroke-width="{style.width * px:.2f}"/>'
            for x, y in shapely.get_coordinates(mark.shape)
        )
    line = mark.kind == "protect" or style.fill == "none"
    fill = "none" if line else "url(#hatch)" if style.hatch else style.fill
    dashes = " ".join(f"{d * px:.2f}" for d in style.dashes)
    return (
        f'<path d="{_path(mark.shape)}" fill="{fill}" fill-rule="evenodd" stroke="{style.line}" '
        f'stroke-width="{style.width * px:.2f}" stroke-dasharray="{dashes or "none"}"/>'
    )


def _legend(marks: list[scene.Mark]) -> str:
    items = []
    for mark in marks:
        style = mark.style
        dashes = " ".join(map(str, style.dashes)) or "none"
        if mark.kind in ("panel", "patch", "rust"):
            fill = "url(#hatchkey)" if style.hatch else style.fill
            key = f'<rect x="1" y="2" width="24" height="10" fill="{fill}" stroke="{style.line}"/>'
        elif mark.kind == "plug":
            key = f'<circle cx="13" cy="7" r="4" fill="{style.fill}" stroke="{style.line}"/>'
        else:
            key = (
                f'<line x1="1" x2="25" y1="7" y2="7" stroke="{style.line}" '
                f'stroke-width="{style.width}" stroke-dasharray="{dashes}"/>'
            )
        items.append(
            '<span style="display:inline-flex;align-items:center;margin-right:14px">'
            f'<svg width="26" height="14" aria-hidden="true">{key}</svg>&nbsp;{escape(mark.label)}'
            "</span>"
        )
    return f'<div style="font-size:13px;line-height:1.7">{"".join(items)}</div>'


def _ruler(box: tuple[float, float, float, float], px: float, display: str) -> str:
    """Return a scale bar of a round length in the picture's lower left corner."""
    left, bottom, right, _ = box
    unit = 25.4 if display == "in" else 1.0
    want = (right - left) / 5 / unit
    length = max(n for n in (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500) if n <= max(want, 0.5))
    x, y = left + 12 * px, -bottom - 12 * px
    end = x + length * unit
    return (
        f'<path d="M{x:.1f} {y - 5 * px:.1f}V{y:.1f}H{end:.1f}V{y - 5 * px:.1f}" fill="none" '
        f'stroke="#000" stroke-width="{1.5 * px:.2f}"/>'
        f'<text x="{(x + end) / 2:.1f}" y="{y - 5 * px:.1f}" font-size="{13 * px:.1f}" '
        f'text-anchor="middle" fill="#000" stroke="#fff" stroke-width="{3 * px:.1f}" '
        f'paint-order="stroke">{length:g} {display}</text>'
    )


def plan_svg(result: Estimate, *, display: str = "mm", close: bool = False) -> str:
    """Return the picture of a repair as HTML: an SVG drawing and its legend."""
    box = scene.window(result, close=close)
    left, bottom, right, top = box
    px = (right - left) / WIDTH_PX
    marks = scene.repair(result, display=display)
    rust = scene.STYLES["rust"]
    hatch = (
        '<pattern id="{name}" width="{w}" height="{w}" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><rect width="{w}" height="{w}" fill="' + rust.fill + '"/>'
        '<line x1="0" y1="0" x2="0" y2="{w}" stroke="' + rust.line + '" stroke-width="{s}"/>'
        "</pattern>"
    )
    defs = hatch.format(name="hatch", w=f"{6 * px:.2f}", s=f"{1.6 * px:.2f}")
    keys = hatch.format(name="hatchkey", w=5, s=1.4)
    words = (
        f"Repair drawn to scale: {len(result.patches)} patch"
        f"{'es' if len(result.patches) > 1 else ''}, seam "
        f"{units.show(result.values['seam_length_mm'], 'length', units=display)}"
    )
    return (
        f'<svg role="img" aria-label="{escape(words)}" viewBox="{left:.1f} {-top:.1f} '
        f'{right - left:.1f} {top - bottom:.1f}" style="width:100%;max-width:{WIDTH_PX}px;'
        f'max-height:460px;background:#fff;border:1px solid #999"><defs>{defs}</defs>'
        f"{''.join(_mark(mark, px) for mark in marks)}{_ruler(box, px, display)}</svg>"
        f'<svg width="0" height="0" style="position:absolute"><defs>{keys}</defs></svg>'
        f"{_legend(marks)}"
    )


def _bar(
    label: str, name: str, result: Estimate, scale: float, unit: str, top: float, colour: str
) -> str:
    value = result.values[name] * scale
    low, high = (max(v * scale, 0.0) for v in result.spans[name])

    def share(x: float) -> str:
        return f"{100 * x / top:.1f}%"

    return (
        f'<div style="margin:3px 0 8px"><div>{label}: <b>{value:.3g} {unit}</b> '
        f'<span style="opacity:.8">({low:.3g} to {high:.3g} {unit})</span></div>'
        '<div style="position:relative;height:16px;background:#eee;border:1px solid #999">'
        f'<div style="position:absolute;inset:0 auto 0 0;width:{share(value)};background:{colour}">'
        f'</div><div style="position:absolute;top:7px;height:2px;background:#000;'
        f'left:{share(low)};width:{share(max(high - low, 0))}"></div></div></div>'
    )


def amounts(result: Estimate, *, display: str = "mm") -> str:
    """Return bars of wire by both routes and gas both ways, with their ranges, as HTML."""
    inch = display == "in"
    parts = []
    for title, entries, scale, unit, colour in (
        (
            "Wire",
            (("By the joint's volume", "wire_g"), ("By wire feed × arc time", "wire_by_feed_g")),
            1 / 453.59237 if inch else 1.0,
            "lb" if inch else "g",
            scene.SKY,
        ),
        (
            "Gas",
            (
                ("While the arc burns", "gas_arc_l"),
                ("With pre-, post-flow and surge", "gas_real_l"),
            ),
            1 / 28.316846592 if inch else 1.0,
            "ft³" if inch else "l",
            scene.ORANGE,
        ),
    ):
        known = [(label, name) for label, name in entries if name in result.values]
        parts.append(f'<h3 style="margin:8px 0 2px;font-size:14px">{title}</h3>')
        if not known:
            parts.append("<div>This process needs no shielding gas.</div>")
            continue
        top = max(result.spans[name][1] for _, name in known) * scale or 1.0
        parts += [_bar(label, name, result, scale, unit, top, colour) for label, name in known]
    return "".join(parts)


def cards(result: Estimate, *, display: str = "mm") -> str:
    """Return the chief results as cards, HTML; pointed at, a card says what it rests on."""
    values = result.values
    show = units.show
    inch = display == "in"
    heat = values["heat_input_kj_per_mm"] * (25.4 if inch else 1)
    kinds = {"stitch": "stitches", "dots": "groups of dots", "plug": "plug welds"}
    kind = kinds[result.welds[0].kind]
    blanks = ", ".join(
        "{} × {}".format(*(f"{side / (25.4 if inch else 1):.{int(inch)}f}" for side in sides))
        for sides in (blank_size(patch.blank) for patch in result.patches)
    )
    dots = f", {values['dot_count']:.0f} dots" if values["dot_count"] else ""
    items = [
        (
            "Seam to weld",
            "seam_length_mm",
            show(values["seam_length_mm"], "length", units=display),
            "",
        ),
        (
            "Patch blanks",
            "blank_mass_g",
            f"{blanks} {display}",
            f"sheet {text.thickness(result, display)}",
        ),
        (
            "Welds",
            "weld_count",
            f"{len(result.welds)} {kind}{dots}",
            f"after {len(result.tacks)} tacks",
        ),
        (
            "Arc time",
            "arc_time_s",
            text.minutes(values["arc_time_s"]),
            f"at {values['current_a']:.0f} A, "
            f"{values['voltage_v']:.1f} V, {show(values['travel_mm_min'], 'speed', units=display)}",
        ),
        (
            "Heat input",
            "heat_input_kj_per_mm",
            f"{heat:.3f} {'kJ/in' if inch else 'kJ/mm'}",
            "k U I / v (EN 1011-1)",
        ),
        *text.totals(result),
    ]
    if "cylinder_left_l" in values:
        items.append(
            (
                "Left in the cylinder",
                "cylinder_left_l",
                show(values["cylinder_left_l"], "volume", units=display, digits=1 if inch else 0),
                "",
            )
        )
    body = "".join(
        f'<div title="rests on: {escape(result.rests_on(figure))}" style="flex:1 1 150px;border:1px solid #999;padding:6px 10px;background:#fff;'
        f'color:#000"><div style="font-size:13px">{label}</div>'
        f'<div style="font-size:19px;font-weight:600;line-height:1.3">{escape(amount)}</div>'
        f'<div style="font-size:12.5px">{escape(note)}</div></div>'
        for label, figure, amount, note in items
    )
    return f'<div style="display:flex;flex-wrap:wrap;gap:6px">{body}</div>'


def caution_list(result: Estimate, *, display: str = "mm") -> str:
    """Return the cautions as an HTML list."""
    items = "".join(
        f"<li><b>{escape(c.topic)}</b>: {escape(c.text)}</li>" for c in result.cautions(display)
    )
    return f'<ul style="line-height:1.4;margin:4px 0">{items}</ul>'


def faults(error: SheetkitError) -> str:
    """Return faults as HTML, one a line."""
    items = "".join(f"<li>{escape(str(fault))}</li>" for fault in error.faults)
    return (
        '<div role="alert" style="border:2px solid #000;padding:6px 10px;background:#fff;color:#000">'
        f"<b>This can't be worked out yet:</b><ul>{items}</ul></div>"
    )


def hint(words: str) -> str:
    """Return a friendly word about what to do next, as HTML."""
    return f'<div role="status" style="padding:6px 10px"><b>{escape(words)}</b></div>'
