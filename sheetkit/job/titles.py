"""What the fields of a job are called where people read, and what their choices are.

The one place where a field's name in the file, such as ``surroundings.ambient``, becomes a
welder's words.  A field that is new in the model is called by its own name until it has some.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

TITLES = {
    "title": "Name of the job",
    "hand": "Side of the vehicle",
    "customer": "Customer",
    "contact": "Customer's address, phone",
    "vehicle": "Vehicle",
    "plate": "Plate",
    "vin": "VIN",
    "odometer": "Odometer",
    "notes": "Notes",
    "sheet.thickness": "Sheet",
    "sheet.role": "Part",
    "sheet.coating": "Coating",
    "sheet.position": "Position",
    "sheet.back_access": "Back",
    "sheet.beneath": "Sheet beneath",
    "surroundings.ambient": "Air and sheet",
    "surroundings.air": "The air is",
    "surroundings.front": "Your side is",
    "surroundings.back": "The far side is",
    "panel.outline": "Panel outline",
    "panel.holes": "Holes in the panel",
    "panel.mountings": "Mountings",
    "panel.protect": "What must stay cool",
    "panel.edges": "Panel's edges",
    "panel.stiff": "Lines that stay straight",
    "panel.swages": "Swages",
    "panel.crowns": "It curves the other way too",
    "rust": "Rust",
    "patch.margin": "Margin",
    "patch.shape": "Shape",
    "patch.joint": "Joint",
    "patch.gap": "Gap (butt)",
    "patch.overlap": "Overlap (lap)",
    "patch.joggle.on": "Joggle (lap)",
    "patch.joggle.run": "Joggle's length",
    "patch.joggle.radius": "Joggle's inner radius",
    "patch.corner_radius": "Corner radius",
    "patch.web": "Cut strips below",
    "patch.folds": "Folds",
    "weld.process": "Process",
    "weld.current": "Current",
    "weld.fill": "Fill",
    "weld.stitch": "Stitch length",
    "weld.voltage": "Voltage",
    "weld.travel": "Travel speed",
    "weld.wire": "Wire or rod",
    "weld.gas": "Gas",
    "weld.flow": "Gas flow",
    "weld.pre_flow": "Gas before the arc",
    "weld.post_flow": "Gas after the arc",
    "weld.tack": "Tacks apart, at most",
    "weld.spacing": "Bare between stitches",
    "weld.interpass_limit": "Stitches start below",
    "weld.plug_hole": "Plug hole",
    "weld.plug_pitch": "Plugs apart",
    "shop.name": "Your shop",
    "shop.address": "Its address",
    "shop.phone": "Its phone, e-mail",
    "shop.registration": "Its registration",
    "shop.date": "Day of the offer",
    "shop.skill": "Skill",
    "shop.labour_rate": "Labour rate",
    "shop.currency": "Currency",
    "shop.tax": "Tax",
    "shop.tolerance": "Stop and ask above",
    "shop.stop_limit": "Stop and ask at",
    "shop.prices": "Prices",
    "shop.cylinder": "Gas bottle",
    "shop.cylinder.water_volume": "Gas bottle",
    "shop.cylinder.pressure": "Its gauge shows",
    "shop.spool": "Spool of wire",
    "shop.sheet_stock": "Sheets in stock",
    "shop.quote": "Kind of offer",
    "shop.valid_days": "Valid for",
    "shop.exclusions": "Not included",
    "shop.photos": "Room for photos",
}
"""Field, as the job file names it -> what it is called."""
PROCESSES = {
    "135": "135 MIG/MAG, solid wire",
    "136": "136 MIG/MAG, flux-cored",
    "114": "114 flux-cored, gasless",
    "141": "141 TIG",
}
"""What the process numbers of ISO 4063 are called on screens and pages."""
CHOICES: dict[str, Mapping[Any, str]] = {
    "hand": {None: "not said", "left": "left", "right": "right"},
    "sheet.role": {
        "floor": "floor", "skin": "visible skin", "structural": "carries load: sill, pillar",
    },
    "sheet.back_access": {True: "a hand reaches it", False: "closed"},
    "sheet.coating": {"painted": "painted", "zinc": "zinc", "bare": "bare"},
    "patch.shape": {
        "follow": "follows the rust", "hull": "straight across hollows", "box": "box",
    },
    "patch.joint": {"butt": "butt, flush", "lap": "lap, on top", "plug": "lap with plug welds"},
    "patch.joggle.on": {
        None: "none: lapped flat on flat", "panel": "the panel's rim is set back",
        "patch": "the patch's rim is set back",
    },
    "weld.process": PROCESSES,
    "weld.fill": {"stitch": "stitches", "dots": "dots"},
    "surroundings.back": {
        None: "as the back above says", "open": "open", "closed": "a closed section",
        "covered": "covered",
    },
    "panel.edges": {
        None: "not said", "free": "free", "flanged": "flanged", "held": "welded to the body",
    },
    "patch.folds.toward": {
        None: "not said: a box to tick on the pattern", "face": "up, to you who look at the drawing",
        "back": "down, away from you",
    },
    "shop.skill": {"first": "first time", "practised": "practised", "trade": "by trade"},
    "shop.quote": {"estimate": "estimate", "fixed price": "fixed price"},
}  # fmt: skip
"""Field -> what each of its choices is called; a choice that isn't here is called by itself."""
_PARTS = "sheet|patch|weld|shop|panel|surroundings"
_FIELD = re.compile(rf"\b(?:{_PARTS})(?:\.[a-z][a-z_]*)+")


def title(field: str) -> str:
    """Return what a field is called, such as "Gap (butt)" for ``patch.gap``."""
    own = field.rpartition(".")[2].replace("_", " ")
    return TITLES.get(field, own[:1].upper() + own[1:])


def choice(field: str, value: Any) -> str:
    """Return what a value of a field is called, such as "follows the rust"."""
    return CHOICES.get(field, {}).get(value, str(value))


def in_words(text: str) -> str:
    """Return a text with the titles of the fields that it names, in quotes.

    Only fields that have a title are taken for one: "e.g. 1.5" stays as it is.
    """

    def said(found: re.Match) -> str:
        return f"“{TITLES[found[0]]}”" if found[0] in TITLES else found[0]

    return _FIELD.sub(said, text)
