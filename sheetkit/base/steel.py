"""What every room takes sheet steel to be: its density, heat capacity and elasticity."""

from __future__ import annotations

DENSITY_KG_M3 = 7850.0
"""Steel, EN 1993-1-2:2005 clause 3.2.2 (value from memory)."""
DENSITY_G_MM3 = DENSITY_KG_M3 / 1e6
HEAT_CAPACITY_J_MM3K = DENSITY_KG_M3 * 600 / 1e9
"""Density x 600 J/(kg K): round mean of EN 1993-1-2 clause 3.4.1.2 over 20-600 degC."""
YOUNG_MPA = 210_000.0
POISSON = 0.3
"""Steel at 20 degC, EN 1993-1-1 clause 3.2.6 (values from memory)."""
