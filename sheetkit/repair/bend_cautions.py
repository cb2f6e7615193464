"""Cautions that follow from bends: seams beside them, tight ones, short flanges, closed sections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from ..base import amounts
from ..base.errors import OutOfRange
from ..base.tables import limit
from ..formulas.settings import ends
from ..geometry.fold import Bend, Fold, bend_strain, bent_length, side_views
from ..geometry.section import SectionBend
from ..geometry.springback import Turned, turned_to
from ..job.faces import Faces
from ..job.job import Job
from .caution import Caution
from .patches import PatchResult

ANYWHERE_STRAIN = 0.02
"""A rolled part that stretched less is welded anywhere (EN 1993-1-8:2005, Table 4.2, r/t 25)."""
BEYOND_MM = 20.0
"""How far beyond the patch a bend is followed: its seam lies within that."""


def bend_cautions(job: Job, patches: Sequence[PatchResult], display: str) -> Iterator[Caution]:
    """Yield the cautions of bends and bent panels; nothing for a flat patch of a flat panel."""
    for index, patch in enumerate(patches, 1):
        where = f" of patch {index}" if len(patches) > 1 else ""
        for number, bend, line in _near(patch):
            if not line.is_empty:
                yield from _beside_seam(job, patch, f"bend {number}", bend, line, display)
        for number, bend, line in _crossing(patch):
            if not line.is_empty:
                yield from _one_bend(job, patch, f"bend {number}{where}", bend, line, display)
        yield from _short_flanges(job, patch, where, display)
    yield from _springs_back(job, patches, display)
    if job.section is not None:
        faces = job.faces(shapely.union_all([run for patch in patches for run in patch.seam]))
        yield from _positions(job, faces)
        yield from _closed(faces)


_Numbered = tuple[int, Bend | Fold | SectionBend, BaseGeometry]
"""A bend's number, the bend, its line on the drawing."""


def _crossing(patch: PatchResult) -> Iterator[_Numbered]:
    for n, (bend, line) in enumerate(patch.drawn_bends, 1):
        yield bend.number if isinstance(bend, Bend) else n, bend, line


def _springs_back(job: Job, patches: Sequence[PatchResult], display: str) -> Iterator[Caution]:
    """Yield what the bends of all patches are turned to, where they spring back by a degree or more."""
    known, thickness = limit("sheet_yield"), job.sheet.thickness
    said = {}
    for patch in patches:
        for number, bend, line in _crossing(patch):
            if line.is_empty:
                continue
            try:
                likely, least, most = (
                    turned_to(bend.angle_deg, bend.radius_mm, thickness, strength)
                    for strength in (known.value, *ends(known))
                )
            except OutOfRange:
                continue  # nearly flat: it is sprung into place
            if likely.angle_deg - bend.angle_deg >= 1:
                said[number] = _turn_words(f"bend {number}", bend, (likely, least, most), display)
    if said:
        yield Caution(
            "spring back",
            f"sheet springs back when it is let go: turn {'; '.join(said.values())} (derived, by "
            f"the yield of plain drawing steel, {known.origin}; old steel differs). Try it on an "
            "offcut and go on in small steps.",
        )


def _turn_words(
    name: str,
    bend: Bend | Fold | SectionBend,
    turned: tuple[Turned, Turned, Turned],
    display: str,
) -> str:
    likely, least, most = turned
    words = f"{name} to {likely.angle_deg:.0f}° ({least.angle_deg:.0f} to {most.angle_deg:.0f})"
    if likely.radius_mm < 0.95 * bend.radius_mm:
        words += (
            f" round {_thin(likely.radius_mm, display)} ({_thin(most.radius_mm, display)} to "
            f"{_thin(least.radius_mm, display)}), so that {_thin(bend.radius_mm, display)} are left"
        )
    return f"{words} for {bend.angle_deg:.0f}°"


def _near(patch: PatchResult) -> Iterator[_Numbered]:
    """Yield the bends beside a cut as well: a seam can run along one that the patch stops short of."""
    if patch.section is None:
        yield from (found for found in _crossing(patch) if isinstance(found[1], Fold))
        return
    around = patch.cut_line.buffer(BEYOND_MM)
    for bend in patch.section.bends:
        yield bend.number, bend, shapely.union_all(patch.section.line_at(bend.middle_mm, around))


def _thin(value: float, display: str) -> str:
    if display == "mm":
        return f"{value:.3g} mm"
    return amounts.show(value, "thickness", units=display)


def _length(value: float, display: str) -> str:
    return amounts.show(value, "length", units=display)


def _beside_seam(
    job: Job,
    patch: PatchResult,
    name: str,
    bend: Bend | Fold | SectionBend,
    line: BaseGeometry,
    display: str,
) -> Iterator[Caution]:
    thickness, clear = job.sheet.thickness, limit("weld_from_bend")
    if bend_strain(bend.radius_mm, thickness) <= ANYWHERE_STRAIN:
        return
    zone = bent_length(bend.angle_deg, bend.radius_mm, thickness)
    away = zone / 2 + clear.value * thickness
    seam = shapely.union_all(list(patch.seam))
    if beside := _beside(seam, line, away):
        yield Caution(
            "seam on a bend",
            f"{_length(beside, display)} of the seam runs along {name}, within "
            f"{_length(away, display)} of its line: metal that was bent cold, and "
            f"{clear.value:g} thicknesses beside it, can age brittle when it is welded "
            f"({clear.origin}; in sheet this thin it allows that from an inside radius of "
            f"{limit('least_bend_radius').value:g} thickness on), and the heat draws the bend "
            "(common practice). Move the seam on to a flat: widen or narrow the margin, or shape "
            "the patch as a box.",
        )


def _one_bend(
    job: Job,
    patch: PatchResult,
    name: str,
    bend: Bend | Fold | SectionBend,
    line: BaseGeometry,
    display: str,
) -> Iterator[Caution]:
    thickness = job.sheet.thickness
    zone = bent_length(bend.angle_deg, bend.radius_mm, thickness)
    if bend.radius_mm < limit("least_bend_radius").value * thickness - 1e-9:
        seam = shapely.union_all(list(patch.seam))
        crossed = (
            " The seam crosses it: that standard wants tests there."
            if seam.distance(line) < limit("weld_from_bend").value * thickness
            else ""
        )
        yield Caution(
            "tight bend",
            f"{name} has an inside radius of {_thin(bend.radius_mm, display)} in "
            f"{_thin(thickness, display)} sheet: "
            f"its outside stretches by {bend_strain(bend.radius_mm, thickness):.0%} (derived) and "
            f"can crack; at least {limit('least_bend_radius').value:g} thickness is usual "
            f"({limit('least_bend_radius').origin}). Try it on an offcut.{crossed}",
        )
    holes = [hole for hole in patch.outline.interiors if hole.distance(line) < zone / 2]
    if holes:
        yield Caution(
            "hole in a bend",
            f"{name} runs through {len(holes)} hole{'s' if len(holes) > 1 else ''}: it pulls out of "
            "round as it is bent, and the bend is sharper there. Bend first and cut the hole "
            "afterwards, or move it (common practice).",
        )


def _beside(seam: BaseGeometry, line: BaseGeometry, away: float) -> float:
    """Return how much of a seam runs along a bend's line rather than across it, mm."""
    found = 0.0
    for part in shapely.get_parts(line):
        start, end = np.asarray(part.coords)[[0, -1]]
        way = (end - start) / np.hypot(*(end - start))
        longer = LineString([start - BEYOND_MM * way, end + BEYOND_MM * way])
        near = seam.intersection(longer.buffer(away, cap_style="flat"))
        merged = shapely.line_merge(near) if near.geom_type == "MultiLineString" else near
        for run in shapely.get_parts(merged):
            along = np.ptp(shapely.get_coordinates(run) @ way) if run.length else 0.0
            found += run.length if along > 2 * away else 0.0
    return found


def _short_flanges(job: Job, patch: PatchResult, where: str, display: str) -> Iterator[Caution]:
    thickness, times = job.sheet.thickness, limit("least_flange")
    if job.section is not None:
        seen = job.section.side_view(patch.outline)
        views = [seen] if seen is not None else []
        radii = {bend.number: bend.radius_mm for bend in job.section.bends}
    else:
        views = side_views(patch.outline, patch.folds)
        radii = {n: fold.radius_mm for n, fold in enumerate(patch.folds, 1)}
    for view in views:
        for leg, number in zip(
            (view.legs_mm[0], view.legs_mm[-1]), (view.numbers[0], view.numbers[-1]), strict=True
        ):
            least = radii[number] + (1 + times.value) * thickness
            if leg < least:
                yield Caution(
                    "short flange",
                    f"the flange beyond bend {number}{where} is {_length(leg, display)} high; under "
                    f"{_length(least, display)} (its radius and {times.value:g} thicknesses "
                    f"inside; {times.status}) no folder or vice grips it. Leave it longer, bend "
                    "it, then trim.",
                )


def _positions(job: Job, faces: Faces) -> Iterator[Caution]:
    shares = faces.by_position
    if len(shares) < 2:
        return
    said = ", ".join(f"{name} {share:.0%}" for name, share in shares.items())
    lower = limit("current_vertical").value
    yield Caution(
        "positions",
        f"the seam goes through several positions ({said} of its length): the current shown is "
        f"their mean. Set it for the one you weld in, about {1 - lower:.0%} less vertical or "
        f"overhead than flat ({limit('current_vertical').status}), and weld vertical seams in thin "
        "sheet downward (common practice).",
    )


def _closed(faces: Faces) -> Iterator[Caution]:
    if faces.open_share > 1 - 1e-9:
        return
    yield Caution(
        "closed section",
        "wax, foam, sealer and dust inside a sill or box burn where nobody sees them: open a "
        "drain, look in with a camera, take out what burns, and have somebody watch every opening "
        "while you weld and through the fire watch. A tube that was sealed can burst: open it. No "
        "hammer or dolly gets behind the seam. Wax the inside again when it is cold: the weld's "
        "back is bare.",
    )
