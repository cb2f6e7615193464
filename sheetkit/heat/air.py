"""What a warm sheet's faces and edges lose to still air.

Lengths mm, temperatures deg C, as everywhere; conductivity W/(m K), surface
coefficients W/(m² K), as the standards print them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..base.errors import check, refuse

STEFAN_BOLTZMANN = 5.670374419e-8
GRAVITY = 9.80665


EMISSIVITY = 0.7
"""Carbon steel, EN 1993-1-2:2005 clause 2.2 (value from memory); bright cold-rolled 0.1-0.3."""
SURFACE_C = 60.0
"""Face temperature at which default losses are taken: that of a sheet ready for its next stitch."""
_AIR_K = np.array([250, 300, 350, 400, 450, 500, 550, 600, 650, 700, 800, 900, 1000.0])
_AIR_NU = 1e-6 * np.array(
    [11.44, 15.89, 20.92, 26.41, 32.39, 38.79, 45.57, 52.69, 60.21, 68.10, 84.93, 102.9, 121.9]
)
_AIR_ALPHA = 1e-6 * np.array(
    [15.9, 22.5, 29.9, 38.3, 47.2, 56.7, 66.7, 76.9, 87.3, 98.0, 120, 143, 168.0]
)
_AIR_K_W = 1e-3 * np.array(
    [22.3, 26.3, 30.0, 33.8, 37.3, 40.7, 43.9, 46.9, 49.7, 52.4, 57.3, 62.0, 66.7]
)


def radiation_coefficient(surface_c, ambient_c, *, emissivity=EMISSIVITY):
    """Radiation as a surface coefficient, W/(m² K): e s (Ts² + Ta²)(Ts + Ta), kelvin.

    Parameters
    ----------
    surface_c, ambient_c : deg C, -50 to 2000
    emissivity : 0.02 to 1; polished or cold-rolled 0.1-0.3, oxidised or painted 0.7-0.9

    Source
    ------
    Stefan-Boltzmann law; emissivity EN 1993-1-2 clause 2.2 (value from memory).
    """
    check("emissivity", emissivity, 0.02, 1.0)
    ts, ta = np.asarray(surface_c, float) + 273.15, np.asarray(ambient_c, float) + 273.15
    return (np.asarray(emissivity) * STEFAN_BOLTZMANN * (ts**2 + ta**2) * (ts + ta))[()]


def convection_coefficient(surface_c, ambient_c, *, facing="up", length_mm=75.0):
    """Natural convection from one hot face of a plate in still air, W/(m² K): Nu k / L.

    Ra = g (Ts - Ta) L³ / (Tf nu a) at the film temperature Tf.
    Up: Nu = 0.54 Ra^(1/4) below 1e7, 0.15 Ra^(1/3) above; down: 0.27 Ra^(1/4);
    vertical: 0.59 Ra^(1/4) below 1e9, 0.10 Ra^(1/3) above.

    Parameters
    ----------
    surface_c, ambient_c : deg C, surface at or above ambient
    facing : "up", "down" or "vertical"
    length_mm : area / perimeter of a horizontal plate (75 for 300 x 300), height
        of a vertical one, mm, 5 to 3000

    Source
    ------
    Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, ch. 9, air
    from its table A.4 (values from memory).  Newer editions give the
    downward face 0.52 Ra^(1/5), about 8 % less.
    """
    check("length_mm", length_mm, 5, 3000, "mm")
    if facing not in ("up", "down", "vertical"):
        refuse("facing", facing, "must be up, down or vertical", "choose one of these")
    rise = np.maximum(np.asarray(surface_c, float) - np.asarray(ambient_c, float), 0.0)
    film = np.asarray(ambient_c, float) + 273.15 + rise / 2
    nu, alpha, k = (np.interp(film, _AIR_K, row) for row in (_AIR_NU, _AIR_ALPHA, _AIR_K_W))
    length = np.asarray(length_mm) / 1000
    ra = GRAVITY * rise * length**3 / (film * nu * alpha)
    if facing == "up":
        nusselt = np.where(ra < 1e7, 0.54 * ra**0.25, 0.15 * np.cbrt(ra))
    elif facing == "down":
        nusselt = 0.27 * ra**0.25
    else:
        nusselt = np.where(ra < 1e9, 0.59 * ra**0.25, 0.10 * np.cbrt(ra))
    return (nusselt * k / length)[()]


def surface_coefficient(
    surface_c=SURFACE_C, ambient_c=20.0, *, facing="up", length_mm=75.0, emissivity=EMISSIVITY
):
    """Loss of one face by natural convection and radiation together, W/(m² K).

    Parameters as in `convection_coefficient` and `radiation_coefficient`.
    """
    return convection_coefficient(
        surface_c, ambient_c, facing=facing, length_mm=length_mm
    ) + radiation_coefficient(surface_c, ambient_c, emissivity=emissivity)


def forced_convection_coefficient(surface_c, ambient_c, speed_m_s, *, length_mm=300.0):
    """Forced convection from one face of a plate along which air flows, W/(m² K).

    0.664 Re^(1/2) Pr^(1/3) k / L with air at the film temperature: a laminar layer, its mean.

    Parameters
    ----------
    surface_c, ambient_c : deg C
    speed_m_s : of the air, 0 to 20
    length_mm : of the plate along the air, mm, 5 to 3000

    Source
    ------
    Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, ch. 7 (value from memory).
    """
    check("speed_m_s", speed_m_s, 0, 20, "m/s")
    check("length_mm", length_mm, 5, 3000, "mm")
    film = (np.asarray(surface_c, float) + np.asarray(ambient_c, float)) / 2 + 273.15
    nu, alpha, k = (np.interp(film, _AIR_K, row) for row in (_AIR_NU, _AIR_ALPHA, _AIR_K_W))
    length = np.asarray(length_mm) / 1000
    reynolds = np.asarray(speed_m_s, float) * length / nu
    return (0.664 * np.sqrt(reynolds) * np.cbrt(nu / alpha) * k / length)[()]


def closed_section_coefficient(
    surface_c=SURFACE_C, ambient_c=20.0, *, depth_mm=50.0, emissivity=EMISSIVITY
):
    """Loss of a face into a closed section and through its far wall, W/(m² K).

    Still air conducts and the walls radiate to each other; the far wall, of thin
    sheet, loses the same heat from its outer face:
    h_in (Ts - Tw) = h_out (Tw - Ta), the coefficient over Ts - Ta.

    Parameters
    ----------
    surface_c, ambient_c : deg C
    depth_mm : between the walls, mm, 2 to 500
    emissivity : of all the faces, 0.02 to 1

    Source
    ------
    Radiation between parallel plates and the sum of resistances as in Incropera
    and DeWitt, ch. 3 and 13 (values from memory).  That the air within only
    conducts is on the safe side.
    """
    check("depth_mm", depth_mm, 2, 500, "mm")
    air_k = float(np.interp((surface_c + ambient_c) / 2 + 273.15, _AIR_K, _AIR_K_W))
    between = 1 / (2 / emissivity - 1)
    wall_c, inner, outer = (surface_c + ambient_c) / 2, 0.0, 1.0
    for _ in range(60):  # halves the error each time
        gap = radiation_coefficient(surface_c, wall_c, emissivity=1.0) * between
        inner = 1000 * air_k / depth_mm + gap
        outer = surface_coefficient(
            max(wall_c, ambient_c + 0.1), ambient_c, facing="vertical", emissivity=emissivity
        )
        met = (inner * surface_c + outer * ambient_c) / (inner + outer)
        wall_c = (wall_c + met) / 2
    return float(inner * outer / (inner + outer))


@dataclass(frozen=True)
class Losses:
    """What the sheet loses, and to what air.

    h_top, h_bottom : surface coefficients of the faces, W/(m² K), 0 to 500
    ambient_c : deg C, -40 to 60; the sheet's temperature before the first weld
    edges : surface coefficient of the panel's edges, W/(m² K), 0 (insulated) to 1e5
    """

    h_top: float
    h_bottom: float
    ambient_c: float = 20.0
    edges: float = 0.0

    def __post_init__(self) -> None:
        check("h_top", self.h_top, 0, 500, "W/(m² K)")
        check("h_bottom", self.h_bottom, 0, 500, "W/(m² K)")
        check("ambient_c", self.ambient_c, -40, 60, "degC")
        check("edges", self.edges, 0, 1e5, "W/(m² K)")

    @classmethod
    def still_air(cls, ambient_c: float = 20.0) -> Losses:
        """Return the losses of a horizontal sheet at 60 degC in still air on both faces."""
        check("ambient_c", ambient_c, -40, 60, "degC")
        surface_c = max(SURFACE_C, ambient_c + 20)
        top, bottom = (
            float(surface_coefficient(surface_c, ambient_c, facing=facing))
            for facing in ("up", "down")
        )
        return cls(top, bottom, ambient_c)

    @property
    def faces(self) -> float:
        """Both faces together, W/(m² K)."""
        return self.h_top + self.h_bottom


INSULATED = Losses(0.0, 0.0)
"""A sheet that loses nothing."""
