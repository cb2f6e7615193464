"""The bench page for a phone: one file that opens from the phone's own memory, with no network.

It holds the map, the order and the plan's sheet, and reckons waits anew by itself
(`phone_heat`, `phone/*.js`).
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Sequence
from html import escape
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from ..base import amounts
from ..base.joined import joined
from ..base.tables import limit
from ..formulas.hours import STEPS
from ..geometry import welds
from ..repair.estimate import Estimate
from ..repair.place_cautions import off_or_shield, too_near_mm
from ..sequence.plan import SequencePlan
from ..views.heat_frames import stitch_marks, window
from ..views.order_listing import degree_unit
from ..views.place_words import hot_lines, place_lines
from ..views.shop_words import UNVALIDATED, own_lines
from ..workshop.book import LONGEST_TITLE
from ..workshop.log import COLDEST, COLUMNS, LIMITS
from .bench_page import heed, hung_table, rounds
from .lettering import clean
from .order_pages import waits_for
from .phone_heat import plan_data, sheet_data

FOLDER = Path(__file__).with_name("phone")
EACH = {"plug": "Plug", "dots": "Group", "stitch": "Stitch"}
"""Kind of weld -> what one of them is called."""
CLOCKED = ("tacking_h", "welding_h")
"""Steps whose hours the page has from its own clock."""
USED = {
    "wire_g": ("Wire or rod used", "filler"),
    "pressure_before_bar": ("Gauge before", "pressure"),
    "pressure_after_bar": ("Gauge after", "pressure"),
    "bottle_before_c": ("Bottle's warmth before", "temperature"),
    "bottle_after_c": ("Bottle's warmth after", "temperature"),
    "cutting_discs": ("Cutting discs worn", ""),
    "flap_discs": ("Flap discs worn", ""),
}
"""Column of the log -> how it is asked for, and its kind of amount."""
ON_MAP_MM = 120.0
"""A place further from every weld than this is told in words, not drawn."""
SIMPLER_MM = 0.2
NEAREST_MM = 1.0
"""Welds no further from a place than the nearest one by this are told of it too."""
ABOUT = (
    "The page marches the same heat flow through the sheet as the plan did, from the starts you "
    "mark: what you weld late waits less, a sheet that reads hotter waits longer.",
    "A reading shortens waits only so far, and a second one that agrees a little further. No wait "
    "here allows a start that your thermometer does not.",
    "Waits keep heat from building up. The weld still shrinks, and is planished out.",
)


def phone_page(
    result: Estimate, plan: SequencePlan, *, display: str = "mm", front: str | None = None
) -> str:
    """Return the page as one HTML text that loads nothing from elsewhere.

    Parameters
    ----------
    result, plan : with the plan's own moves and waits (`repair.plan.with_plan`)
    display : "mm" or "in"; inches go with deg F
    front : where the vehicle's front lies in the drawing; None: the page asks
    """
    title = _title(result) or "Untitled job"
    data = {
        "plan": plan_data(plan),
        "told": _told(result, plan, display) | {"title": title},
        "map": _map(result, plan, display) | {"front": front or ""},
        "log": _log(result, display),
    }
    text = json.dumps(data, allow_nan=False)
    key = f"sheetkit {hashlib.sha256(text.encode()).hexdigest()[:16]}"
    whole = json.dumps(data | {"sheet": sheet_data(plan), "key": key}, allow_nan=False)
    script = joined(FOLDER, "page.js", {}, given_in="page.js")
    style = (FOLDER / "page.css").read_text(encoding="utf-8")
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "script-src 'unsafe-inline'; style-src 'unsafe-inline'; base-uri 'none'; "
        "form-action 'none'\">"
        f"<title>{escape(title)}</title><style>{style}</style></head><body>"
        "<noscript><p>This page needs scripts, which are turned off here. Open the file with the "
        "phone's browser, or work from the printed pages.</p></noscript>"
        f'<script type="application/json" id="plan">{_in_script(whole)}</script>'
        f'<script type="module">{script}</script></body></html>\n'
    )


def _title(result: Estimate) -> str:
    return " ".join(clean(result.job.title).split())[:LONGEST_TITLE]


def _in_script(text: str) -> str:
    """Return JSON that can't end the script element it stands in."""
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _told(result: Estimate, plan: SequencePlan, display: str) -> dict[str, Any]:
    """Return the words of the page that hang on the job."""
    start = amounts.show(plan.interpass_limit_c, "temperature", units=display)
    off = [
        f"{off_or_shield(item.name)}: {item.name}".capitalize()
        for item, line in zip(
            result.job.panel.protect, place_lines(plan, display=display), strict=True
        )
        if not line.hot
    ]
    watch = limit("fire_watch")
    return {
        "degrees": degree_unit(display)[-1],
        "weld": EACH[result.welds[0].kind],
        "ask": f"Thermometer where it goes: start under {start}.",
        "hot": [clean(text) for text in (*hot_lines(plan, display=display), *off)],
        "first": f"Read what to heed, further down. {UNVALIDATED}",
        "settings": [
            [clean(str(name)), clean(str(value))]
            for name, value in hung_table(result, plan, display).rows
        ],
        "origin": "A first try on a coupon, never on the vehicle; ranges in brackets. Where each "
        "comes from stands at the end of the work sheet.",
        "heed": [clean(text) for text in heed(result, plan, display)],
        "about": [UNVALIDATED, *ABOUT, *own_lines(plan)],
        "watch": [watch.value, watch.high],
        "watched": f"Fire watch: somebody stays {watch.value:g} min after the last spark, better "
        f"{watch.high:g} min (the sources disagree).",
    }


def _map(result: Estimate, plan: SequencePlan, display: str) -> dict[str, Any]:
    """Return what the map shows: ground, places, and tacks and stitches in welding order."""
    places = [
        (Point(item.at) if item.at else LineString(item.line), clean(item.name))
        for item in result.job.panel.protect
    ]
    near = _near(result, plan, display, [shape for shape, _ in places])
    waits = waits_for(plan)
    turn_of_round = [n for n, one in enumerate(rounds(plan), 1) for _ in one]
    stitches = [
        {
            "name": str(turn),
            "patch": mark["patch"],
            "path": mark["path"],
            "at": mark["at"],
            "away": mark["away"],
            "dot": _is_dot(mark["path"]),
            "near": near(index, waits[turn - 1]),
        }
        for turn, (mark, index) in enumerate(zip(stitch_marks(plan), plan.order, strict=True), 1)
    ]
    tack_paths = welds.paths(result.tacks, result.runs)
    tacks = []
    for turn, (index, number) in enumerate(zip(plan.tack_order, turn_of_round, strict=True), 1):
        path, patch = tack_paths[index], result.tacks[index].patch
        at, away = welds.outward(path, result.patches[patch].outline)
        tacks.append(
            {
                "name": f"T{turn}",
                "round": number,
                "patch": patch + 1,
                "path": np.round(path, 1).tolist(),
                "at": np.round(at, 1).tolist(),
                "away": np.round(away, 3).tolist(),
                "dot": True,
                "near": near(index - len(plan.tack_order), ""),
            }
        )
    seam = shapely.union_all([LineString(run.path) for run in plan.model.stitches])
    drawn = [
        (number, shape)
        for number, (shape, _) in enumerate(places, 1)
        if shape.distance(seam) <= ON_MAP_MM
    ]
    spots = [(number, *nearest_points(shape, seam)[0].coords[0]) for number, shape in drawn]
    box = list(window(plan))
    for _, x, y in spots:
        box = [min(box[0], x - 10), min(box[1], y - 10), max(box[2], x + 10), max(box[3], y + 10)]
    return {
        "box": [round(mm, 1) for mm in box],
        "patches": len(result.patches),
        "middles": [
            np.round(patch.outline.representative_point().coords[0], 1).tolist()
            for patch in result.patches
            if len(result.patches) > 1
        ],
        "ground": list(_ground(result, [shape for _, shape in drawn])),
        "places": [{"name": f"P{n}", "at": [round(x, 1), round(y, 1)]} for n, x, y in spots],
        "stitches": stitches,
        "tacks": tacks,
    }


def _is_dot(path: Sequence[Sequence[float]]) -> bool:
    return bool(np.ptp(np.asarray(path), axis=0).max() < 1e-6)


def _ground(result: Estimate, places: Sequence[BaseGeometry]) -> Iterator[dict[str, Any]]:
    """Yield what lies under the welds, as lines and rings of points in mm."""
    panel = result.job.panel
    shapes: list[tuple[str, BaseGeometry]] = []
    if panel.outline is not None:
        shapes.append(("panel", panel.outline.polygon.exterior))
    shapes += [("hole", ring.polygon.exterior) for ring in panel.holes]
    for patch in result.patches:
        shapes += [("cut", patch.cut_line.exterior), ("patch", patch.outline.exterior)]
        shapes += [("fold", across) for _, across in patch.drawn_bends]
    shapes += [("mounting", Point(one.at).buffer(one.ring).exterior) for one in panel.mountings] + [
        ("place", shape.buffer(4).exterior if shape.geom_type == "Point" else shape)
        for shape in places
    ]
    for kind, shape in shapes:
        for part in getattr(shape, "geoms", [shape]):
            if part.geom_type in ("LineString", "LinearRing") and not part.is_empty:
                points = shapely.get_coordinates(part.simplify(SIMPLER_MM))
                yield {"kind": kind, "path": points.round(1).tolist(), "closed": part.is_ring}


def _near(result: Estimate, plan: SequencePlan, display: str, shapes: Sequence[BaseGeometry]):
    """Return a function: what to heed at a weld, stitches from 0, tacks counted back from -1."""
    job, tacks = result.job, len(plan.tack_order)
    lines = [LineString(run.path) for run in plan.model.welds]
    close = []
    for item, shape in zip(job.panel.protect, shapes, strict=True):
        away = shapely.distance(np.array(lines, object), shape)
        _, least = too_near_mm(job, result.values, item.limit)
        close.append(away <= max(least, float(away.min()) + NEAREST_MM))
    told = place_lines(plan, display=display)

    def words(index: int, waits: str) -> list[str]:
        found = []
        for n, item in enumerate(job.panel.protect):
            own = f"P{n + 1}" in waits.split(" or ")
            if not (own or close[n][tacks + index]):
                continue
            at = amounts.show(item.limit, "temperature", units=display)
            hot = f"TOO HOT by the reckoning ({told[n].short}). " if told[n].hot else ""
            wait = "This turn waits for it. " if own else ""
            found.append(
                clean(
                    f"P{n + 1} near: {item.name or 'the place that must stay cool'}. {hot}"
                    f"{off_or_shield(item.name).capitalize()}. {wait}Keep it under {at}: hold the "
                    "thermometer there too, before and after."
                )
            )
        return found

    return words


def _log(result: Estimate, display: str) -> dict[str, Any]:
    """Return what is asked for the job book's log, with its limits in the units shown."""
    title = _title(result)
    name = re.sub(r"[^A-Za-z0-9]+", "_", title).strip("_")[:40] or "job"
    fields = []
    for column, (most, unit) in LIMITS.items():
        label, kind = USED.get(column, (STEPS.get(column, "").capitalize(), ""))
        factor, offset = 1.0, 0.0
        if kind:
            offset, unit, _ = amounts.converted(0.0, kind, units=display)
            factor = amounts.converted(1.0, kind, units=display)[0] - offset
        group = "used" if column in USED else "clock" if column in CLOCKED else "hours"
        fields.append(
            {
                "name": column,
                "label": label,
                "group": group,
                "unit": unit,
                "factor": factor,
                "offset": offset,
                "least": COLDEST.get(column, 0.0),
                "most": most,
            }
        )
    return {"columns": list(COLUMNS), "fields": fields, "job": title, "file": f"phone_{name}.csv"}
