"""Steel's density, conductivity and heat capacity, constant or by temperature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..base.errors import check
from ..base.steel import HEAT_CAPACITY_J_MM3K

CONDUCTIVITY_W_MK = 40.0
"""Round mean of EN 1993-1-2 clause 3.4.1.3 over 20-800 degC (40.3)."""


@dataclass(frozen=True)
class Steel:
    """A steel's constant properties: conductivity, W/(m K), 5 to 400; heat capacity by volume.

    heat_capacity_j_mm3k : density x specific heat, J/(mm³ K), 1e-3 to 1e-2
    """

    conductivity_w_mk: float = CONDUCTIVITY_W_MK
    heat_capacity_j_mm3k: float = HEAT_CAPACITY_J_MM3K

    def __post_init__(self) -> None:
        check("conductivity_w_mk", self.conductivity_w_mk, 5, 400, "W/(m K)")
        check("heat_capacity_j_mm3k", self.heat_capacity_j_mm3k, 1e-3, 1e-2, "J/(mm³ K)")

    @property
    def diffusivity_mm2_s(self) -> float:
        """Conductivity over heat capacity, mm²/s."""
        return self.conductivity_w_mk / 1000 / self.heat_capacity_j_mm3k


MILD_STEEL = Steel()
"""The steel taken where none is given."""


def conductivity_en1993(temperature_c):
    """Thermal conductivity of carbon steel, W/(m K): 54 - 0.0333 T to 800 degC, 27.3 above.

    Parameters
    ----------
    temperature_c : deg C, 20 to 1200 (held at the ends outside)

    Source
    ------
    EN 1993-1-2:2005 clause 3.4.1.3 (coefficient 3.33e-2 from memory: the one
    that is continuous at 800 degC).
    """
    t = np.clip(np.asarray(temperature_c, float), 20.0, 1200.0)
    return np.where(t < 800.0, 54.0 - 3.33e-2 * t, 27.3)[()]


def specific_heat_en1993(temperature_c):
    """Specific heat of carbon steel, J/(kg K), with the peak of 5000 at 735 degC.

    Parameters
    ----------
    temperature_c : deg C, 20 to 1200 (held at the ends outside)

    Source
    ------
    EN 1993-1-2:2005 clause 3.4.1.2.
    """
    t = np.clip(np.asarray(temperature_c, float), 20.0, 1200.0)
    with np.errstate(divide="ignore"):
        return np.select(
            [t < 600.0, t < 735.0, t < 900.0],
            [
                425.0 + 0.773 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3,
                666.0 + 13002.0 / np.maximum(738.0 - t, 3.0),
                545.0 + 17820.0 / np.maximum(t - 731.0, 4.0),
            ],
            650.0,
        )[()]
