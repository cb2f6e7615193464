"""What the machine needs: power from the wall socket, and the duty cycle of a plan."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .chain import formula

TEN_MINUTES_S = 600.0
"""The cycle a duty cycle counts in: EN 60974-1 (value from memory); AWS glossary."""


@formula(valid={"machine_efficiency": (0.1, 1), "power_factor": (0.1, 1)})
def mains_power_va(voltage_v, current_a, machine_efficiency, power_factor):
    """Apparent power a machine draws while the arc burns, VA: U I / (efficiency x power factor)."""
    return voltage_v * current_a / (machine_efficiency * power_factor)


@formula(valid={"mains_voltage_v": (10, 1000)})
def mains_current_a(mains_power_va, mains_voltage_v):
    """Current a machine draws from the wall socket while the arc burns, A."""
    return mains_power_va / mains_voltage_v


def busiest_share(starts_s: Sequence[float], arcs_s: Sequence[float]) -> float:
    """Return the share of its busiest ten minutes in which the arc burns, 0 to 1.

    Parameters
    ----------
    starts_s : start of each weld, s
    arcs_s : how long its arc burns, s; no two overlap

    The busiest ten minutes begin with a weld's start: any others can be moved to one, and
    what burns in them never grows less.
    """
    if not len(starts_s):
        return 0.0
    order = np.argsort(starts_s)
    begin = np.asarray(starts_s, float)[order]
    end = begin + np.asarray(arcs_s, float)[order]
    windows = begin[:, None]
    burning = np.minimum(end, windows + TEN_MINUTES_S) - np.maximum(begin, windows)
    return float(np.clip(burning, 0, None).sum(axis=1).max() / TEN_MINUTES_S)
