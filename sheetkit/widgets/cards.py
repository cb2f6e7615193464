"""The live picture and result cards as HTML text: fast enough to follow a slider.

Everything a user typed is escaped before it becomes HTML.
"""

from __future__ import annotations

from html import escape

from ..base.amounts import show as show_amount
from ..base.errors import SheetkitError
from ..geometry.patch import blank_size
from ..repair.estimate import Estimate
from ..views import palette
from ..views.words import minutes, thickness, totals


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
            palette.SKY,
        ),
        (
            "Gas",
            (
                ("While the arc burns", "gas_arc_l"),
                ("With pre-, post-flow and surge", "gas_real_l"),
            ),
            1 / 28.316846592 if inch else 1.0,
            "ft³" if inch else "l",
            palette.ORANGE,
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
    show = show_amount
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
            f"sheet {thickness(result, display)}",
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
            minutes(values["arc_time_s"]),
            f"at {values['current_a']:.0f} A, "
            f"{values['voltage_v']:.1f} V, {show(values['travel_mm_min'], 'speed', units=display)}",
        ),
        (
            "Heat input",
            "heat_input_kj_per_mm",
            f"{heat:.3f} {'kJ/in' if inch else 'kJ/mm'}",
            "k U I / v (EN 1011-1)",
        ),
        *totals(result),
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
