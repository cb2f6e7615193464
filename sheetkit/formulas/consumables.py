"""Discs, sealer, primer, wax, filters and gloves by the metre of seam."""

from __future__ import annotations

from .chain import formula


@formula()
def metres_m(seam_length_mm):
    """Seam length in metres."""
    return seam_length_mm / 1000


@formula()
def cutting_discs(cut_length_mm, cutting_disc_per_m):
    """Cutting discs worn, a number: cut length x discs a metre."""
    return cut_length_mm / 1000 * cutting_disc_per_m


@formula()
def flap_discs(metres_m, flap_disc_per_m):
    """Flap discs worn, a number: seam length x discs a metre."""
    return metres_m * flap_disc_per_m


@formula()
def strip_discs(stripped_m, strip_disc_per_m):
    """Stripping discs worn, a number: metres of the usual strip x discs a metre, both faces."""
    return stripped_m * strip_disc_per_m


@formula()
def sealer_ml(metres_m, sealer_ml_per_m):
    """Seam sealer, ml: seam length x bead."""
    return metres_m * sealer_ml_per_m


@formula()
def primer_ml(stripped_m, primer_ml_per_m):
    """Epoxy primer, ml: metres of the usual strip x what both faces take a metre."""
    return stripped_m * primer_ml_per_m


@formula()
def wax_ml(metres_m, wax_ml_per_m):
    """Cavity wax, ml: seam length x what the back takes a metre."""
    return metres_m * wax_ml_per_m


@formula()
def lap_primer_ml(metres_m, lap_primer_ml_per_m):
    """Weld-through primer, ml: seam length x what the inside of a lap takes a metre."""
    return metres_m * lap_primer_ml_per_m


@formula()
def filters(hours_h, filters_per_h):
    """Respirator filters worn, pairs: working hours x pairs an hour."""
    return hours_h * filters_per_h


@formula()
def glove_pairs(hours_h, gloves_per_h):
    """Thin gloves worn, pairs: working hours x pairs an hour."""
    return hours_h * gloves_per_h
