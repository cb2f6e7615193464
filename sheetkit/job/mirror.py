"""The same repair on the other side of the vehicle: a job mirrored left to right."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from typing import Any

import shapely

from ..base import units
from .job import Job

Put = Callable[[Any], Any]
_OTHER = {
    "left": "right", "right": "left", "lh": "rh", "rh": "lh",
    "nearside": "offside", "offside": "nearside",
}  # fmt: skip
_SIDES = re.compile(
    rf"(?<!\bis )(?<!\bare )(?<!'s )\b(?:{'|'.join(_OTHER)})\b(?![\s-]+(?:over|after|by|from|angle))",
    re.IGNORECASE,
)
"""Words of a side: not what is left over, nor a right angle."""
_HANDS = {"left": "left", "lh": "left", "right": "right", "rh": "right"}


def other_side(text: str) -> str:
    """Return a name with left and right (lh and rh, nearside and offside) exchanged."""

    def turned(found: re.Match) -> str:
        word, other = found[0], _OTHER[found[0].lower()]
        return other.upper() if word.isupper() else other.title() if word.istitle() else other

    return _SIDES.sub(turned, text)


def hand_of(job: Job) -> str | None:
    """Return which side of the vehicle a job is for: its `hand`, or what its title alone says."""
    if job.hand is not None:
        return job.hand
    said = {_HANDS[w] for w in map(str.lower, _SIDES.findall(job.title)) if w in _HANDS}
    return said.pop() if len(said) == 1 else None


def mirrored(job: Job) -> Job:
    """Return the job of the other side: the drawing mirrored left to right, about its own middle.

    The face stays the face, so bends keep their sense: a flange that is turned in on the left is
    turned in on the right.  A profile keeps its points and runs the other way across the drawing.
    Names of places and the title have left and right exchanged, and so has `hand`; what is welded
    with, and for how much, stays.
    """
    data = job.data
    scale = units.length_unit_mm(job.drawn_in)
    shapes = [rust.ring.polygon for rust in job.rust]
    if job.panel.outline is not None:
        shapes = [job.panel.outline.polygon]
    left, _, right, _ = shapely.total_bounds(shapes).tolist()
    about = (left + right) / scale

    def number(value: Any) -> float:
        if isinstance(value, (int, float)):
            return value
        return units.parse(value, "length", field="", bare=job.drawn_in) / scale

    def point(xy: Any) -> list:
        # to a thousandth of a micrometre: a sum of decimals is not always one
        return [round(about - number(xy[0]), 9), xy[1]]

    for holder, key, many in _drawn(data):
        holder[key] = [point(xy) for xy in holder[key]] if many else point(holder[key])
    panel = data.get("panel", {})
    if job.panel.profile is not None:
        turn = math.radians(job.panel.profile.run)
        start = job.panel.profile.start / scale - about * math.cos(turn)
        panel["profile"]["start"] = round(start, 9) + 0.0  # no -0
        _turn(panel["profile"], job.panel.profile.run)
    for given, crown in zip(panel.get("crowns", ()), job.panel.crowns, strict=True):
        _turn(given, crown.run)
    for named in (*panel.get("mountings", ()), *panel.get("protect", ()), data):
        for key in ("name", "title", "notes"):
            if isinstance(named.get(key), str):
                named[key] = other_side(named[key])
    hand = hand_of(job)
    if hand is not None:
        data["hand"] = _OTHER[hand]
    return Job.from_data(data)


def _turn(given: dict, run: float) -> None:
    """Write a direction of the drawing as it lies mirrored, degrees; one up or down stays."""
    turned = (180 - run) % 360
    if turned != run % 360:
        given["run"] = turned - 360 if turned > 180 else turned


def _drawn(data: dict) -> Iterator[tuple[Any, Any, bool]]:
    """Yield (holder, key, whether it is a list of points) of everything drawn in a job's data."""
    panel, patch = data.get("panel", {}), data.get("patch", {})
    if "outline" in panel:
        yield panel, "outline", True
    holes = panel.get("holes", [])
    yield from ((holes, index, True) for index in range(len(holes)))
    for rust in data["rust"]:
        yield rust, "ring", True
    parts = {
        "line": (
            *panel.get("protect", ()),
            *panel.get("stiff", ()),
            *panel.get("swages", ()),
            *patch.get("folds", ()),
        ),
        "edge": patch.get("lips", ()),
        "at": (*panel.get("mountings", ()), *panel.get("protect", ())),
    }
    for key, holders in parts.items():
        for holder in holders:
            if holder.get(key) is not None:
                yield holder, key, key != "at"
