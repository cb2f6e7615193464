"""The repair as a small picture that follows the sliders."""

from __future__ import annotations

from html import escape

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ..base import amounts
from ..base.units import length_unit_mm
from ..repair.estimate import Estimate
from ..views import palette, repair_scene

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


def _hatch(px: float) -> str:
    """Return the name of the hatching at a scale: pictures of one page share their names."""
    return f"hatch{1000 * px:.0f}"


def _mark(mark: repair_scene.Mark, px: float) -> str:
    """Return one mark as SVG; `px` is mm for each pixel, so that lines keep their width."""
    style = mark.style
    if shapely.get_type_id(mark.shape) in (0, 4):
        return "".join(
            f'<circle cx="{x:.1f}" cy="{-y:.1f}" r="{3.5 * px:.2f}" fill="{style.fill}" '
            f'stroke="{style.line}" stroke-width="{style.width * px:.2f}"/>'
            for x, y in shapely.get_coordinates(mark.shape)
        )
    line = mark.kind == "protect" or style.fill == "none"
    fill = "none" if line else f"url(#{_hatch(px)})" if style.hatch else style.fill
    dashes = " ".join(f"{d * px:.2f}" for d in style.dashes)
    return (
        f'<path d="{_path(mark.shape)}" fill="{fill}" fill-rule="evenodd" stroke="{style.line}" '
        f'stroke-width="{style.width * px:.2f}" stroke-dasharray="{dashes or "none"}"/>'
    )


def _legend(marks: list[repair_scene.Mark]) -> str:
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
            f'<svg width="26" height="14" style="background:{palette.WHITE}" aria-hidden="true">{key}</svg>&nbsp;{escape(mark.label)}'
            "</span>"
        )
    return f'<div style="font-size:13px;line-height:1.7">{"".join(items)}</div>'


def _ruler(box: tuple[float, float, float, float], px: float, display: str) -> str:
    """Return a scale bar of a round length in the picture's lower left corner."""
    left, bottom, right, _ = box
    unit = length_unit_mm(display)
    want = (right - left) / 5 / unit
    length = max(n for n in (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500) if n <= max(want, 0.5))
    x, y = left + 12 * px, -bottom - 12 * px
    end = x + length * unit
    return (
        f'<path d="M{x:.1f} {y - 5 * px:.1f}V{y:.1f}H{end:.1f}V{y - 5 * px:.1f}" fill="none" '
        f'stroke="#000" stroke-width="{1.5 * px:.2f}"/>'
        f'<text x="{(x + end) / 2:.1f}" y="{y - 5 * px:.1f}" font-size="{18 * px:.1f}" '
        f'text-anchor="middle" fill="#000" stroke="#fff" stroke-width="{3 * px:.1f}" '
        f'paint-order="stroke">{length:g} {display}</text>'
    )


def plan_svg(result: Estimate, *, display: str = "mm", close: bool = False) -> str:
    """Return the picture of a repair as HTML: an SVG drawing and its legend."""
    box = repair_scene.window(result, close=close)
    left, bottom, right, top = box
    px = (right - left) / WIDTH_PX
    marks = repair_scene.repair(result, display=display)
    rust = palette.STYLES["rust"]
    hatch = (
        '<pattern id="{name}" width="{w}" height="{w}" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><rect width="{w}" height="{w}" fill="' + rust.fill + '"/>'
        '<line x1="0" y1="0" x2="0" y2="{w}" stroke="' + rust.line + '" stroke-width="{s}"/>'
        "</pattern>"
    )
    defs = hatch.format(name=_hatch(px), w=f"{6 * px:.2f}", s=f"{1.6 * px:.2f}")
    keys = hatch.format(name="hatchkey", w=5, s=1.4)
    words = (
        f"Repair drawn to scale: {len(result.patches)} patch"
        f"{'es' if len(result.patches) > 1 else ''}, seam "
        f"{amounts.show(result.values['seam_length_mm'], 'length', units=display)}"
    )
    return (
        f'<svg role="img" aria-label="{escape(words)}" viewBox="{left:.1f} {-top:.1f} '
        f'{right - left:.1f} {top - bottom:.1f}" style="width:100%;max-width:{WIDTH_PX}px;'
        f'max-height:460px;background:#fff;border:1px solid #999"><defs>{defs}</defs>'
        f"{''.join(_mark(mark, px) for mark in marks)}{_ruler(box, px, display)}</svg>"
        f'<svg width="0" height="0" style="position:absolute"><defs>{keys}</defs></svg>'
        f"{_legend(marks)}"
    )
