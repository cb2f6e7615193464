"""The planner's quick estimate of an order and its annealing, compiled.

Heat flow is linear, so the temperature before a stitch is a sum of what each
earlier stitch sends there.  Those responses are computed by the solver
itself, with its kerf, for every pair; an order is then timed by look-up, a
hundred times faster than by marching the field.
"""

from __future__ import annotations

import numpy as np

from ..heat.kernel import compiled, inner

RESOLUTION_S = 0.5
HORIZON_S = 600.0


@compiled
def rise(weld, at, count, order, ends, responses, total):
    """Estimated highest rise along `weld` from `at` on, K, after `count` stitches of `order`.

    Rows after those of the stitches are parts of places that must stay cool.
    """
    base, table = responses.base, responses.table
    index, share = responses.row, responses.share
    slot = min(int(at / RESOLUTION_S), index.size - 1)
    n, u = index[slot], share[slot]
    a = (1.0 - u) * base[n, weld, 0] + u * base[n + 1, weld, 0]
    b = (1.0 - u) * base[n, weld, 1] + u * base[n + 1, weld, 1]
    c = (1.0 - u) * base[n, weld, 2] + u * base[n + 1, weld, 2]
    done = count / total
    for m in range(count):
        other = order[m]
        slot = int((at - ends[m]) / RESOLUTION_S)
        if slot < index.size:
            n, u = index[slot], share[slot]
            row, after = table[weld, other, n], table[weld, other, n + 1]
            p, q = (1.0 - u) * (1.0 - done), u * (1.0 - done)
            r, s = (1.0 - u) * done, u * done
            a += p * row[0] + q * after[0] + r * row[3] + s * after[3]
            b += p * row[1] + q * after[1] + r * row[4] + s * after[4]
            c += p * row[2] + q * after[2] + r * row[5] + s * after[5]
    return max(a, max(b, c))


@inner
def held_rise(weld, at, count, order, ends, rules):
    """As `rise`; as far over the stitch's limit as a place that must stay cool is over what is left.

    The places are looked at where the stitch itself may start.
    """
    limit, total = rules.limit_k[weld], rules.duration_s.size
    value = rise(weld, at, count, order, ends, rules.responses, total)
    if value <= limit:
        for row in range(rules.room_k.shape[1]):
            there = rise(total + row, at, count, order, ends, rules.responses, total)
            value = max(value, there * limit / rules.room_k[weld, row])
    return value


@compiled
def estimate(order, begin, starts, ends, rules, cutoff):
    """Fill starts and ends of `order` from position `begin` on; return the total time, s.

    All from the end of tacking.

    Returns inf as soon as it passes `cutoff`.
    """
    limits, moves, duration = rules.limit_k, rules.moves_s, rules.duration_s
    count = order.size
    rest = 0.0
    for n in range(begin + 1, count):
        rest += moves[order[n - 1], order[n]] + duration[order[n]]
    for n in range(begin, count):
        weld = order[n]
        limit = limits[weld]
        ready = rules.first_moves_s[weld] if n == 0 else ends[n - 1] + moves[order[n - 1], weld]
        latest = cutoff - rest - duration[weld]
        value = held_rise(weld, ready, n, order, ends, rules)
        low, low_value, wide = ready, value, 5.0
        while value > limit:
            if ready > latest or ready - low > 3e4:
                return np.inf
            low, low_value = ready, value
            ready += wide
            wide *= 1.6
            value = held_rise(weld, ready, n, order, ends, rules)
        high, high_value = ready, value
        for _ in range(6):
            if high - low < 0.2 or limit - high_value < 0.02:
                break
            # temperatures fall about as exponentials: straight lines of their logarithms
            part = np.log(low_value / limit) / np.log(low_value / max(high_value, 1e-3))
            middle = low + min(max(part, 0.05), 0.95) * (high - low)
            value = held_rise(weld, middle, n, order, ends, rules)
            if value > limit:
                low, low_value = middle, value
                if limit / value > 0.9997:
                    high = middle
                    break
            else:
                high, high_value = middle, value
        starts[n] = high
        ends[n] = high + duration[weld]
        if high > latest:
            return np.inf
        if n + 1 < count:
            rest -= moves[weld, order[n + 1]] + duration[order[n + 1]]
    return ends[count - 1]


@compiled
def anneal(order, best_order, best, rules, span, schedule, chances):
    """Improve `order` by swaps, insertions and reversals; return the best total time so far, s.

    `order` goes on from call to call, `best_order` keeps the best of all;
    `span` is (first round, rounds of the whole annealing), `chances` four
    numbers from 0 to 1 for each round of this call.
    """
    begin, rounds = span
    warm, cold = schedule
    count = order.size
    starts, ends = np.zeros(count), np.zeros(count)
    first = count - count  # a plain 0 is a type of its own: numba would compile estimate twice
    now = estimate(order, first, starts, ends, rules, np.inf)
    trial, trial_starts, trial_ends = order.copy(), starts.copy(), ends.copy()
    for k in range(chances.shape[0]):
        heat = warm * (cold / warm) ** ((begin + k) / rounds)
        i, j = int(count * chances[k, 0]), int(count * chances[k, 1])
        low, high = min(i, j), max(i, j)
        kind = int(4 * chances[k, 2]) if low < high else 4
        for m in range(count):
            source = m
            if low <= m <= high:
                if kind == 0:
                    source = low + high - m
                elif kind == 1:
                    source = high if m == low else m - 1
                elif kind == 2:
                    source = low if m == high else m + 1
                elif kind == 3 and m in (low, high):
                    source = low + high - m
            trial[m] = order[source]
            trial_starts[m], trial_ends[m] = starts[m], ends[m]
        allowed = now - heat * np.log(1.0 - chances[k, 3])
        # an order given up half way has no times behind that place to go on from
        value = estimate(
            trial, low if now < np.inf else first, trial_starts, trial_ends, rules, allowed
        )
        if value <= allowed:
            now = value
            for m in range(count):
                order[m], starts[m], ends[m] = trial[m], trial_starts[m], trial_ends[m]
                if value < best:
                    best_order[m] = trial[m]
            best = min(best, value)
    return best


@inner
def begins(ready, base, rises, weld, before, ends, limit):
    """The soonest time from `ready` on at which `weld` may start, heated by those in `before`, s.

    `base` has the highest rises along its thirds, then the means, to which those of `rises` add.
    `before` is a set (bits) of others, each of which ended no sooner than `ends` says.
    """
    horizon, most = rises.shape[2] - 1, base.shape[0] - 1
    at, over = ready, 0.0
    while int(at) < most:
        slot = int(at)
        part, excess = at - slot, -np.inf
        for third in range(3):
            top = (1.0 - part) * base[slot, weld, third] + part * base[slot + 1, weld, third]
            excess = max(excess, top - limit)
            mean = third + 3
            value = (1.0 - part) * base[slot, weld, mean] + part * base[slot + 1, weld, mean]
            for other in range(ends.size):
                if before >> other & 1:
                    lag = int(at - ends[other])
                    if lag < horizon:
                        u = at - ends[other] - lag
                        sent = rises[weld, other]
                        value += (1.0 - u) * sent[lag, third] + u * sent[lag + 1, third]
            excess = max(excess, value - limit)
        if excess <= 0.0:
            return at if over == 0.0 else at + excess / (over - excess)
        at, over = at + 1.0, excess
    return at


@compiled
def least_rest(base, rises, limit, first, moves, duration, within):
    """How soon all can be done if each in turn is the next, s from now; a bound from below.

    `base` (seconds, stitches, 6) is what the sheet as it stands sends to each;
    `rises` (stitch, from stitch, seconds, 3) what each sends to each at least.
    Over the sets of what is done and which was last: the last ended at the
    soonest, and the others sent their heat as early as any could.  Infinite
    where it is more than `within`.
    """
    count = duration.size
    bounds, ends, lags = np.full(count, np.inf), np.zeros(count), np.zeros(count)
    soonest, rest = np.empty((1 << count, count)), np.zeros(1 << count)
    none = count - count  # no plain 0, see anneal
    for done in range(1 << count):
        for weld in range(count):
            if not done >> weld & 1:
                rest[done] += duration[weld]
    for weld in range(count):
        ends[weld] = (
            begins(first[weld], base, rises, weld, none, ends, limit[weld]) + duration[weld]
        )
    for begin in range(count):
        soonest[:] = np.inf
        soonest[1 << begin, begin] = ends[begin]
        for other in range(count):
            if other != begin:
                ready = max(ends[begin] + moves[begin, other], ends[other] - duration[other])
                at = begins(ready, base, rises, other, 1 << begin, ends, limit[other])
                lags[other] = at + duration[other]
        lags[begin] = ends[begin]
        for done in range(1 << count):
            for last in range(count):
                end = soonest[done, last]
                if end + rest[done] > within:
                    continue
                kept, lags[last] = lags[last], end
                for weld in range(count):
                    if done >> weld & 1:
                        continue
                    now, ready = done | 1 << weld, end + moves[last, weld]
                    if ready + duration[weld] < soonest[now, weld]:
                        at = begins(ready, base, rises, weld, done, lags, limit[weld])
                        soonest[now, weld] = min(soonest[now, weld], at + duration[weld])
                lags[last] = kept
        for last in range(count):  # ndarray.min takes half a second to compile
            bounds[begin] = min(bounds[begin], soonest[(1 << count) - 1, last])
    return bounds
