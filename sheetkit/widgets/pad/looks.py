"""How the pad draws each kind of shape and each line over them: the colours of all pictures."""

from __future__ import annotations

from dataclasses import replace

from ...views.palette import STYLES, VERMILION, Style

LOOKS: dict[str, Style] = {
    "rust_holed": replace(STYLES["rust"], width=2.2),
    "rust_pitted": replace(STYLES["rust"], width=2.2, dashes=(8, 4)),
    "panel_outline": replace(STYLES["panel"], width=2.2),
    "panel_hole": replace(STYLES["panel"], width=2.0, dashes=(10, 4, 2, 4)),
    "mounting": replace(STYLES["mounting"], width=2.2),
    "protect_point": STYLES["protect"],
    "protect_line": replace(STYLES["protect"], dashes=(14, 5)),
    "stiff_line": STYLES["stiff"],
    "swage": replace(STYLES["swage"], width=3.0),
    "fold": replace(STYLES["bend"], width=2.2),
    "lip": replace(STYLES["bend"], width=3.4, dashes=(3, 2)),
}
"""Kind of shape -> how it is drawn; widths and dashes in px on the screen, points on paper."""
OVERLAYS: dict[str, Style] = {
    "cut_line": replace(STYLES["cut"], width=1.8),
    "patch_outline": replace(STYLES["patch"], width=1.8),
    "seam": STYLES["seam"],
    "bend": replace(STYLES["bend"], width=2.0),
    "bend_zone": replace(STYLES["bend"], width=0.8, dashes=(3, 3)),
    "sheet": replace(STYLES["panel"], dashes=(2, 4)),
}
"""Kind of line over the drawing -> how it is drawn."""


def css() -> str:
    """Return the colours and dashes as a style sheet; the rest of each look stands in pad.css."""
    rules = [f".skp {{ --rust: {VERMILION}; }}"]
    for kind, look in LOOKS.items():
        border = "dashed" if look.dashes else "solid"
        rules += [
            f".skp-shape.skp-{kind} {{ --shade: {look.line}; --thick: {look.width}; }}",
            f".skp-{kind} .skp-line {{ stroke-dasharray: {_dashes(look)}; }}",
            f".skp .skp-item-{kind} {{ border-left-color: {look.line}; border-left-style: {border}; }}",
        ]
    for kind, look in OVERLAYS.items():
        rules.append(
            f".skp-over-{kind} {{ stroke: {look.line}; stroke-width: {look.width}; "
            f"stroke-dasharray: {_dashes(look)}; }}"
        )
    zone = OVERLAYS["bend_zone"].line
    rules.append(f".skp-over.skp-over-bend_zone {{ fill: {zone}; fill-opacity: 0.1; }}")
    return "\n".join(rules)


def _dashes(look: Style) -> str:
    return " ".join(map(str, look.dashes)) or "none"
