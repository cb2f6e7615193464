"""How a blank is bent: a side view with its legs' outside lengths, and what each bend is."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from ..base import amounts
from ..geometry.fold import Bend, SideView, bending_order
from .page import Box, Letters, Page, Pen
from .pattern import Pattern

SHEET, UNSAID = Pen(1.0), Pen(1.0, (2.0, 1.2))
_PLAIN_SHARE = 0.001
"""A lip whose edge is stretched or shrunk less than this is a plain bend."""
WORDS = {
    "face": ("UP", "toward you"),
    "back": ("DOWN", "away from you"),
    None: ("☐ UP ☐ DOWN", "the job doesn't say: tick it before you bend"),
}
"""Toward which face -> what is said where that face is up."""


def turn_words(bend: Bend) -> tuple[str, str]:
    """Return UP or DOWN as the pattern lies, and that in other words.

    A mirrored pattern's bends are told toward the other face already (`Pattern.turned`).
    """
    return WORDS[bend.toward]


def bending_lines(piece: Pattern, display: str) -> Iterator[str]:
    """Yield what the one who bends has to know, a line each."""
    bends = {bend.number: bend for bend in piece.bends}
    yield from _lip_lines(piece, bends, display)
    order = [n for n in bending_order(piece.folding.views) if n in bends]
    if order:
        yield from _fold_lines(piece, [bends[number] for number in order], display)
    if bends:
        yield "Try radius and angle on an offcut of the same sheet first: it springs back."
    if piece.folding.round_it:
        yield _round_bends(piece, display)


def _lip_lines(piece: Pattern, bends: dict[int, Bend], display: str) -> Iterator[str]:
    """Yield how each lip is turned, first of all: a lip on a folded piece is out of reach."""
    for lip, height in piece.folding.lips:
        bend = bends[lip.bend.number]
        way, more = turn_words(bend)
        strain = f"its free edge stretches {lip.stretch:.1%}"
        if lip.shrink > lip.stretch:
            strain = f"its free edge shrinks {lip.shrink:.1%}"
        if max(lip.stretch, lip.shrink) < _PLAIN_SHARE:
            strain = "its edge is straight: it is only bent"
        cuts = f"; {lip.reliefs} relief cuts into it" if lip.reliefs else ""
        yield (
            f"Lip at bend {bend.number}, first (common practice): {way} {bend.angle_deg:.0f}° from flat "
            f"({more}), inside radius {_thin(bend.radius_mm, display)}, {_leg(height, display)} high "
            f"outside; {strain} (derived){cuts}. In several rounds, over a form of the edge's shape."
        )


def _fold_lines(piece: Pattern, bends: list[Bend], display: str) -> Iterator[str]:
    """Yield order, turns and what is measured of bends in the order they are made."""
    first = "shortest flange first (common practice)"
    if len(bends) > 1:
        yield f"Bend in this order: {', '.join(str(b.number) for b in bends)}; {first}."
    for bend in bends:
        way, more = turn_words(bend)
        inside = _thin(bend.radius_mm, display)
        less = _thin(-piece.folding.deductions[bend.number], display)
        yield (
            f"Bend {bend.number}: {way} {bend.angle_deg:.0f}° from flat ({more}), inside radius "
            f"{inside}; the blank is {less} shorter for it."
        )
    for view in piece.folding.views:
        legs = ", ".join(_leg(length, display) for length in view.legs_mm)
        yield f"Check with a square after each bend, outside to outside at the widest: {legs}."


def _round_bends(piece: Pattern, display: str) -> str:
    """Say how far the panel's own face differs from the unrolled pattern round each bend."""
    side = "back" if piece.mirrored else "face"
    longer = "; ".join(
        f"bend {number}: {_thin(abs(more[piece.mirrored]), display)} "
        f"{'longer' if more[piece.mirrored] > 0 else 'shorter'}"
        for number, more in sorted(piece.folding.round_it.items())
    )
    return (
        f"The pattern is the unrolled sheet. Round a bend the panel's {side} isn't as long: "
        f"{longer}. Lay it anew by each bend line when you mark the cut."
    )


def _leg(length_mm: float, display: str) -> str:
    return amounts.show(length_mm, "length", units=display, digits=2 if display == "in" else 1)


def _thin(value: float, display: str) -> str:
    return amounts.show(value, "thickness", units=display, digits=3 if display == "in" else 1)


def draw_profile(page: Page, box: Box, piece: Pattern, view: SideView, display: str) -> None:
    """Draw one side view into a box of the page, its longest leg level, the sheet's upper face up.

    Legs are drawn shortened, not to scale; their lengths stand beside them.
    """
    left, bottom, right, top = box
    bends = {bend.number: bend for bend in piece.bends}
    paths, corners = _walked(view, bends)
    points = np.vstack(list(paths.values()))
    low, high = points.min(axis=0), points.max(axis=0)
    room = np.array([right - left - 26, top - bottom - 14])
    scale = float(min(room / np.maximum(high - low, 1e-6)))
    middle = np.array([(left + right) / 2, (bottom + top) / 2])
    inside = shapely.box(left + 0.5, bottom + 0.5, right - 0.5, top)

    def lay(xy: np.ndarray) -> np.ndarray:
        return (xy - (low + high) / 2) * scale + middle

    for leg, path in paths.items():
        unsaid = _beyond_unsaid(view, bends, leg)
        line = shapely.LineString(lay(path))
        page.draw(line, UNSAID if unsaid else SHEET)
        page.obstacles.append(line.buffer(1.0))
    for leg, path in paths.items():
        start, end = lay(path)
        along = (end - start) / max(float(np.hypot(*(end - start))), 1e-9)
        words = _leg(view.legs_mm[leg], display)
        spots = _round((start + end) / 2, along, (4, 6, 9, 13))
        page.label(words, spots, Letters(8.5, 7), within=inside)
    for number, at in corners.items():
        bend = bends[number]
        words = f"{number}: {turn_words(bend)[0]} {bend.angle_deg:.0f}°"
        page.label(
            words,
            _round(lay(at), np.array([1.0, 0.0]), (5, 8, 11, 15, 20)),
            Letters(9, 7, bold=True),
            within=inside,
        )


def _walked(
    view: SideView, bends: dict[int, Bend]
) -> tuple[dict[int, np.ndarray], dict[int, np.ndarray]]:
    """Return each leg's ends, and where each bend is: the legs walked out from the longest."""
    drawn = [8 + 32 * length / max(view.legs_mm) for length in view.legs_mm]
    base = int(np.argmax(view.legs_mm))
    paths = {base: np.array([[0.0, 0.0], [drawn[base], 0.0]])}
    corners: dict[int, np.ndarray] = {}
    for step in (1, -1):
        at, way = paths[base][1 if step == 1 else 0], 0.0 if step == 1 else np.pi
        leg = base
        while 0 <= leg + step < len(drawn):
            number = view.numbers[leg if step == 1 else leg - 1]
            leg += step
            bend = bends.get(number)
            turn = np.radians(bend.angle_deg) if bend else 0.0
            way += step * (-turn if bend and bend.toward == "back" else turn)
            if bend:
                corners[number] = at
            end = at + drawn[leg] * np.array([np.cos(way), np.sin(way)])
            paths[leg] = np.array([at, end])
            at = end
    return paths, corners


def _beyond_unsaid(view: SideView, bends: dict[int, Bend], leg: int) -> bool:
    """Say whether a leg lies beyond a bend of which nobody said where it goes."""
    base = int(np.argmax(view.legs_mm))
    between = view.numbers[min(base, leg) : max(base, leg)]
    return any(n in bends and bends[n].toward is None for n in between)


def _round(
    middle: np.ndarray, along: np.ndarray, reaches: tuple[int, ...]
) -> list[tuple[float, float]]:
    """Return spots about a point, first square to a direction, then to the sides of it."""
    up = np.array([-along[1], along[0]])
    ways = (up, -up, along, -along, up + along, up - along, along - up, -up - along)
    return [
        (float(x), float(y)) for reach in reaches for way in ways
        for x, y in [middle + way * reach * np.array([1.8, 1.0])]
    ]  # fmt: skip
