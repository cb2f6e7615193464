"""Shielding gas: how much flows, what a cylinder holds, what is left in it."""

from __future__ import annotations

import re
from bisect import bisect
from functools import cache, lru_cache
from math import prod
from operator import mul

from ..base import tables
from ..base.errors import Fault, OutOfRange, check
from ..base.tables import known_name, rows
from .chain import formula

REFERENCE_C = 15.0
KELVIN = 273.15


MOST_BAR = 298.0
"""The highest gauge pressure the real-gas table reaches."""

CO2_L_PER_KG = 534.0
"""Free gas in a kilogram of CO2, at 15 degC and 1.01325 bar (derived: 44.01 g/mol, Z 0.9942)."""
REFERENCE_BAR = 1.01325
"""Free gas is counted at 15 degC and 1.01325 bar."""


def content_l(
    water_volume_l: float,
    pressure_bar: float,
    temperature_c: float = REFERENCE_C,
    *,
    gas: str = "M21",
) -> float:
    """Return the free gas in a cylinder, litres: V p T0 / (Z p0 T).

    Parameters
    ----------
    water_volume_l : float
        Stamped on the shoulder, 0.2 to 200 l.
    pressure_bar : float
        What the gauge shows, 0 to 298 bar.
    temperature_c : float
        The cylinder's own temperature, -10 to 50 degC: a cold gauge reads low.
    gas : {"I1", "M20", "M21"}
        ISO 14175 main group, or a full designation such as "M21-ArC-25"; "C1" is refused.

    Source: real-gas law with the compressibility of the table "real_gas".
    """
    _is_gas(gas)
    check("water volume", water_volume_l, 0.2, 200, "l")
    check("pressure", pressure_bar, 0, MOST_BAR, "bar")
    check("temperature", temperature_c, -10, 50, "degC")
    z = compressibility(gas, pressure_bar + REFERENCE_BAR, temperature_c)
    warmth = (REFERENCE_C + KELVIN) / (temperature_c + KELVIN)
    return cylinder_content_l(water_volume_l, pressure_bar, z) * warmth


def _is_gas(gas: str) -> None:
    if gas.split("-")[0] == "C1":
        raise OutOfRange(
            Fault("gas", '"C1"', "CO2 is liquid in its cylinder and its gauge shows no content",
                  f"weigh the cylinder: {CO2_L_PER_KG:g} l a kg of CO2")
        )  # fmt: skip


def usable_l(
    water_volume_l: float,
    pressure_bar: float,
    temperature_c: float = REFERENCE_C,
    *,
    gas: str = "M21",
) -> float:
    """Return the gas that can be drawn before the residual pressure (table "limits"), litres."""
    residual = tables.row("limits", "residual_pressure", "value").value
    kept = content_l(water_volume_l, min(residual, pressure_bar), temperature_c, gas=gas)
    return content_l(water_volume_l, pressure_bar, temperature_c, gas=gas) - kept


@cache
def _grid(gas: str) -> tuple[list[float], list[float], dict[tuple[float, float], float]]:
    known_name("real_gas", gas)
    z = {}
    for point in rows("real_gas"):
        if point.name == gas:
            _, _, t, _, p, _ = point.quantity.split()
            z[float(t), float(p)] = point.value
            z[float(t), 0.0] = 1.0  # every gas is ideal as its pressure goes to nothing
    return sorted({t for t, _ in z}), sorted({p for _, p in z}), z


def _weights(points: list[float], x: float) -> list[float]:
    return [prod((x - b) / (a - b) for b in points if b != a) for a in points]


@lru_cache(maxsize=256)
def _isotherm(gas: str, temperature_c: float) -> tuple[float, ...]:
    temperatures, pressures, z = _grid(gas)
    weights = _weights(temperatures, temperature_c)
    return tuple(sum(map(mul, weights, [z[t, p] for t in temperatures])) for p in pressures)


def compressibility(gas: str, pressure_bar: float, temperature_c: float) -> float:
    """Return the compressibility factor Z of a cylinder gas, from p V = Z n R T.

    Lagrange polynomials through the table, over all temperatures and the six nearest
    pressures; within 0.1 % of the equation of state it was computed from.  Between
    the table's mixtures linear in the share of CO2.
    gas: "I1" argon, "M20" argon with 8 % CO2, "M21" argon with 18 % CO2, or a full
    designation such as "M21-ArC-25" (ISO 14175).
    pressure_bar: absolute, 0 to 300 bar; temperature_c: -10 to 50 C.
    Raises OutOfRange outside these, UnknownName for another gas (C1 is liquid in its cylinder).
    """
    share = _co2_percent(gas)
    if share is None:
        return _of_table(gas, pressure_bar, temperature_c)
    upper = next((k for k, name in enumerate(_MIXTURES) if _MIXTURES[name] >= share), -1)
    (below, least), (above, most) = [*_MIXTURES.items()][max(upper - 1, 0) :][:2]
    part = (share - least) / (most - least)
    ends = [_of_table(name, pressure_bar, temperature_c) for name in (below, above)]
    return ends[0] + part * (ends[1] - ends[0])


_MIXTURES = {"I1": 0.0, "M20": 8.0, "M21": 18.0, "M21-ArC-25": 25.0}
"""Names in the table "real_gas", each with its per cent of CO2 in argon."""


def _co2_percent(gas: str) -> float | None:
    """Return the per cent of CO2 a full designation names; None where only the group is known."""
    named = re.fullmatch(r"M2[01]-ArC-(\d+(?:\.\d+)?)", gas)
    return min(float(named[1]), 25.0) if named else None


def mixture_in_words(gas: str) -> str:
    """Return which mixture a gas is counted as, for the origin of its figures."""
    share = _co2_percent(gas)
    if share is not None:
        return f"argon with {share:g} % CO2"
    group = gas.split("-")[0]
    share = _MIXTURES.get(group)
    return f"{group} taken as argon with {share:g} % CO2" if share else gas


def _of_table(gas: str, pressure_bar: float, temperature_c: float) -> float:
    """Return Z by one mixture's rows."""
    gas = gas if gas in _MIXTURES else gas.split("-")[0]
    temperatures, pressures, _ = _grid(gas)
    check("pressure_bar", pressure_bar, pressures[0], pressures[-1], "bar")
    check("temperature_c", temperature_c, temperatures[0], temperatures[-1], "degC")
    along = _isotherm(gas, temperature_c)
    i = min(max(0, bisect(pressures, pressure_bar) - 3), len(pressures) - 6)
    return sum(map(mul, _weights(pressures[i : i + 6], pressure_bar), along[i : i + 6]))


@formula()
def gas_arc_l(flow_l_min, arc_time_s):
    """Gas while the arc burns, litres: flow x arc time."""
    return flow_l_min * arc_time_s / 60


@formula()
def gas_real_l(gas_arc_l, starts, flow_l_min, pre_flow_s, post_flow_s, start_surge_l):
    """Gas the job really takes, litres: the arc's, and each start's pre-flow, post-flow and surge.

    The surge is what the hose stores at regulator pressure between starts:
    hose volume x gauge pressure / atmospheric pressure at most.
    """
    return gas_arc_l + starts * ((pre_flow_s + post_flow_s) / 60 * flow_l_min + start_surge_l)


@formula(valid={"compressibility": (0.5, 2)})
def cylinder_content_l(water_volume_l, pressure_bar, compressibility):
    """Free gas in a cylinder at 15 degC and 1.01325 bar, litres: V p / (Z p0).

    Parameters
    ----------
    water_volume_l : l
    pressure_bar : gauge pressure, bar
    compressibility : Z of the gas at that pressure and 15 degC, 1
    """
    return water_volume_l * (pressure_bar + REFERENCE_BAR) / (compressibility * REFERENCE_BAR)


@formula()
def cylinder_left_l(cylinder_content_l, gas_real_l):
    """Gas left in the cylinder after the job, litres; below zero is what is missing."""
    return cylinder_content_l - gas_real_l
