"""Orders that welders use, and the halving rounds of tacks: pure counting, no heat."""

from __future__ import annotations

from collections.abc import Sequence
from math import gcd

import numpy as np


def loop_order(count: int) -> list[int]:
    """Return once round, 0, 1, 2, ...: what to compare with."""
    return list(range(count))


def skip_order(count: int, step: int) -> list[int]:
    """Return every `step`-th stitch, then the next after the first, and so on."""
    return [n for first in range(max(1, step)) for n in range(first, count, max(1, step))]


def skip_round_order(count: int, step: int) -> list[int]:
    """Return every `step`-th stitch going round and round; every stitch once.

    Where step and count share a divisor, each time round ends one further on.
    """
    share = gcd(count, step) if count else 1
    return [(shift + n * step) % count for shift in range(share) for n in range(count // share)]


def van_der_corput_order(count: int) -> list[int]:
    """Return 0, 1/2, 1/4, 3/4, 1/8, ... of the way round: each new stitch in the widest gap."""
    bits = max(1, (max(count, 1) - 1).bit_length())
    reversed_bits = (int(f"{n:0{bits}b}"[::-1], 2) for n in range(1 << bits))
    return [n for n in reversed_bits if n < count]


def opposite_order(count: int, step: int = 1) -> list[int]:
    """Return pairs on opposite sides; the pairs follow each other in skips of `step`."""
    half = (count + 1) // 2
    return [n for k in skip_order(half, step) for n in (k, k + half) if n < count]


def back_step_order(count: int, block: int = 3) -> list[int]:
    """Return blocks in turn, each welded backwards towards the one before."""
    blocks = range(0, count, max(1, block))
    return [n for first in blocks for n in reversed(range(first, min(first + block, count)))]


def tack_rounds(tacks: Sequence) -> list[list[int]]:
    """Return rounds of tacks, each about halving the distance left by the one before.

    Every tack is put as far as possible from all made so far; a new round
    begins when that distance has halved.

    Parameters
    ----------
    tacks : WeldRuns or (n, 2) arrays of points in mm

    Returns
    -------
    list of lists of indices into `tacks`, in welding order.

    Source
    ------
    Wide apart first, halving each round: common practice, no source.
    """
    if not len(tacks):
        return []
    middle = np.array([np.mean(getattr(tack, "path", tack), axis=0) for tack in tacks])
    away = np.hypot(*(middle - middle[0]).T)
    rounds, widest = [[0]], None
    taken = np.zeros(len(middle), bool)
    taken[0] = True
    while not taken.all():
        reach = np.where(taken, -1.0, np.round(away, 6))
        chosen = int(np.argmax(reach))
        if widest is None:
            widest = reach[chosen]
        elif reach[chosen] < 0.5 * widest + 1e-6:
            widest = reach[chosen]
            rounds.append([])
        rounds[-1].append(chosen)
        taken[chosen] = True
        away = np.minimum(away, np.hypot(*(middle - middle[chosen]).T))
    return rounds


def heat_imbalance_mm(points, energy_j, end_s, *, loss_per_s: float) -> float:
    """How lopsided an order heats the seam, mm: mean distance of the heat's centre from the seam's.

    mean over the stitches of | sum Qi exp(-b (t - ti)) (xi - xc) | / sum Qi exp(-b (t - ti)),
    at each stitch's end t, over the stitches done by then; xc is the centroid of all.

    Parameters
    ----------
    points : (n, 2) middles of the stitches in welding order, mm
    energy_j, end_s : (n,) their heat and the ends of their arcs
    loss_per_s : b, the rate at which the sheet loses its heat

    Source
    ------
    Our own measure: no source.
    """
    points, energy, end = (np.asarray(part, float) for part in (points, energy_j, end_s))
    if not energy.sum() > 0:
        return 0.0
    centre = (points * energy[:, None]).sum(axis=0) / energy.sum()
    age = np.maximum(end[:, None] - end[None, :], 0.0)
    left = np.tril(np.exp(-loss_per_s * age)) * energy
    off = left @ (points - centre) / left.sum(axis=1, keepdims=True)
    return float(np.hypot(*off.T).mean())
