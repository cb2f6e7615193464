"""How wide a strip along the seam is bared: to bright metal, and as far as paint burns."""

from __future__ import annotations

from math import e, pi

import numpy as np

from ..base.steel import HEAT_CAPACITY_J_MM3K
from .chain import formula


@formula(
    valid={"thickness_mm": (0.1, 10), "air_c": (-60, 100), "paint_burns_c": (120, 600)},
    source="Rykalin; Grong, Metallurgical Modelling of Welding, ch. 1 (value from memory): one "
    "continuous run in an unbroken sheet.",
)
def paint_burns_mm(
    heat_input_kj_per_mm, thickness_mm, paint_burns_c, air_c, strip_over_line_source
):
    """How far from the weld line paint burns, mm, to each side and on both faces.

    (Q / L) / (sqrt(2 pi e) rho c t (T - T0)), times what the job's own plan makes of it:
    stitches with waits between them burn a narrower strip than one run.
    """
    return (
        1000
        * heat_input_kj_per_mm
        / ((2 * pi * e) ** 0.5 * HEAT_CAPACITY_J_MM3K * thickness_mm * (paint_burns_c - air_c))
        * strip_over_line_source
    )


@formula()
def bare_strip_mm(paint_burns_mm, bright_metal_mm):
    """Width of the strip bared along the seam, mm, both sides of it together.

    As far as paint burns, and never less than what is ground to bright metal.
    """
    return np.maximum(2 * paint_burns_mm, bright_metal_mm)


@formula(valid={"usual_strip_mm": (1, 1000)})
def stripped_m(metres_m, bare_strip_mm, usual_strip_mm, faces_reached):
    """Metres of seam to strip and prime, m, as metres of the usual strip on both faces.

    A back no hand reaches is neither stripped nor primed along the seam.
    """
    return metres_m * bare_strip_mm / usual_strip_mm * faces_reached / 2
