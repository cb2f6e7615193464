"""How far and with what force a seam shrinks: the printed forms side by side, and what undoes it."""

from __future__ import annotations

from ..base.steel import HEAT_CAPACITY_J_MM3K, YOUNG_MPA
from .chain import formula

_SHEET = {"thickness_mm": (0.1, 10.0), "heat_input_kj_per_mm": (0.0, 5.0)}


@formula(
    valid={"thickness_mm": (0.1, 1000)},
    source="AWS D1.1 and Blodgett, Design of Welded Structures, as a method statement cites them.",
)
def across_by_section_mm(section_mm2, thickness_mm, across_share):
    """Crosswise shrinkage of a butt seam by its section, mm: 0.1 Aw / t."""
    return across_share * section_mm2 / thickness_mm


@formula(
    valid={"thickness_mm": (0.1, 1000)},
    source="Spraragen and Ettinger, Welding Journal 1950; printed with 0.2 and with 0.18.",
)
def across_by_section_and_gap_mm(section_mm2, thickness_mm, gap_mm, across_share, gap_share):
    """Crosswise shrinkage of a butt seam by section and gap, mm: 0.2 Aw / t + 0.05 d."""
    return across_share * section_mm2 / thickness_mm + gap_share * gap_mm


@formula(
    valid=_SHEET,
    source="Heat balance: what the heat makes a free sheet's strip longer it shrinks by again "
    "(Okerblom's form; value from memory). An upper bound.",
)
def across_by_heat_mm(heat_input_kj_per_mm, thickness_mm, expansion_per_degree):
    """Crosswise shrinkage by the heat in a free sheet, mm: alpha Q / (rho c t)."""
    return (
        1000 * expansion_per_degree * heat_input_kj_per_mm / (HEAT_CAPACITY_J_MM3K * thickness_mm)
    )


@formula(
    valid={"heat_input_kj_per_mm": (0.0, 5.0)},
    source="White 1977; Leggatt 1980: about 0.2 kN for each J/mm of heat input (values from memory).",
)
def along_kn(heat_input_kj_per_mm, force_per_heat_input):
    """Force a cold seam pulls along itself with, kN: 0.2 Q, Q in J/mm.

    The sheet's thickness, the order and the waits are not in it.
    """
    return 1000 * force_per_heat_input * heat_input_kj_per_mm


@formula(valid={"thickness_mm": (0.1, 10), "yield_mpa": (50, 1500)})
def strip_at_yield_mm(along_kn, thickness_mm, yield_mpa):
    """Width of the strip along the seam that is stretched to yield, mm: F / (fy t)."""
    return 1000 * along_kn / (yield_mpa * thickness_mm)


@formula(valid={"thickness_mm": (0.1, 10), "hammered_mm": (1, 500)})
def stretch_back_mm_per_m(along_kn, thickness_mm, hammered_mm):
    """How much longer the hammered strip must get for the pull to be gone, mm per metre of seam.

    F / (E t w): the missing strain times its width is F / (E t), whatever strip is hammered.
    """
    return 1e6 * along_kn / (YOUNG_MPA * thickness_mm * hammered_mm)
