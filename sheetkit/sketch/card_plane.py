"""Marks of measuring cards in a photo -> the plane they lie on, with the lens's bending taken out.

A straight line of the panel bends in a photo the further it runs from the middle.  Here
a point at r times the half diagonal from the middle is shown at r (1 + k r^2), with one k
for the whole picture; the photo must not be cropped.  Pixels as in `rectify`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when they are used: a pad that opens needs none

from ..base.errors import Fault
from .lens import bent, straight, unit
from .measuring_card import SQUARE_MM, Card, Mark, card_of
from .rectify import PhotoRefused, apply, homography

LENS_SPREAD = 0.05
"""Standard deviation of k over cameras: 5 % at the picture's corner (guess)."""
LEAST_SPREAD_PX = 0.1
"""Standard error of a mark's corner at the best, px (guess)."""
MOST_APART = 0.005
"""Cards whose scales differ by more than this are named: half a per cent of a metre is 5 mm."""
NEAR_MM = 300.0
"""How far from a card the error is told as that of the rust beside it."""
SQUARE_RANGE_MM = (80.0, 120.0)
USUAL_SPREAD_PX = 0.5
"""Corners that miss their places by more: a mark was seen wrong, or a card isn't flat (guess)."""


@dataclass(frozen=True)
class Plane:
    """The cards' plane in one photo; `error` near a card and `far_error` at worst, relative."""

    to_mm: tuple[tuple[float, ...], ...]
    lens: float
    size_px: tuple[int, int]
    error: float
    far_error: float
    cards: tuple[Card, ...]
    reach: tuple[float, float, float, float]
    note: str = ""

    def straight(self, points_px: np.ndarray) -> np.ndarray:
        """Return points of the photo as a lens without bending would show them, px."""
        return straight(points_px, self.lens, self.size_px)

    def bent(self, points_px: np.ndarray) -> np.ndarray:
        """Return what `straight` came from."""
        return bent(points_px, self.lens, self.size_px)


def plane(
    marks: Sequence[Mark], size_px: tuple[int, int], *, square_mm: float = SQUARE_MM
) -> Plane:
    """Return the plane of the cards whose marks were seen.

    Parameters
    ----------
    marks : sequence of Mark
        Of one card or several that lie on one flat panel.
    size_px : (width, height)
        Of the whole, uncropped picture.
    square_mm : float
        What the cards' square of 100 mm measures as printed, 80 to 120 mm.

    Raises
    ------
    PhotoRefused
        No marks, one card twice, cards that differ by more than `MOST_APART`, or a square
        out of range.
    """
    if not SQUARE_RANGE_MM[0] <= square_mm <= SQUARE_RANGE_MM[1]:
        raise _refused(
            "square", f"{square_mm:g} mm",
            f"must be {SQUARE_RANGE_MM[0]:g} to {SQUARE_RANGE_MM[1]:g} mm",
            "measure the square printed on the card",
        )  # fmt: skip
    by_card: dict[Card, list[Mark]] = {}
    for mark in marks:
        card = card_of(mark.number)
        if card:
            by_card.setdefault(card, []).append(mark)
    if not by_card:
        raise _refused(
            "card", "none seen", "must show at least one of its marks whole",
            "lay a printed card flat beside the rust, and photograph it sharp and without glare",
        )  # fmt: skip
    for card, its in by_card.items():
        if len({mark.number for mark in its}) < len(its):
            raise _refused(
                card.name, "seen twice", "must lie in the picture once",
                f"print cards of other numbers, up to {len(by_card) + 3}",
            )  # fmt: skip
    scale = square_mm / SQUARE_MM
    views = [_View.of(card, its, scale) for card, its in by_card.items()]
    views.sort(key=lambda view: -len(view.numbers))
    views = _trusted(views, size_px)
    _check_sizes(views, _fitted(views, size_px, free_sizes=True))
    fit = _fitted(views, size_px, free_sizes=False)
    return _as_plane(views, fit, size_px)


def _refused(field: str, value: str, limit: str, remedy: str) -> PhotoRefused:
    return PhotoRefused(Fault(f"photo {field}", value, limit, remedy))


@dataclass(frozen=True)
class _View:
    """One card's corners: on the card, mm from its middle, and in the photo, px."""

    card: Card
    numbers: tuple[int, ...]
    on_card: np.ndarray
    in_photo: np.ndarray

    @classmethod
    def of(cls, card: Card, marks: Sequence[Mark], scale: float) -> _View:
        places = card.marks()
        on_card = scale * np.concatenate([places[mark.number] for mark in marks])
        return cls(
            card,
            tuple(mark.number for mark in marks),
            on_card,
            np.concatenate([np.array(mark.corners, float) for mark in marks]),
        )

    def without(self, odd: int) -> _View:
        keep = [number != odd for number in self.numbers]
        corners = np.repeat(keep, 4)
        numbers = tuple(number for number in self.numbers if number != odd)
        return _View(self.card, numbers, self.on_card[corners], self.in_photo[corners])


@dataclass(frozen=True)
class _Fit:
    """Found parameters, their covariance, and how far corners miss their places, px."""

    values: np.ndarray
    covariance: np.ndarray
    spread_px: float

    def size_of(self, card: int) -> tuple[float, float]:
        """Return a card's size beside the first's, and its standard error."""
        at = _PLANE + 4 * (card - 1) + 3
        return float(np.exp(self.values[at])), float(np.sqrt(self.covariance[at, at]))


UNIT_MM = 100.0
_PLANE = 9
"""Eight of the plane's, one of the lens; then x, y, turn and size of each further card."""


def _placed(values: np.ndarray, views: Sequence[_View]) -> list[np.ndarray]:
    """Return each card's corners in the plane of the first, in `UNIT_MM`."""
    placed = [views[0].on_card / UNIT_MM]
    for n, view in enumerate(views[1:]):
        x, y, turn, size = values[_PLANE + 4 * n : _PLANE + 4 * n + 4]
        cos, sin = np.exp(size) * np.cos(turn), np.exp(size) * np.sin(turn)
        placed.append(view.on_card / UNIT_MM @ np.array([[cos, sin], [-sin, cos]]) + (x, y))
    return placed


def _shown(values: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Return points of the plane in units of the half diagonal from the photo's middle."""
    matrix = np.append(values[:8], 1.0).reshape(3, 3)
    at = apply(matrix, points)
    return at * (1 + values[8] * (at**2).sum(axis=1, keepdims=True))


def _fitted(views: Sequence[_View], size_px: Sequence[int], *, free_sizes: bool) -> _Fit:
    """Fit plane, lens and cards to all corners, in squares of their misses."""
    _, middle, half = unit(np.zeros(2), size_px)
    seen = np.concatenate([(view.in_photo - middle) / half for view in views])
    held = 0.05 if free_sizes else 1e-4

    def off(values: np.ndarray) -> np.ndarray:
        return (_shown(values, np.concatenate(_placed(values, views))) - seen) * half

    def misses(values: np.ndarray, spread: float) -> np.ndarray:
        sizes = values[_PLANE + 3 :: 4] / held
        return np.concatenate([off(values).ravel() / spread, [values[8] / LENS_SPREAD], sizes])

    values, spread = _start(views, middle, half), 0.5
    for _ in range(2):
        found = scipy.optimize.least_squares(misses, values, method="lm", args=(spread,))
        values = found.x
        free = max(seen.size - len(values), 1)
        spread = max(float(np.sqrt((off(values) ** 2).sum() / free)), LEAST_SPREAD_PX)
    return _Fit(values, np.linalg.pinv(found.jac.T @ found.jac), spread)


def _trusted(views: list[_View], size_px: Sequence[int]) -> list[_View]:
    """Return the views without marks that were seen wrong: those the others fit far better without."""
    while (fit := _fitted(views, size_px, free_sizes=True)).spread_px > USUAL_SPREAD_PX:
        numbers = [number for view in views for number in view.numbers if len(view.numbers) > 1]
        if sum(len(view.numbers) for view in views) < 4 or not numbers:
            break
        tried = [[view.without(number) for view in views] for number in numbers]
        fits = [_fitted(one, size_px, free_sizes=True).spread_px for one in tried]
        best = int(np.argmin(fits))
        if fits[best] > fit.spread_px / 3:
            break
        views = tried[best]
    return views


def _start(views: Sequence[_View], middle: np.ndarray, half: float) -> np.ndarray:
    """Return a first guess: the plane by the first card's outermost corners, the others laid on."""
    first = views[0]
    corners = _outermost(first.on_card)
    to_photo = homography(
        first.on_card[corners] / UNIT_MM, (first.in_photo[corners] - middle) / half
    )
    values = [*to_photo.ravel()[:8], 0.0]
    back = np.linalg.inv(to_photo)
    for view in views[1:]:
        lies = apply(back, (view.in_photo - middle) / half)
        mean, own = lies.mean(axis=0), view.on_card / UNIT_MM
        there, here = lies - mean, own - own.mean(axis=0)
        cross = (here[:, 0] * there[:, 1] - here[:, 1] * there[:, 0]).sum()
        turn = float(np.arctan2(cross, (here * there).sum()))
        cos, sin = np.cos(turn), np.sin(turn)
        values += [*(mean - own.mean(axis=0) @ np.array([[cos, sin], [-sin, cos]])), turn, 0.0]
    return np.array(values)


def _outermost(points: np.ndarray) -> list[int]:
    """Return the indices of the lower left, lower right, upper right and upper left point."""
    ways = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return [int((points @ np.array(way)).argmax()) for way in ways]


def _check_sizes(views: Sequence[_View], fit: _Fit) -> None:
    """Refuse cards that tell different scales, by name."""
    faults = []
    for n, view in enumerate(views[1:], 1):
        size, error = fit.size_of(n)
        if abs(size - 1) > max(MOST_APART, 3 * error):
            faults.append(
                Fault(
                    f"photo {view.card.name}",
                    f"{100 * (1 / size - 1):+.1f} % in scale beside {views[0].card.name}",
                    f"must agree within {100 * MOST_APART:g} %",
                    "lay all cards flat on the same sheet, printed alike; cover the one that isn't",
                )
            )
    if faults:
        raise PhotoRefused(faults)


def _as_plane(views: Sequence[_View], fit: _Fit, size_px: tuple[int, int]) -> Plane:
    _, middle, half = unit(np.zeros(2), size_px)
    to_unit = np.array(
        [[1 / half, 0, -middle[0] / half], [0, 1 / half, -middle[1] / half], [0, 0, 1]]
    )

    def to_mm(values: np.ndarray) -> np.ndarray:
        shown = np.append(values[:8], 1.0).reshape(3, 3)
        matrix = np.diag([UNIT_MM, UNIT_MM, 1.0]) @ np.linalg.inv(shown) @ to_unit
        return matrix / matrix[2, 2]

    quarter = _upright(to_mm(fit.values), views[0])
    matrix = quarter @ to_mm(fit.values)
    placed = np.concatenate([UNIT_MM * at for at in _placed(fit.values, views)])
    placed = apply(quarter, placed)
    low, high = placed.min(axis=0), placed.max(axis=0)
    matrix = np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1]]) @ matrix
    near, far = _errors(fit, to_mm, placed, quarter, size_px)
    hidden = sum(6 - len(view.numbers) for view in views)
    note = f"{hidden} of {6 * len(views)} marks hidden or left out" if hidden else ""
    if fit.spread_px > USUAL_SPREAD_PX:
        note += f"{'; ' if note else ''}marks {fit.spread_px:.1f} px off their places: is it flat?"
    cards = tuple(view.card for view in views)
    reach = (0.0, 0.0, *(high - low).tolist())
    rows = tuple(map(tuple, (matrix / matrix[2, 2]).tolist()))
    return Plane(rows, float(fit.values[8]), size_px, near, far, cards, reach, note)


def _upright(to_mm: np.ndarray, first: _View) -> np.ndarray:
    """Return the quarter turn after which the photo's top is the drawing's."""
    middle = first.in_photo.mean(axis=0)
    base, up = apply(to_mm, [middle, middle - (0, 1)])
    x, y = up - base
    turn = np.pi / 2 * round((np.pi / 2 - float(np.arctan2(y, x))) / (np.pi / 2))
    cos, sin = round(np.cos(turn)), round(np.sin(turn))
    return np.array([[cos, -sin, 0.0], [sin, cos, 0], [0, 0, 1]])


def _errors(
    fit: _Fit, to_mm, placed: np.ndarray, quarter: np.ndarray, size_px
) -> tuple[float, float]:
    """Return the standard error of a short length near the cards and at worst in the photo.

    The errors that the corners' spread leaves in plane and lens, by their own directions,
    moved one by one and added in squares.
    """
    grid = np.linspace(0.02, 0.98, 9)
    at_px = np.array([[x * size_px[0], y * size_px[1]] for y in grid for x in grid])
    step = 0.01 * max(size_px)
    ends = at_px[None] + np.array([[0, 0], [step, 0], [0, step]])[:, None]

    def lengths(values: np.ndarray) -> np.ndarray:
        flat = straight(ends.reshape(-1, 2), float(values[8]), size_px)
        mm = apply(to_mm(values), flat).reshape(ends.shape)
        return np.concatenate([np.hypot(*np.moveaxis(mm[n] - mm[0], -1, 0)) for n in (1, 2)])

    true, total = lengths(fit.values), 0.0
    sizes, ways = np.linalg.eigh(fit.covariance)
    for size, way in zip(sizes, ways.T, strict=True):
        moved = fit.values + np.sqrt(max(size, 0.0)) * way
        total = total + (lengths(moved) / true - 1) ** 2
    error = np.sqrt(total)
    matrix = to_mm(fit.values)
    flat = straight(at_px, float(fit.values[8]), size_px)
    depth = np.column_stack([flat, np.ones(len(flat))]) @ matrix[2]
    mm = apply(quarter @ matrix, flat)
    apart = np.hypot(*np.maximum(placed.min(axis=0) - mm, np.maximum(mm - placed.max(axis=0), 0)).T)
    ahead = np.tile(depth * np.sign(np.median(depth)) > 0, 2)
    near = np.tile(apart <= NEAR_MM, 2) & ahead
    worst = float(error[ahead].max())
    return (float(error[near].max()) if near.any() else worst), worst
