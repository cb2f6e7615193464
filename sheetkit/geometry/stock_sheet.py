"""Blanks on stock sheet: where each goes, with kerf and margin, and what is left over.

Every blank is placed by its smallest rectangle, since sheet is cut straight
across and the patch out of its blank.  Lengths in mm, areas in mm².
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from ..base.errors import Fault, OutOfRange, check
from ..base.showing import Shown, counted

TRIES = 3000
"""Orders tried; the best is kept.  The tries are the same every time."""
ENOUGH = 1.03
"""Stop looking once the stock used is this near its bound."""
_STEADY = 1e-9


@dataclass(frozen=True)
class Placed:
    """One blank in its place: which blank, on which sheet, its rectangle and the shape in it."""

    blank: int
    sheet: int
    rectangle: tuple[float, float, float, float]
    shape: Polygon


@dataclass(frozen=True, repr=False)
class Placement(Shown):
    """Blanks on sheets.  `used_mm2` is the rectangle off each sheet's corner that holds them."""

    sheets: tuple[tuple[float, float], ...]
    placed: tuple[Placed, ...]
    unplaced: tuple[Fault, ...]
    kerf_mm: float
    margin_mm: float

    def __repr__(self) -> str:
        sizes = ", ".join(f"{width:g} × {height:g} mm" for width, height in self.sheets[:6])
        return (
            f"<{counted(len(self.placed), 'blank')} on {counted(len(self.sheets), 'sheet')} "
            f"({sizes}), {len(self.unplaced)} that fit none>"
        )

    @property
    def bound_mm2(self) -> float:
        """The area of the blanks' rectangles with the kerf each needs."""
        k = self.kerf_mm
        return sum((r - l + k) * (t - b + k) for l, b, r, t in (p.rectangle for p in self.placed))  # noqa: E741

    @property
    def used_mm2(self) -> float:
        """Area of the sheets used, mm²."""
        return sum(width * height for width, height in self.used_mm)

    @property
    def used_mm(self) -> tuple[tuple[float, float], ...]:
        """What is cut off each sheet's corner, (width, height), with the margin to its edges."""
        result = []
        for number in range(len(self.sheets)):
            boxes = np.array([p.rectangle for p in self.placed if p.sheet == number])
            result.append((float(boxes[:, 2].max()), float(boxes[:, 3].max())))
        return tuple(result)

    @property
    def left_over_mm(self) -> tuple[tuple[float, float], ...]:
        """The larger straight-cut rest of each sheet, (width, height)."""
        rests = []
        for (width, height), (w, h) in zip(self.sheets, self.used_mm, strict=True):
            beside = (max(width - w - self.kerf_mm, 0.0), height)
            above = (width, max(height - h - self.kerf_mm, 0.0))
            rests.append(max(beside, above, key=lambda r: r[0] * r[1]))
        return tuple(rests)


def levelled(shape: Polygon) -> Polygon:
    """Return a blank turned so that its smallest rectangle lies square, its corner at (0, 0)."""
    box = shape.minimum_rotated_rectangle
    if box.geom_type != "Polygon":
        raise OutOfRange(Fault("blank", box.geom_type, "must have an area", "draw it again"))
    corners = np.asarray(box.exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    along = sides[np.hypot(*sides.T).argmax()]
    along = along / np.hypot(*along)
    turn = np.array([[along[0], along[1]], [-along[1], along[0]]])
    level = shapely.transform(shape, lambda xy: xy @ turn.T)
    left, bottom, _, _ = level.bounds
    return shapely.transform(level, lambda xy: xy - [left, bottom])


class _Skyline:
    """The upper edge of what is placed: runs of (x, y, width) from left to right."""

    def __init__(self, width: float, height: float):
        self.width, self.height = width, height
        self.runs = [(0.0, 0.0, width)]

    def place(self, sizes: Sequence[tuple[float, float]]) -> tuple[int, float, float] | None:
        """Put the better of two sizes as low as it goes; return (size's number, x, y)."""
        best = None
        for number, (w, h) in enumerate(sizes):
            for start, (x, _, _) in enumerate(self.runs):
                if x + w > self.width + _STEADY:
                    break
                y, waste, end = self._rest(start, x, w)
                if y + h <= self.height + _STEADY:
                    score = (y + h, waste, x)
                    if best is None or score < best[0]:
                        best = score, number, x, y, start, end
        if best is None:
            return None
        _, number, x, y, start, end = best
        self._cover(start, end, x, y + sizes[number][1], sizes[number][0])
        return number, x, y

    def _rest(self, start: int, x: float, w: float) -> tuple[float, float, int]:
        """Return the height a piece w wide rests at, the area lost under it, the last run's end."""
        y, end = 0.0, start
        while end < len(self.runs) and self.runs[end][0] < x + w - _STEADY:
            y = max(y, self.runs[end][1])
            end += 1
        waste = sum(
            (y - below) * (min(at + width, x + w) - at) for at, below, width in self.runs[start:end]
        )
        return y, waste, end

    def _cover(self, start: int, end: int, x: float, top: float, w: float) -> None:
        at, below, width = self.runs[end - 1]
        new = [(x, top, w)]
        rest = at + width - (x + w)
        if rest > _STEADY:
            new.append((x + w, below, rest))
        self.runs[start:end] = new


def _fill(order, sizes, sheet, widths):
    """Place sizes in an order; return [(number, sheet, x, y, turned)] and each sheet's reach."""
    found, lines = [], []
    for number in order:
        w, h = sizes[number]
        for index in range(len(lines) + 1):
            if index == len(lines):
                lines.append(_Skyline(widths, sheet[1]))
            spot = lines[index].place(((w, h), (h, w)))
            if spot is not None:
                found.append((number, index, spot[1], spot[2], bool(spot[0])))
                break
            if not lines[index].runs[1:] and lines[index].runs[0][1] == 0.0:
                return None
    return found


def _area(found, sizes) -> tuple[int, float]:
    reach: dict[int, list[float]] = {}
    for number, index, x, y, turned in found:
        w, h = sizes[number][::-1] if turned else sizes[number]
        wide = reach.setdefault(index, [0.0, 0.0])
        wide[0], wide[1] = max(wide[0], x + w), max(wide[1], y + h)
    return len(reach), sum(w * h for w, h in reach.values())


def place(
    blanks: Sequence[Polygon],
    *,
    sheet_mm: tuple[float, float] = (1000.0, 500.0),
    kerf_mm: float = 2.0,
    margin_mm: float = 5.0,
    tries: int = TRIES,
) -> Placement:
    """Place blanks on as few stock sheets as found, then on the smallest piece of them.

    Parameters
    ----------
    blanks : sequence of Polygon
        Flat, mm; turned as is best.
    sheet_mm : (width, height)
        The stock sheet, 10 to 10,000 mm a side.
    kerf_mm : float
        Left between blanks for the cut, 0 to 20 mm.
    margin_mm : float
        Kept off the sheet's edges, 0 to 200 mm.
    tries : int
        Orders tried for ten blanks, at least 1; fewer for more blanks.

    Returns
    -------
    Placement
        A blank larger than the sheet is in `unplaced`, named.

    Notes
    -----
    Skyline, lowest place first, over seeded orders and strip widths.
    """
    check("kerf", kerf_mm, 0, 20, "mm")
    check("margin", margin_mm, 0, 200, "mm")
    for side in sheet_mm:
        check("sheet", side, 10, 10_000, "mm")
    level = [levelled(blank) for blank in blanks]
    room = tuple(side - 2 * margin_mm + kerf_mm for side in sheet_mm)
    sizes = {i: (s.bounds[2] + kerf_mm, s.bounds[3] + kerf_mm) for i, s in enumerate(level)}
    fits = [
        i
        for i, (w, h) in sizes.items()
        if (w <= room[0] + _STEADY and h <= room[1] + _STEADY)
        or (h <= room[0] + _STEADY and w <= room[1] + _STEADY)
    ]
    unplaced = tuple(
        Fault(
            f"blank {i + 1}",
            f"{level[i].bounds[2]:.0f} × {level[i].bounds[3]:.0f} mm",
            f"must fit a sheet of {sheet_mm[0]:.0f} × {sheet_mm[1]:.0f} mm",
            "take a larger sheet, or make the patch in two pieces",
        )
        for i in sizes
        if i not in fits
    )
    found = _best(fits, sizes, room, tries) if fits else []
    placed = []
    for number, index, x, y, turned in sorted(found):
        shape = level[number]
        if turned:
            height = shape.bounds[3]
            shape = shapely.transform(
                shape, lambda xy, h=height: np.column_stack([h - xy[:, 1], xy[:, 0]])
            )
        x, y = x + margin_mm, y + margin_mm
        shape = shapely.transform(shape, lambda xy, at=(x, y): xy + at)
        _, _, right, top = shape.bounds
        placed.append(Placed(number, index, (x, y, right, top), shape))
    count = 1 + max((p.sheet for p in placed), default=-1)
    return Placement(
        ((float(sheet_mm[0]), float(sheet_mm[1])),) * count,
        tuple(placed),
        unplaced,
        kerf_mm,
        margin_mm,
    )


def _best(fits, sizes, room, tries):
    """Search orders and strip widths by annealing, seeded."""
    bound = sum(sizes[i][0] * sizes[i][1] for i in fits)
    random = np.random.default_rng(1)
    starts = (
        sorted(fits, key=lambda i: -max(sizes[i])),
        sorted(fits, key=lambda i: -sizes[i][0] * sizes[i][1]),
        sorted(fits, key=lambda i: -min(sizes[i])),
    )
    tries = max(1, tries * 10 // max(len(fits), 10))
    best = now = None
    for attempt in range(tries):
        order, width = list(starts[attempt % 3]), room[0]
        if attempt >= 3:
            order, width = list(now[2]), now[3]
            dice = random.random()
            if dice < 0.4:
                # a narrower strip leaves a straight rest beside it
                near = (0.96, 1.04) if dice < 0.25 else (0.5, 2.5)
                width = min((width if dice < 0.25 else bound**0.5) * random.uniform(*near), room[0])
            for _ in range(int(random.integers(0, 3))):
                i, j = random.integers(0, len(order), 2)
                order.insert(int(j), order.pop(int(i)))
        found = _fill(order, sizes, room, width)
        if found is None:
            continue
        count, area = _area(found, sizes)
        new = (count, area), found, order, width
        if best is None or new[0] < best[0]:
            best = new
            if count == 1 and area <= ENOUGH * bound:
                break
        warmth = 0.02 * (1 - attempt / tries) * bound
        if (
            now is None
            or count < now[0][0]
            or (
                count == now[0][0]
                and area - now[0][1] < -warmth * np.log(1 - random.random() + 1e-12)
            )
        ):
            now = new
    return best[1]
