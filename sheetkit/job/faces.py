"""The flats of a bent panel as places of work: in which position each is welded, what lies behind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from ..geometry.section import Section
from .profile import Position, Profile


@dataclass(frozen=True)
class Faces:
    """Of each flat along the run: its position, whether its back is closed, its share of the work."""

    positions: tuple[Position, ...]
    closed: tuple[bool, ...]
    shares: tuple[float, ...]

    @property
    def by_position(self) -> Mapping[Position, float]:
        """Share of the work in each position that has any, the largest first."""
        found: dict[Position, float] = {}
        for position, share in zip(self.positions, self.shares, strict=True):
            if share > 0:
                found[position] = found.get(position, 0.0) + share
        return dict(sorted(found.items(), key=lambda item: -item[1]))

    @property
    def position(self) -> Position:
        """The position most of the work is done in."""
        return next(iter(self.by_position))

    @property
    def open_share(self) -> float:
        """Share of the work on flats whose back a hand reaches."""
        if not any(self.closed):
            return 1.0
        return sum(s for shut, s in zip(self.closed, self.shares, strict=True) if not shut)

    @property
    def is_open(self) -> bool:
        """Whether most of the work is on flats whose back a hand reaches."""
        return self.open_share > 0.5


def faces_of(
    profile: Profile | None,
    section: Section | None,
    lines: BaseGeometry,
    *,
    position: Position,
    back_access: bool,
) -> Faces:
    """Return the faces of a panel; what its profile leaves open is as the sheet says.

    lines : what is counted by its length on each flat, such as the seam
    """
    if profile is None or section is None:
        return Faces((position,), (not back_access,), (1.0,))
    flats = len(section.flats)
    return Faces(
        profile.positions or (position,) * flats,
        profile.closed or (not back_access,) * flats,
        section.share_on_flats(lines),
    )
