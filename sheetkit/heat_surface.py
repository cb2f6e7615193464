"""Properties of the sheet and what its faces lose to still air.

Lengths mm, temperatures deg C, as everywhere; conductivity W/(m K), surface
coefficients W/(m² K), as the standards print them.
"""

from __future__ import annotations

import numpy as np

from .errors import Fault, OutOfRange

STEFAN_BOLTZMANN = 5.670374419e-8
GRAVITY = 9.80665
DENSITY_KG_M3 = 7850.0
"""Steel, EN 1993-1-2:2005 clause 3.2.2 (value from memory)."""
CONDUCTIVITY_W_MK = 40.0
"""Round mean of EN 1993-1-2 clause 3.4.1.3 over 20-800 degC (40.3)."""
HEAT_CAPACITY_J_MM3K = 4.71e-3
"""Density 7850 kg/m³ x 600 J/(kg K): round mean of EN 1993-1-2 clause 3.4.1.2 over 20-600 degC."""
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


def refuse(field: str, value: object, limit: str, remedy: str) -> None:
    """Raise OutOfRange naming field, value, limit and remedy."""
    raise OutOfRange(Fault(field, str(value), limit, remedy))


def check(field: str, value, low: float, high: float, unit: str = ""):
    """Return `value` if all of it lies in low..high (NaN never does), else refuse it."""
    if not np.all((np.asarray(value, float) >= low) & (np.asarray(value, float) <= high)):
        limit = f"must be {low:g} to {high:g} {unit}".strip()
        refuse(field, f"{value} {unit}".strip(), limit, "give a value inside these limits")
    return value


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
