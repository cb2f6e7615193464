"""What every room takes sheet steel to be: its density."""

from __future__ import annotations

DENSITY_KG_M3 = 7850.0
"""Steel, EN 1993-1-2:2005 clause 3.2.2 (value from memory)."""
DENSITY_G_MM3 = DENSITY_KG_M3 / 1e6
