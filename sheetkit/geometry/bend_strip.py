"""K of a sheet from strips that were measured flat, bent and measured again.

Lengths in mm, angles in degrees turned from flat.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..base.errors import check, refuse
from .fold import setback


@dataclass(frozen=True)
class BentStrip:
    """One strip: its blank length, and its legs when bent, outside to outside (see `setback`).

    With more than two legs all bends have the same angle and radius; their errors average.
    """

    blank_mm: float
    legs_mm: tuple[float, ...]
    radius_mm: float
    thickness_mm: float
    angle_deg: float = 90.0


@dataclass(frozen=True)
class Within:
    """Half-widths the measures are good to: of a length by rule or caliper, an angle, a radius.

    Lengths and angle are read anew on each strip; radius and thickness are one for all.
    """

    length_mm: float = 0.2
    angle_deg: float = 1.0
    radius_mm: float = 0.2
    thickness_mm: float = 0.02


@dataclass(frozen=True)
class MeasuredK:
    """K with its expanded uncertainty (k = 2, about 95 in 100), and the strips' own values."""

    value: float
    uncertainty: float
    each: tuple[float, ...]

    def __str__(self) -> str:
        strips = f"{len(self.each)} strip{'s' if len(self.each) > 1 else ''}"
        return f"{self.value:.2f} ± {self.uncertainty:.2f} ({strips})"


def k_of(strip: BentStrip) -> float:
    """Return K of one strip, in thicknesses under the inside of its bends.

    K = ((B - sum L + 2 n v) / (n A) - r) / s, with v the set-back and A in radians: the bend
    allowance A (r + K s) solved for K.

    Source: Machinery's Handbook, 26th edition, "Lengths of straight stock for bends".
    """
    bends = len(strip.legs_mm) - 1
    back = setback(strip.angle_deg, strip.radius_mm, strip.thickness_mm)
    bent = strip.blank_mm - sum(strip.legs_mm) + 2 * bends * back
    arc = bent / (bends * math.radians(strip.angle_deg))
    return (arc - strip.radius_mm) / strip.thickness_mm


def k_from_strip(
    strips: Sequence[BentStrip] | BentStrip, within: Within | None = None
) -> MeasuredK:
    """Return K of a sheet with its uncertainty.

    Half-widths are taken as rectangular (divided by the root of 3) and carried through K by its
    slopes; where several strips differ by more than their readings explain, their scatter counts.

    Parameters
    ----------
    strips : one or several, of one sheet bent over one edge; angles 15 to 170 degrees
    within : how well they were measured; None: rule, square and radius gauge

    Raises
    ------
    OutOfRange
        A strip has no bend, or an angle, radius or thickness beyond what bends are reckoned for.

    Source
    ------
    JCGM 100:2008 (GUM), 4.3.7 rectangular distribution, 5.1 combined uncertainty (value from
    memory).
    """
    found = [strips] if isinstance(strips, BentStrip) else list(strips)
    within = within or Within()
    if not found:
        refuse("strips", "none", "must be at least one", "bend a strip of the same sheet")
    for strip in found:
        if len(strip.legs_mm) < 2:
            refuse("legs", f"{len(strip.legs_mm)}", "must be at least 2", "measure both legs")
        check("strip angle", strip.angle_deg, 15, 170, "degrees")
        check("strip thickness", strip.thickness_mm, 0.3, 10, "mm")
        check("strip radius", strip.radius_mm, 0.1, 100 * strip.thickness_mm, "mm")
    each = [k_of(strip) for strip in found]
    count, value = len(each), sum(each) / len(each)
    own = sum(_read_anew(strip, within) for strip in found) / count
    if count > 1:
        own = max(own, sum((k - value) ** 2 for k in each) / (count - 1))
    shared = sum(
        (getattr(within, name) * sum(_slope(strip, name) for strip in found) / count) ** 2 / 3
        for name in ("radius_mm", "thickness_mm")
    )
    return MeasuredK(value, 2 * math.sqrt(own / count + shared), tuple(each))


def _read_anew(strip: BentStrip, within: Within) -> float:
    """Return the variance of K from what is read on each strip for itself."""
    lengths = 1 + len(strip.legs_mm)
    by_length = within.length_mm * _slope(strip, "blank_mm")
    by_angle = within.angle_deg * _slope(strip, "angle_deg") / math.sqrt(len(strip.legs_mm) - 1)
    return (lengths * by_length**2 + by_angle**2) / 3


def _slope(strip: BentStrip, name: str) -> float:
    """Return how K changes with one measure, by a central difference."""
    step, at = 1e-5, getattr(strip, name)
    high, low = (replace(strip, **{name: at + sign * step}) for sign in (1, -1))
    return (k_of(high) - k_of(low)) / (2 * step)
