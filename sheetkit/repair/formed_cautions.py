"""Cautions of what is formed beside plain bends: lips on curved edges, joggled laps, swages, crowns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely
from shapely import LineString, Point

from ..base import amounts
from ..base.tables import limit
from ..geometry.formed import swage_taken
from ..job.formed import Swage, joggle_of
from ..job.job import Job
from .caution import Caution
from .formed import LipOnPatch
from .patches import PatchResult


def formed_cautions(job: Job, patches: Sequence[PatchResult], display: str) -> Iterator[Caution]:
    """Yield what forming a job's patches asks for; nothing where nothing is formed."""
    found = [lip for patch in patches for lip in patch.lips]
    for lip in found:
        yield from _lip(lip, display)
    for number in range(1, len(job.patch.lips) + 1):
        if number not in {lip.number for lip in found}:
            yield Caution(
                "lip",
                f"lip {number} lies along no patch: it is left out. Draw its edge on the patch's, "
                "or delete it.",
            )
    yield from _joggle(job, display)
    for number, swage in enumerate(job.panel.swages, 1):
        yield from _swage(swage, number, patches, display)
    if job.section is not None and not job.panel.crowns:
        yield Caution(
            "straight along its bends",
            "the unrolled pattern holds where the panel is straight along its bends: lay a straight "
            f"edge there. Where light shows under it by more than {_thin(limit('gap_fair').value, display)}, "
            "the panel curves two ways: measure how far it rises and give it as panel.crowns.",
        )
    if job.panel.crowns:
        yield Caution(
            "crown",
            "the panel curves: draw along the surface, with a tape, not as it looks from the "
            "front. One way it rolls on from the flat; the patches here bend or spring the rest "
            f"(strain up to {limit('bent_elastic').value:.2%}, {limit('bent_elastic').status}, or "
            "within a gap's width).",
        )


def _length(value: float, display: str) -> str:
    return amounts.show(value, "length", units=display)


def _thin(value: float, display: str) -> str:
    return amounts.show(value, "thickness", units=display)


def _lip(lip: LipOnPatch, display: str) -> Iterator[Caution]:
    cut = f"lip {lip.number}: cut it {_thin(lip.developed_mm, display)} beyond its edge"
    known = limit("elongation_dc01")
    asked = known.value * limit("lip_stretch_share").value
    if lip.stretch == 0 and lip.shrink == 0:
        yield Caution("lip", f"{cut}; the edge is straight, it only bends.")
        return
    told = [cut]
    if lip.stretch > 0:
        told.append(
            f"its free edge stretches by {lip.stretch:.1%} at most (derived); plain drawing steel "
            f"breaks at {known.value:.0%} in a test bar ({known.origin}), a cut edge earlier: "
            f"{asked:.0%} is as far as to go ({limit('lip_stretch_share').status}), a limit and no "
            "promise. File and round the edge, turn it in several rounds"
        )
    if lip.shrink > 0:
        hand, jaws = limit("lip_by_hand").value, limit("lip_by_shrinker").value
        way = (
            "by hammer over a former"
            if lip.shrink <= hand
            else "by a shrinker, a little all along at a time"
            if lip.shrink <= jaws
            else "too much for a shrinker"
        )
        told.append(
            f"its free edge shrinks by {lip.shrink:.1%} at most (derived): {way} (up to {hand:.0%} "
            f"by hand, {jaws:.0%} by shrinker: {limit('lip_by_hand').status})"
        )
    if lip.reliefs:
        kind = "slits that open" if lip.change_mm > 0 else "notches cut out"
        each = _thin(abs(lip.change_mm) / lip.reliefs, display)
        told.append(
            f"else {lip.reliefs} {kind}, about {each} wide at the free edge, none nearer to the "
            "bend than its radius and with a drilled end; weld them shut after bending, or make the "
            "lip of a strip of its own"
        )
    yield Caution("lip", "; ".join(told) + ".")


def _joggle(job: Job, display: str) -> Iterator[Caution]:
    given = job.patch.joggle
    if given is None:
        return
    step = joggle_of(given, job.sheet.thickness, job.sheet.beneath)
    on_panel = given.on == "panel"
    where = (
        "step the panel's edge before the patch is fitted; it must be sound and reachable for "
        f"{_length(job.patch.overlap + given.run, display)} from the cut"
        if on_panel
        else "step the patch's rim; its blank is already larger by that"
    )
    yield Caution(
        "joggle",
        f"on the {given.on}: two bends of {step.angle_deg:.0f}° over {_length(given.run, display)} "
        f"set it back by the other sheet, and take up {_thin(step.taken_mm, display)} of length "
        f"(derived); {where}. Flat steps only: round a corner the rim must shrink or stretch, so "
        "cut it out there.",
    )


def _swage(
    swage: Swage, number: int, patches: Sequence[PatchResult], display: str
) -> Iterator[Caution]:
    line = LineString(swage.line)
    taken = swage_taken(swage.width, swage.depth)
    share = taken / swage.width
    clear = limit("step_clearance").value
    for index, patch in enumerate(patches, 1):
        if not line.intersects(patch.outline):
            continue
        inside = line.intersection(patch.outline)
        seam = shapely.union_all(list(patch.seam))
        crosses = line.intersects(seam.buffer(0.1))
        ends = [Point(line.coords[0]), Point(line.coords[-1])]
        close = [
            end
            for end in ends
            if patch.outline.covers(end) and seam.distance(end) < clear + swage.width / 2
        ]
        known = limit("elongation_dc01")
        text = (
            f"swage {number} takes up {_thin(taken, display)} of sheet across it ({share:.0%} of "
            f"its width; derived): press it into an oversize sheet first, over "
            f"{_length(inside.length, display)}, then cut patch {index} by the pattern. Held fast it "
            f"must stretch by that; {known.value:.0%} is what breaks plain drawing steel "
            f"({known.origin})."
        )
        if crosses:
            text += (
                " It runs through the seam: mark its middle on both sides and match them; the weld "
                "there is across a step, where it can't be planished."
            )
        if close:
            text += (
                f" It ends within {_length(clear, display)} of the seam: end it "
                f"{_length(clear, display)} and half its width before, so that a hammer gets in "
                "(common practice), or carry it through."
            )
        yield Caution("swage", text)
