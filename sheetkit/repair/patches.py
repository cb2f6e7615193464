"""Job -> its cuts, patches, seams, tacks and fill: the geometry of an estimate."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import prod

import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..base import tables
from ..base.errors import Fault, JobRefused
from ..base.tables import Row, derived, limit, renamed
from ..formulas.chain import unit_of
from ..geometry import patch as patching
from ..geometry import stitches as stitching
from ..geometry.cut_line import covers, cut_lines
from ..geometry.fold import Bend, Fold, developed
from ..geometry.offset import TOUCH_MM
from ..geometry.seam import on_metal, seam_runs
from ..geometry.section import Section
from ..geometry.tacks import tacks as tacks_along
from ..geometry.welds import MOST_WELDS, Weld
from ..job.job import Job
from ..job.model import FoldLine
from ..job.profile import OVER_END_MM
from .formed import LipOnPatch, for_joggle, refuse_compound, with_lips

NEAR_MM = 5.0
"""How much further than the patch reaches from its cut the panel is looked at."""
LEAST_LEFT_MM2 = 0.01
"""Rust of less area in no cut is a rounding error."""


@dataclass(frozen=True)
class PatchResult:
    """One cut and the patch for it.  Shapes in mm; `blank` is flat, before folding.

    `folds` are those of the job that cross the patch, `bends` their lines on the blank.  With a
    `section` (see `Job.section`) the drawing is the unrolled sheet: the blank is the outline,
    `folds` is empty, and `bends` are those of the section that cross the patch.  `lips` lie
    beyond the outline on the blank, and their bends come last.
    """

    cut_line: Polygon
    outline: Polygon
    blank: Polygon
    folds: tuple[Fold, ...]
    bends: tuple[Bend, ...]
    seam: tuple[LineString, ...]
    covers_rust: bool
    section: Section | None = None
    lips: tuple[LipOnPatch, ...] = ()

    @property
    def drawn_bends(self) -> tuple[tuple[Bend | Fold, BaseGeometry], ...]:
        """The bends with their lines across the patch as the panel is drawn."""
        if self.section is not None:
            return tuple((bend, bend.line) for bend in self.bends)
        folds = ((fold, LineString(fold.line).intersection(self.outline)) for fold in self.folds)
        return *folds, *((lip.bend, lip.bend.line) for lip in self.lips)

    @property
    def seam_length_mm(self) -> float:
        """Length of the seam, mm: all its runs."""
        return sum(run.length for run in self.seam)


def fold_as_drawn(fold: FoldLine) -> Fold:
    """Return a fold of the job as the geometry takes it: straight from end to end."""
    return Fold((fold.line[0], fold.line[-1]), fold.angle, fold.radius, fold.toward)


def patches(job: Job) -> tuple[PatchResult, ...]:
    """Return every cut of a job with its patch, blank, bends and seam.

    Raises
    ------
    JobRefused
        A cut leaves no patch, several pieces, or nothing to weld; or rust is in no cut.
    """
    choice, panel = job.patch, job.panel_shape
    cuts = cut_lines(
        job.rust_shape,
        margin=choice.margin,
        shape=choice.shape,
        corner_radius=choice.corner_radius,
        web=choice.web,
        panel=panel,
    )
    folds = [fold_as_drawn(fold) for fold in choice.folds]
    covered = covers(cuts, job.rust_shape, choice.margin, panel)
    reach = NEAR_MM + (job.gap if choice.joint == "butt" else choice.overlap)
    whole, results = panel, []
    for index, cut in enumerate(cuts):
        panel = patching.near(whole, cut, reach)
        pieces = patching.pieces(
            cut, joint=choice.joint, gap=job.gap, overlap=choice.overlap, panel=panel
        )
        seam = seam_runs(cut, joint=choice.joint, gap=job.gap, overlap=choice.overlap, panel=panel)
        if len(pieces) > 1:
            raise JobRefused(
                Fault(
                    "patch.gap" if not panel or not panel.interiors else "panel.holes",
                    f"cut {index + 1} leaves {len(pieces)} pieces of patch",
                    "a patch must be one piece",
                    "widen the neck between them (margin, corner_radius), close the gap, or draw "
                    "the rust on each side of the hole as its own ring",
                )
            )
        if not on_metal(cut.exterior, panel):
            raise JobRefused(
                Fault(
                    "patch.margin" if choice.margin else "rust",
                    f"cut {index + 1} takes the whole panel and leaves no seam to weld",
                    "the cut must leave metal of the panel to weld to",
                    "narrow the margin (and patch.web, patch.corner_radius), or draw more of the "
                    "panel; a panel with no sound metal left is replaced, not patched",
                )
            )
        if not pieces or not seam:
            raise JobRefused(
                Fault(
                    "patch.gap" if choice.joint == "butt" else "patch.overlap",
                    f"cut {index + 1} leaves {'no patch' if not pieces else 'no seam to weld'}",
                    "the patch must be larger than the gap and meet the panel's metal",
                    "close the gap, or widen the margin"
                    if choice.joint == "butt"
                    else "widen the overlap or the margin",
                )
            )
        mine = tuple(fold for fold in folds if LineString(fold.line).intersects(pieces[0]))
        blank, bends = developed(pieces[0], mine, job.sheet.thickness) if mine else (pieces[0], [])
        if job.section is not None:
            bends = job.section.bend_lines(blank)
        # the section's bends keep their numbers on every patch, whichever cross it
        last = max((b.number for b in (job.section.bends if job.section else bends)), default=0)
        blank, lips = with_lips(for_joggle(blank, job), job, last + 1)
        bends += [lip.bend for lip in lips]
        results.append(
            PatchResult(
                cut,
                pieces[0],
                blank,
                mine,
                tuple(bends),
                tuple(seam),
                covered[index],
                job.section,
                lips,
            )
        )
    _all_covered(job, cuts)
    _on_profile(job, cuts)
    refuse_compound(job, [result.outline for result in results])
    return tuple(results)


def _on_profile(job: Job, cuts: Sequence[Polygon]) -> None:
    """Refuse a cut that runs over the end of a bent panel whose outline nobody drew."""
    section = job.section
    if section is None or job.panel.outline is not None:
        return
    at = section.along(shapely.get_coordinates(cuts))
    over = max(section.start_mm - at.min(), at.max() - section.end_mm)
    if over > OVER_END_MM:
        raise JobRefused(
            Fault(
                "panel.outline",
                f"nothing, and a cut {over:.3g} mm over the end of the profile",
                "must be given where a cut reaches the panel's edge",
                "draw the panel's outline: the cut then runs out at its edge; or narrow the margin",
            )
        )


def _all_covered(job: Job, cuts: Sequence[Polygon]) -> None:
    """Refuse a job of whose rust anything on the panel lies in no cut."""
    held = shapely.union_all(cuts)
    shapely.prepare(held)
    if held.covers(job.rust_shape):
        return
    left = shapely.difference(job.rust_shape, held.buffer(TOUCH_MM))
    if job.panel.outline is not None:
        left = left.intersection(job.panel.outline.polygon)
    if left.area <= LEAST_LEFT_MM2:
        return
    raise JobRefused(
        Fault(
            f"rust[{index}].ring",
            f"{out:.3g} mm² of it in no cut",
            "all rust must be cut out",
            "widen the margin, or draw the rust again as plain rings",
        )
        for index, rust in enumerate(job.rust)
        if (out := rust.ring.polygon.intersection(left).area) > 0
    )


def welds(
    job: Job, patches: tuple[PatchResult, ...], inputs: Mapping[str, Row]
) -> tuple[tuple[Weld, ...], tuple[Weld, ...]]:
    """Return tacks and fill over all runs; `Weld.run` counts through all patches."""
    tacks: list[Weld] = []
    welds: list[Weld] = []
    run_index = 0
    for number, patch in enumerate(patches):
        for run in patch.seam:
            where = {"patch": number, "index": run_index}
            if job.patch.joint == "plug":
                welds += stitching.plugs(
                    run,
                    hole=inputs["hole_diameter_mm"].value,
                    pitch=inputs["plug_pitch_mm"].value,
                    **where,
                )
            else:
                tacks += tacks_along(
                    run,
                    first=limit("tack_first").value,
                    last=job.tack,
                    **where,
                )
                if job.weld.fill == "dots":
                    welds += stitching.dot_groups(
                        run,
                        group=job.weld.stitch,
                        diameter=limit("dot_diameter").value,
                        overlap=limit("dot_overlap").value,
                        **where,
                    )
                else:
                    welds += stitching.stitches(
                        run, length=job.weld.stitch, spacing=job.weld.spacing, **where
                    )
            run_index += 1
            _not_too_many(job, len(tacks), len(welds))
    return tuple(tacks), tuple(welds)


def _not_too_many(job: Job, tacks: int, welds: int) -> None:
    """Refuse a job whose seams together take more welds than any one seam may."""
    if job.patch.joint == "plug":
        field, remedy = "weld.plug_pitch", "give a wider pitch"
    elif tacks > welds:
        field, remedy = "weld.tack", "give a longer distance"
    else:
        field, remedy = "weld.stitch", "give a longer stitch"
    if tacks + welds > MOST_WELDS:
        raise JobRefused(
            Fault(
                field,
                f"more than {MOST_WELDS} tacks and welds in all seams together",
                f"must be at most {MOST_WELDS}",
                f"{remedy}, or draw the repairs in several jobs",
            )
        )


DRAWING = "drawing"
"""What stands for a table's name in the rows of what was measured and counted on the drawing."""
BY_SHAPELY = "the drawing, by shapely"


def counts(
    job: Job, patches: Sequence[PatchResult], tacks: Sequence[Weld], welds: Sequence[Weld]
) -> dict[str, Row]:
    """Return the inputs that are measured and counted on the drawing; their table is `DRAWING`."""
    plug, seam = job.patch.joint == "plug", sum(patch.seam_length_mm for patch in patches)
    welded = 0.0 if plug else sum(weld.length for weld in welds)
    tacked = sum(tack.length for tack in tacks) * welded / seam
    dots = sum(weld.dots for weld in welds)
    open_share = 1 - tacked / welded if welded else 1.0
    blank_area = sum(prod(patching.blank_size(patch.blank)) for patch in patches)
    found: dict[str, float] = {
        "seam_length_mm": seam,
        "welded_length_mm": welded,
        "tacked_length_mm": tacked,
        "cut_length_mm": sum(patch.cut_line.length for patch in patches),
        "blank_mass_g": patching.mass(blank_area, job.sheet.thickness),
        "patch_count": len(patches),
        "weld_count": len(welds),
        "tack_count": len(tacks),
        "dot_count": dots,
        "plug_count": sum(weld.kind == "plug" for weld in welds),
        "starts": len(tacks)
        + (dots * open_share if job.weld.fill == "dots" and not plug else len(welds)),
    }
    rows = {}
    if job.section is not None or job.patch.lips:
        found["further_bend_count"] = sum(
            max(len({bend.number for bend in patch.bends}) - 1, 0) for patch in patches
        )
        each = tables.row("labour_steps", "bending", "hours_each")
        rows["bending_hours_each"] = renamed(each, "bending_hours_each")
    return rows | {
        name: replace(derived(name, value, unit_of(name), BY_SHAPELY), table=DRAWING)
        for name, value in found.items()
    }
