"""The compiled inner loops of the thin-sheet heat solver and of the order planner.

Importing this file imports numba and compiles (or loads from numba's cache):
only `sheet_model.kernels` does so, on the first solve.

Method: RKG2 super-time-stepping (Skaras, Saxton, Meyer and Aslam, Journal of
Computational Physics 425 (2021) 109879; value from memory), the Gegenbauer
sister of RKL2 (Meyer, Balsara and Aslam, JCP 257 (2014) 594).  RKL2 leaves
half of a cell-sized hot spot after every step, RKG2 a third: beside a fresh
tack that is worth its fifth more stages.

Every step is written for its change D = Y - Y0.  The operator is linear, so
M Y0 is formed once and each stage needs only M D: one array less to read, and
rounded coefficients multiply the small D and not the field, which keeps
float32 runs conservative to 1e-5.
"""

from __future__ import annotations

import numba
import numpy as np


def compiled(function, **more):
    """Compile `function`; where no cache directory is writable, without a cache.

    No wrapper for other languages, which nobody calls: it would take a fifth of
    the compiler's time.  numba itself turns to the user's cache directory when the package's own is
    read-only.  A shared temporary directory is not tried: its contents would
    be loaded as code.
    """
    options = {
        "nogil": True,
        "fastmath": {"contract", "nsz", "arcp"},
        "boundscheck": False,
        "error_model": "numpy",
        "no_cfunc_wrapper": True,
        **more,
    }
    try:
        return numba.njit(cache=True, **options)(function)
    except RuntimeError:
        return numba.njit(**options)(function)


def inner(function):
    """Compile a function that only compiled ones call: without the wrapper for Python."""
    return compiled(function, no_cpython_wrapper=True)


@inner
def cross(out, field, links, per_capacity, factor):
    """out += factor x what crosses the links of `field`, K/s: from sheet to sheet of an overlap."""
    cells, conductance = links
    target, rise, inverse = out.reshape(-1), field.reshape(-1), per_capacity.reshape(-1)
    for n in range(conductance.size):
        a, b = cells[n, 0], cells[n, 1]
        flux = factor * conductance[n] * (rise[b] - rise[a])
        target[a] += inverse[a] * flux
        target[b] -= inverse[b] * flux


@compiled
def rate_of_change(out, field, east, north, links, per_capacity, loss):
    """out = M field, K/s, on the cells inside the ring of ghost cells.

    `loss`, 1/s, has a row for each row of cells, or one row that holds for all.
    """
    rows, columns = field.shape
    for j in range(1, rows - 1):
        centre, up, down = field[j], field[j + 1], field[j - 1]
        to_east, to_north, from_south = east[j], north[j], north[j - 1]
        inverse, result, lost = per_capacity[j], out[j], loss[min(j, loss.shape[0] - 1)]
        for i in range(1, columns - 1):
            c = centre[i]
            result[i] = (
                inverse[i]
                * (
                    to_east[i] * (centre[i + 1] - c)
                    - to_east[i - 1] * (c - centre[i - 1])
                    + to_north[i] * (up[i] - c)
                    - from_south[i] * (c - down[i])
                )
                - lost[i] * c
            )
    if links.conductance.size:
        cross(out, field, links, per_capacity, out.dtype.type(1))


@compiled
def stage(older, last, rate, east, north, per_capacity, keep, nu, mt, gt):
    """One stage: older <- keep last + nu older + mt (fluxes of last) + gt rate.

    `keep` is mu - mt loss: the loss to air is folded into it.
    """
    rows, columns = last.shape
    for j in range(1, rows - 1):
        centre, up, down = last[j], last[j + 1], last[j - 1]
        to_east, to_north, from_south = east[j], north[j], north[j - 1]
        inverse, result, first = per_capacity[j], older[j], rate[j]
        kept = keep[min(j, keep.shape[0] - 1)]
        for i in range(1, columns - 1):
            c = centre[i]
            flux = (
                to_east[i] * (centre[i + 1] - c)
                - to_east[i - 1] * (c - centre[i - 1])
                + to_north[i] * (up[i] - c)
                - from_south[i] * (c - down[i])
            )
            result[i] = kept[i] * c + nu * result[i] + mt * (inverse[i] * flux) + gt * first[i]


@inner
def coefficients(dt, explicit):
    """RKG2's mu, nu, mu~ dt and gamma~ dt of every stage of a step of dt, a row each; of the first mu~ dt.

    `explicit` is the longest stable step of forward Euler; s stages allow
    (s - 1)(s + 4) / 6 of it.  Their number is odd: with an even one the
    shortest waves would not be damped.
    """
    stages = int(np.ceil((np.sqrt(25.0 + 24.0 * dt / explicit) - 3.0) / 2.0))
    stages = max(3, stages + 1 - stages % 2)
    rows = np.empty((stages, 4))
    w1 = 6.0 / ((stages - 1.0) * (stages + 4.0))
    rows[0, 2] = 0.4 * w1 * dt
    b2, b1 = 0.4, 0.4
    for n in range(2, stages + 1):
        b = 2.0 * (n - 1.0) * (n + 4.0) / (3.0 * n * (n + 3.0))
        mu = (2.0 * n + 1.0) / (n + 2.0) * b / b1
        mt = mu * w1 * dt
        rows[n - 1, 0] = mu
        rows[n - 1, 1] = -(n - 1.0) / (n + 2.0) * b / b2
        rows[n - 1, 2] = mt
        rows[n - 1, 3] = b1 * mt
        b2, b1 = b1, b
    return rows


@compiled
def step(field, work, east, north, links, per_capacity, loss, explicit, dt):
    """Advance `field` by one step of dt; work[2] already holds its rate of change."""
    stages = coefficients(dt, explicit)
    number = field.dtype.type
    first, second, rate = work[0], work[1], work[2]
    rows, columns = field.shape
    begin = number(stages[0, 2])
    for j in range(1, rows - 1):
        for i in range(1, columns - 1):
            first[j, i] = 0.0
            second[j, i] = begin * rate[j, i]
    keep = np.empty_like(loss)
    for n in range(1, stages.shape[0]):
        mu, nu, mt, gt = stages[n, 0], stages[n, 1], stages[n, 2], stages[n, 3]
        for j in range(loss.shape[0]):
            for i in range(columns):
                keep[j, i] = mu - mt * loss[j, i]
        args = (number(nu), number(mt), number(gt))
        stage(first, second, rate, east, north, per_capacity, keep, *args)
        if links.conductance.size:
            cross(first, second, links, per_capacity, number(mt))
        first, second = second, first
    for j in range(1, rows - 1):
        for i in range(1, columns - 1):
            field[j, i] += second[j, i]


@inner
def highest(field, probes, index):
    """Highest temperature rise along probe line `index`, K."""
    cells, weights = probes.cells, probes.weights
    flat = field.reshape(-1)
    top = -1e30
    for n in range(probes.begin[index], probes.begin[index + 1]):
        value = 0.0
        for m in range(4):
            value += weights[n, m] * flat[cells[n, m]]
        top = max(top, value)
    return top


@inner
def watch(field, probes, peak, watched, lines):
    """Keep the highest field in `peak` and the highest value of the last probe lines."""
    if peak.size > 1:
        for j in range(field.shape[0]):
            for i in range(field.shape[1]):
                peak[j, i] = max(peak[j, i], field[j, i])
    for n in range(watched.size):
        watched[n] = max(watched[n], highest(field, probes, lines + n))


@compiled
def cool(field, work, sheet, span, dt, probes, peak, watched, lines):
    """March over `span` without an arc in growing steps; return the next step's length."""
    east, north, per_capacity, links = sheet.east, sheet.north, sheet.per_capacity, sheet.links
    loss, explicit = sheet.loss_per_s, sheet.explicit_s
    left = span
    while left > 1e-9:
        now = min(dt, left)
        if left - now < 0.25 * now:
            now = left
        rate_of_change(work[2], field, east, north, links, per_capacity, loss)
        step(field, work, east, north, links, per_capacity, loss, explicit, now)
        watch(field, probes, peak, watched, lines)
        left -= now
        dt = min(max(now, dt) * sheet.growth, sheet.longest_step_s)
    return dt


@inner
def copy(target, source):
    """Copy a field into another of its shape."""
    for j in range(source.shape[0]):
        for i in range(source.shape[1]):
            target[j, i] = source[j, i]


@compiled
def close_kerf(sheet, kerf, closed, bins, begin, end):
    """Let the kerf conduct over bins[begin:end] (pieces of seam); closed ones stay closed."""
    east, north = sheet.east.reshape(-1), sheet.north.reshape(-1)
    for n in range(begin, end):
        b = bins[n]
        if closed[b] == 0:
            closed[b] = 1
            face = kerf.bin_face[b]
            if kerf.face_north[face]:
                north[kerf.face_cell[face]] += kerf.share[face]
            else:
                east[kerf.face_cell[face]] += kerf.share[face]


@compiled
def arc(field, work, sheet, samples, begin, end, energy, duration, probes, peak, watched, lines):
    """Put `energy` (J) in along samples begin..end, one after the other, over `duration`."""
    east, north, per_capacity, links = sheet.east, sheet.north, sheet.per_capacity, sheet.links
    loss, explicit = sheet.loss_per_s, sheet.explicit_s
    cells, weights = samples
    count = end - begin
    parts = max(1, int(np.ceil(duration / sheet.first_step_s - 1e-9)))
    dt = duration / parts
    inverse = per_capacity.reshape(-1)
    rate = work[2].reshape(-1)
    for part in range(parts):
        rate_of_change(work[2], field, east, north, links, per_capacity, loss)
        low, high = part * count / parts, (part + 1) * count / parts
        for n in range(int(low), min(count, int(np.ceil(high)))):
            share = (min(high, n + 1.0) - max(low, n)) / count * energy / dt
            for m in range(4):
                cell = cells[begin + n, m]
                rate[cell] += share * weights[begin + n, m] * inverse[cell]
        step(field, work, east, north, links, per_capacity, loss, explicit, dt)
        watch(field, probes, peak, watched, lines)
