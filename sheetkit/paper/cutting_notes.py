"""Notes for whoever cuts: which file is what, the layers, kerf, which face is up, the bends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..base import amounts
from ..base.showing import counted
from ..geometry.stock_sheet import Placement
from ..repair.estimate import Estimate
from .pattern import Pattern

TURNED = {"face": "UP", "back": "DOWN", None: "UP OR DOWN"}
"""Where a bend goes as the blank lies face up; None: the job doesn't say."""


def cutting_notes(
    result: Estimate, pieces: Sequence[Pattern], placement: Placement, *, title: str, display: str
) -> Iterator[str]:
    """Yield what whoever cuts has to know, line by line; display is "mm" or "in"."""
    job = result.job

    def show(value: float, kind: str = "length") -> str:
        return amounts.show(value, kind, units=display, digits=2 if display == "in" else 1)

    sheet = amounts.show(job.sheet.thickness, "thickness", units=display)
    coating = {"bare": "bare steel", "zinc": "zinc-coated steel", "painted": "steel"}
    yield f"Cutting files: {title}"
    yield ""
    yield f"Sheet: {sheet}, {coating[job.sheet.coating]}, as the panel. One piece of each patch."
    yield "All files are in mm, 1:1, the lower left corner at 0, 0; those ending in r12, which name no unit, too."
    if job.sheet.coating == "zinc":
        yield "Cut by heat, zinc gives off fumes: extract them, and mind your local rules."
    yield ""
    yield "WHAT EACH FILE IS (.dxf, .svg, and _r12.dxf for old controllers hold the same)"
    for piece in pieces:
        outline = piece.outline
        assert outline is not None
        left, bottom, right, top = outline.bounds
        count = counted(len(piece.holes), "hole")
        holes = f", {count} of the panel to cut" if piece.holes else ""
        plugs = f", {len(piece.plugs)} plug holes of {show(piece.plug_hole)}" if piece.plugs else ""
        yield (
            f"  patch_{piece.number}_of_{len(pieces)}: a blank, {show(right - left)} wide, "
            f"{show(top - bottom)} high over all{holes}{plugs}"
        )
    yield "  panel_cut: what is cut out of the vehicle. No part: for a template to scribe round."
    for number, (width, height) in enumerate(placement.sheets, 1):
        yield (
            f"  stock_sheet_{number}_of_{len(placement.sheets)}: the same blanks laid out on a sheet of {show(width)} x {show(height)}, "
            f"{show(placement.kerf_mm)} apart, {show(placement.margin_mm)} off its edges"
        )
    yield "  A file that isn't named here is left from an earlier drawing: don't cut it."
    yield "  Cut the patch files OR the stock sheet, not both: they hold the same blanks."
    yield from (
        f"  On no stock sheet: {fault.field}, {fault.value}; {fault.remedy}"
        for fault in placement.unplaced
    )
    yield ""
    yield "LAYERS"
    yield "  CUT      cut through; holes stand before the outline they lie in"
    yield "  DRILL    plug holes: a thermal cut of this size is rough, drill or punch them if in doubt"
    yield "  BEND     short marks at the ends of each bend: mark lightly, never cut through"
    yield "  BENDNOTE each bend's number, UP or DOWN, angle and inside radius: to be read, not cut"
    yield "  ENGRAVE  the patch's number, FACE UP, and which way each bend goes"
    yield "  STOCK    the sheet's edge: not to be cut"
    yield ""
    yield "KERF"
    yield "  Every outline is the finished size. Let the machine offset the kerf: outside outlines,"
    wider = ", and the gap to weld wider by as much" if job.patch.joint == "butt" else ""
    yield "  inside holes. Cut on the line without that, a blank comes out smaller all round by half"
    yield f"  the kerf{wider}."
    yield ""
    yield "WHICH FACE IS UP"
    yield "  FACE, the side that was drawn, is up. Burr and dross fall on the back: deburr both."
    yield "  A blank laid upside down is the other hand's part. Do not mirror."
    yield from _bend_notes(pieces, display)
    yield ""
    yield "Check the first part: over-all width and height as above, before the rest is cut."
    yield ""


def _bend_notes(pieces: Sequence[Pattern], display: str) -> Iterator[str]:
    """Yield what the one who bends has to know; UP is toward FACE."""
    bent = [
        (piece, number, bend)
        for piece in pieces
        for number, bend in {bend.number: bend for bend in piece.bends}.items()
    ]
    if not bent:
        return
    yield ""
    yield "BENDS (the blank is flat; UP is toward the FACE, as the blank lies)"
    for piece, number, bend in bent:
        inside = amounts.show(bend.radius_mm, "thickness", units=display)
        yield (
            f"  patch {piece.number}, bend {number}: {bend.angle_deg:.0f} degrees from flat, "
            f"{TURNED[bend.toward]}, inside radius {inside}"
        )
    if any(bend.toward is None for _, _, bend in bent):
        yield "  UP OR DOWN: the job doesn't say which way. Ask before bending."
