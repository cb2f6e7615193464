"""The bench's result cards, bars, cautions and faults as HTML text: fast enough to follow a slider.

Everything a user typed is escaped before it becomes HTML.
"""

from __future__ import annotations

from html import escape

from ..base.amounts import converted
from ..base.amounts import show as show_amount
from ..base.errors import SheetkitError
from ..geometry.patch import blank_size
from ..repair.estimate import Estimate
from ..views import palette
from ..views.words import before_the_arc, minutes, thickness, totals

WIRE = (("By the joint's volume", "wire_g"), ("By wire feed × arc time", "wire_by_feed_g"))
GAS = (("While the arc burns", "gas_arc_l"), ("With pre-, post-flow and surge", "gas_real_l"))
_BARS = (("Wire", WIRE, "filler", palette.SKY), ("Gas", GAS, "volume", palette.ORANGE))
INK, FACE, SHADE, EDGE = (
    "var(--jp-ui-font-color1,#1b1b1b)",
    "var(--jp-layout-color1,#ffffff)",
    "var(--jp-layout-color3,#e0e0e0)",
    "var(--jp-border-color1,#999)",
)
"""The page's own colours, light or dark."""
_KINDS = {"stitch": "stitches", "dots": "groups of dots", "plug": "plug welds"}


def _bar(words: str, share_of: tuple[float, float, float], colour: str) -> str:
    """Return a bar as HTML; value, low and high as shares of the scale."""
    value, low, high = (f"{100 * share:.1f}%" for share in share_of)
    width = f"{100 * max(share_of[2] - share_of[1], 0):.1f}%"
    return (
        f'<div style="margin:3px 0 8px"><div>{words}</div>'
        f'<div style="position:relative;height:16px;background:{SHADE};border:1px solid {EDGE}">'
        f'<div style="position:absolute;inset:0 auto 0 0;width:{value};background:{colour}">'
        f'</div><div style="position:absolute;top:7px;height:2px;background:{INK};'
        f'left:{low};width:{width}"></div></div></div>'
    )


def amounts(result: Estimate, *, display: str = "mm") -> str:
    """Return bars of wire by both routes and gas both ways, with their ranges, as HTML."""
    parts = []
    for title, entries, kind, colour in _BARS:
        known = {label: name for label, name in entries if name in result.values}
        parts.append(f'<h3 style="margin:8px 0 2px;font-size:14px">{title}</h3>')
        if not known:
            parts.append("<div>This process needs no shielding gas.</div>")
        top = max((result.spans[name].high for name in known.values()), default=1.0) or 1.0
        for label, name in known.items():
            low, likely, high = result.spans[name]
            figures = [likely, low, high]
            (value, unit, _), (low, *_), (high, *_) = (
                converted(figure, kind, units=display) for figure in figures
            )
            words = (
                f"{label}: <b>{value:.3g} {unit}</b> "
                f'<span style="opacity:.8">({low:.3g} to {high:.3g} {unit})</span>'
            )
            share, from_, to = (figure / top for figure in figures)
            parts.append(_bar(words, (share, from_, to), colour))
    return "".join(parts)


def _blanks(result: Estimate, display: str) -> str:
    sides = [
        [f"{converted(side, 'length', units=display)[0]:.{int(display == 'in')}f}" for side in both]
        for both in (blank_size(patch.blank) for patch in result.patches)
    ]
    return ", ".join(f"{long} × {short}" for long, short in sides) + f" {display}"


def _items(result: Estimate, display: str) -> list[tuple[str, str, str, str]]:
    """Return (words, figure, amount with unit, note) of each card."""
    values = result.values

    def show(figure: str, kind: str, digits: int | None = None) -> str:
        return show_amount(result.spans[figure].likely, kind, units=display, digits=digits)

    dots = f", {values['dot_count']:.0f} dots" if values["dot_count"] else ""
    welds = f"{len(result.welds)} {_KINDS[result.welds[0].kind]}{dots}" if result.welds else "none"
    arc = f"at {values['current_a']:.0f} A, {values['voltage_v']:.1f} V"
    if "travel_mm_min" in values:
        arc += f", {show('travel_mm_min', 'speed')}"
    plug, line = "plug_heat_input_kj", "heat_input_kj_per_mm"
    heat = (
        ("Heat input of one plug", plug, show(plug, "heat"), "k U I t (EN 1011-1)")
        if plug in values
        else ("Heat input", line, show(line, "energy"), "k U I / v (EN 1011-1)")
    )
    items = [
        ("Seam to weld", "seam_length_mm", show("seam_length_mm", "length"), ""),
        (
            "Patch blanks",
            "blank_mass_g",
            _blanks(result, display),
            f"sheet {thickness(result, display)}",
        ),
        ("Welds", "weld_count", welds, f"after {len(result.tacks)} tacks"),
        (
            "Arc time",
            "arc_time_s",
            minutes(result.spans["arc_time_s"].likely),
            arc,
        ),
        heat,
        *totals(result),
    ]
    if "cylinder_left_l" in values:
        left = show("cylinder_left_l", "volume", 1 if display == "in" else 0)
        items.append(("Left in the cylinder", "cylinder_left_l", left, _bottle(result, display)))
    return items


def _bottle(result: Estimate, display: str) -> str:
    """Say of which bottle, where nobody said which it is."""
    if result.job.given("shop.cylinder"):
        return ""
    bottle = result.job.shop.cylinder
    pressure = show_amount(bottle.pressure, "pressure", units=display)
    return f"assumed: a bottle of {bottle.water_volume:g} l at {pressure}"


def cards(result: Estimate, *, display: str = "mm") -> str:
    """Return the chief results as cards, HTML; pointed at, a card says what it rests on."""
    body = "".join(
        f'<div title="rests on: {escape(result.rests_on(figure))}" '
        f'style="flex:1 1 150px;border:1px solid {EDGE};padding:6px 10px;background:{FACE};'
        f'color:{INK}"><div style="font-size:13px">{label}</div>'
        f'<div style="font-size:19px;font-weight:600;line-height:1.3">{escape(amount)}</div>'
        f'<div style="font-size:12.5px">{escape(note)}</div></div>'
        for label, figure, amount, note in _items(result, display)
    )
    return f'<div style="display:flex;flex-wrap:wrap;gap:6px">{body}</div>'


def caution_list(result: Estimate, *, display: str = "mm") -> str:
    """Return the cautions as an HTML list, with heat and machine last."""
    items = "".join(
        f"<li><b>{escape(c.topic)}</b>: {escape(c.text)}</li>" for c in result.cautions(display)
    )
    items += "".join(
        f"<li><b>before the arc</b>: {escape(words)}</li>" for words in before_the_arc(result)
    )
    return f'<ul style="line-height:1.4;margin:4px 0">{items}</ul>'


def faults(error: SheetkitError) -> str:
    """Return faults as HTML, one a line."""
    items = "".join(f"<li>{escape(str(fault))}</li>" for fault in error.faults)
    return (
        f'<div role="alert" style="border:2px solid {INK};padding:6px 10px;background:{FACE};'
        f'color:{INK}">'
        f"<b>This can't be worked out yet:</b><ul>{items}</ul></div>"
    )


def unexpected(error: Exception) -> str:
    """Return an error nobody foresaw as HTML: its kind and its words."""
    return f"<b>{escape(type(error).__name__)}</b>: {escape(str(error))}"
