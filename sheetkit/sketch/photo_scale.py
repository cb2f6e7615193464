"""A photo as it lies under the drawing: scaled by two points, or rectified by four corners."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..base.errors import Fault, shown
from .card_plane import NEAR_MM, Plane, plane
from .lens import bent
from .measuring_card import SQUARE_MM, Mark, seen
from .photo_frame import Frame, jpeg, straightened
from .rectify import (
    LEAST_PX,
    MOST_RATIO_OFF,
    PhotoRefused,
    apply,
    check_corners,
    check_points,
    homography,
    ratio_seen,
    scale_error,
)

CLICK_PX = 1.5
"""Standard error of a click, photo pixels, if the page doesn't say (guess)."""

MUCH = 0.015
"""A scale less sure than this comes with what makes it better: 15 mm in a metre."""
_BETTER = "For less error zoom in to mark, go nearer with the camera, or lay a larger sheet or a measuring card."


def refused(name: str, value: str, limit: str, remedy: str) -> PhotoRefused:
    """Return the refusal of a photo or its points, in the four words of a fault."""
    return PhotoRefused(Fault(f"photo {name}".strip(), value, limit, remedy))


@dataclass(frozen=True)
class Photo:
    """A photo as it lies under the drawing.

    `origin_mm` is where the lower left corner of the shown picture lies;
    `relative_error` is None until a scale is set; `sheet_mm` is the size of what set it, paper or cards,
    whose lower left corner is the drawing's (0, 0), or at `at_mm` (see `laid_at`).
    """

    name: str
    original: bytes
    original_px: tuple[int, int]
    shown: bytes
    size_px: tuple[int, int]
    mm_per_px: float
    origin_mm: tuple[float, float] = (0.0, 0.0)
    relative_error: float | None = None
    how: str = ""
    note: str = ""
    steps: tuple[dict, ...] = ()
    to_shown: tuple[tuple[float, ...], ...] | None = None
    lens: float = 0.0
    sheet_mm: tuple[float, float] | None = None
    at_mm: tuple[float, float] = (0.0, 0.0)

    def laid_at(self, x_mm: float, y_mm: float) -> Photo:
        """Return the photo moved: what would be the drawing's (0, 0) lies at (x, y), mm.

        Raises PhotoRefused where that is off any drawing.
        """
        for name, value in (("x", x_mm), ("y", y_mm)):
            if not -100_000 <= value <= 100_000:
                raise refused(
                    name, f"{value:g} mm", "must be -100000 to 100000 mm", "measure again"
                )
        step = np.subtract((x_mm, y_mm), self.at_mm)
        x, y = (np.array(self.origin_mm) + step).tolist()
        return replace(self, origin_mm=(x, y), at_mm=(float(x_mm), float(y_mm)))

    def to_mm(self, points_px) -> np.ndarray:
        """Return points of the shown picture, px, as points of the drawing, mm."""
        points = np.asarray(points_px, float).reshape(-1, 2)
        up = np.column_stack([points[:, 0], self.size_px[1] - points[:, 1]])
        return up * self.mm_per_px + self.origin_mm

    def _to_original(self, points_px: np.ndarray) -> np.ndarray:
        if self.to_shown is None:
            return points_px
        flat = apply(np.linalg.inv(np.array(self.to_shown)), points_px)
        return bent(flat, self.lens, self.original_px)

    @property
    def word(self) -> str:
        """The scale and its error, in words."""
        if self.relative_error is None:
            return "Scale not set: mark two points, or four corners of a rectangle."
        advice = "" if self.relative_error <= MUCH else f" {_BETTER}"
        return (
            f"1 px = {self.mm_per_px:.3g} mm, error about "
            f"{max(100 * self.relative_error, 0.1):.1f} % ({self.how}).{advice}"
        )

    @property
    def near_mm(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Lower left and upper right of what is worth seeing first: round what set the scale."""
        low = np.array(self.origin_mm)
        high = low + np.array(self.size_px) * self.mm_per_px
        if self.sheet_mm is not None:
            low = np.maximum(low, np.array(self.at_mm) - NEAR_MM)
            high = np.minimum(high, np.add(self.at_mm, self.sheet_mm) + NEAR_MM)
        return tuple(low.tolist()), tuple(high.tolist())

    @property
    def square_mm(self) -> float | None:
        """What the card's square was taken to measure; None where no card set the scale."""
        return self.steps[-1].get("square_mm") if self.steps else None

    def with_square(self, square_mm: float) -> Photo:
        """Return the photo scaled anew by what the card's square of 100 mm measures as printed.

        Raises PhotoRefused: no card set the scale, or the square is out of range.
        """
        seen_before = self.steps[-1].get("marks", ()) if self.steps else ()
        return self.by_card(marks_of(seen_before), square_mm=square_mm)

    def calibrated(self, points_px, distance_mm: float, *, click_px: float = CLICK_PX) -> Photo:
        """Return the photo scaled by two points a known distance apart.

        Parameters
        ----------
        points_px : two points of the shown picture
        distance_mm : float
            1 to 20 000 mm.
        click_px : float
            Standard error of a click along the line, px.

        Raises
        ------
        PhotoRefused
            The points coincide or the distance is out of range; the photo stays as it was.
        """
        points = check_points(points_px, 2, "points")
        distance_mm = _length("known distance", distance_mm)
        apart = float(np.hypot(*(points[1] - points[0])))
        if apart < LEAST_PX:
            raise refused(
                "points",
                f"{apart:.1f} px apart",
                f"must be at least {LEAST_PX:g} px apart",
                "mark two points far from each other",
            )
        scale = distance_mm / apart
        old_origin, old_scale = np.array(self.origin_mm), self.mm_per_px
        at = np.array(self.at_mm)
        step = {"points": points.tolist(), "distance_mm": distance_mm, "click_px": click_px}
        return replace(
            self,
            mm_per_px=scale,
            origin_mm=tuple((at + (old_origin - at) * scale / old_scale).tolist()),
            sheet_mm=None,
            relative_error=math.sqrt(2) * click_px / apart,
            how=f"two points {apart:.0f} px apart; true in their plane, seen square on",
            steps=(*(s for s in self.steps if "points" not in s), step),
        )

    def rectified(
        self, corners_px, width_mm: float, height_mm: float, *, click_px: float = CLICK_PX
    ) -> Photo:
        """Return the photo with a photographed rectangle made true; its lower left is (0, 0).

        Parameters
        ----------
        corners_px : four points of the shown picture
            Lower left, lower right, upper right, upper left.
        width_mm, height_mm : float
            The rectangle's true size, 1 to 20 000 mm.
        click_px : float
            Standard error of a click along each axis, px.

        Raises
        ------
        PhotoRefused
            See `rectify.check_corners`; the photo stays as it was.
        """
        from PIL import Image

        check_corners(corners_px)
        corners = check_corners(self._to_original(np.asarray(corners_px, float)))
        width_mm, height_mm = _length("width", width_mm), _length("height", height_mm)
        rectangle = [(0, 0), (width_mm, 0), (width_mm, height_mm), (0, height_mm)]
        to_mm = homography(corners, rectangle)
        x, y = corners[:, 0], corners[:, 1]
        area_px = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
        finest = math.sqrt(width_mm * height_mm / area_px)
        frame = Frame.of(to_mm, self.original_px, (width_mm, height_mm), finest)
        picture = Image.open(io.BytesIO(self.original)).transform(
            frame.size_px,
            Image.Transform.PERSPECTIVE,
            tuple(frame.back().ravel()[:8]),
            Image.Resampling.BICUBIC,
            fillcolor=(255, 255, 255),
        )
        step = {
            "corners": corners.tolist(),
            "width_mm": width_mm,
            "height_mm": height_mm,
            "click_px": click_px,
        }
        return replace(
            self,
            shown=jpeg(picture),
            size_px=frame.size_px,
            mm_per_px=frame.mm_per_px,
            origin_mm=tuple(np.add(frame.origin_mm, self.at_mm).tolist()),
            relative_error=scale_error(corners, width_mm, height_mm, click_px),
            sheet_mm=(width_mm, height_mm),
            how=f"rectangle {width_mm:g} x {height_mm:g} mm; true in its plane, best inside it",
            steps=(step,),
            to_shown=frame.to_shown,
            lens=0.0,
        )

    def check_ratio(self, corners_px, width_mm: float, height_mm: float) -> None:
        """Refuse a size whose ratio the picture's own perspective does not bear out.

        Raises
        ------
        PhotoRefused
            Further off than `rectify.MOST_RATIO_OFF`; what to do stands in it.
        """
        corners = check_corners(self._to_original(check_corners(corners_px)))
        low, high = ratio_seen(corners, self.original_px)
        typed = _length("width", width_mm) / _length("height", height_mm)
        if low * (1 - MOST_RATIO_OFF) <= typed <= high * (1 + MOST_RATIO_OFF):
            return
        swapped = low * (1 - MOST_RATIO_OFF) <= 1 / typed <= high * (1 + MOST_RATIO_OFF)
        remedy = (
            "swap width and height" if swapped else "measure both sides and mark the corners again"
        )
        raise refused(
            "rectangle",
            f"width {typed:.2f} times the height",
            f"must fit the picture, which shows {low:.2f} to {high:.2f} times",
            f"{remedy}, or tick 'as typed'",
        )

    def marks(self) -> tuple[Mark, ...]:
        """Return the marks of measuring cards that are seen in the photo as it was taken."""
        from PIL import Image

        return seen(np.asarray(Image.open(io.BytesIO(self.original)).convert("L")))

    def by_card(
        self, marks: Sequence[Mark] | None = None, *, square_mm: float = SQUARE_MM
    ) -> Photo:
        """Return the photo made true by the measuring cards in it, the lens's bending taken out.

        Parameters
        ----------
        marks : sequence of Mark, optional
            As `marks` saw them before; without them the photo is searched.
        square_mm : float
            What the card's square of 100 mm measures as printed.

        Raises
        ------
        PhotoRefused
            See `card_plane.plane`; the photo stays as it was.
        """
        marks = self.marks() if marks is None else marks
        lies = plane(marks, self.original_px, square_mm=square_mm)
        to_mm = np.array(lies.to_mm)
        reach = np.array(lies.reach[2:])
        middle = lies.straight(apply(np.linalg.inv(to_mm), [reach / 2, reach / 2 + 1]))
        finest = 1 / max(float(np.hypot(*(middle[1] - middle[0]))) / math.sqrt(2), 1e-9)
        frame = Frame.of(to_mm, self.original_px, tuple(reach.tolist()), finest)
        names = " and ".join(card.name for card in lies.cards)
        step = {
            "marks": [{"number": m.number, "corners": m.corners} for m in marks],
            "square_mm": square_mm,
        }
        return replace(
            self,
            shown=jpeg(straightened(self.original, frame, lies)),
            size_px=frame.size_px,
            mm_per_px=frame.mm_per_px,
            origin_mm=tuple(np.add(frame.origin_mm, self.at_mm).tolist()),
            relative_error=lies.error,
            sheet_mm=tuple(reach.tolist()),
            how=_card_words(names, lies, square_mm),
            steps=(step,),
            to_shown=frame.to_shown,
            lens=lies.lens,
        )


def marks_of(told: Sequence[Mapping]) -> list[Mark]:
    """Return the marks that a step was kept with."""
    return [Mark(int(mark["number"]), mark["corners"]) for mark in told]


def _card_words(names: str, lies: Plane, square_mm: float) -> str:
    """Say which cards set the scale, where it holds, and what it rests on."""
    far = f"up to {100 * lies.far_error:.1f} % far from it"
    square = f"if its square measures {square_mm:g} mm"
    return "; ".join(filter(None, [f"{names}, in its plane and {square}", far, lies.note]))


def _length(name: str, value: object) -> float:
    if isinstance(value, int | float) and 1 <= value <= 20_000:
        return float(value)
    raise refused(name, shown(value), "must be 1 to 20000 mm", "measure it and type it again")
