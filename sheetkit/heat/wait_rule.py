"""The wait rule: when a weld may start, judged from its start to a look-ahead later."""

from __future__ import annotations

import numpy as np

from .kernel import arc, close_kerf, compiled, cool, copy, highest, inner, watch

GIVE_UP_S = 4 * 3600.0


@inner
def over(field, probes, weld, lines, limit, held, own):
    """How far the sheet is above what allows weld `weld` to start, K (below 0: it may)."""
    excess = highest(field, probes, weld) - limit
    for n in range(held.size):
        excess = max(excess, highest(field, probes, lines + n) + own[weld, n] - held[n])
    return excess


@compiled
def time_welds(
    order, fixed, rules, field, sheet, closed, kerf, welds, probes, held, own, watched, peak
):
    """Give each weld of `order` its start; changes field, sheet and closed as it goes.

    `fixed` holds given starts, or is empty: then each weld starts as soon as
    the arm is there and the temperature along it stays within the limit over
    the look-ahead.  Returns starts, waits and the highest rise along each weld
    over the look-ahead without its own heat; inf in the starts after `cutoff`.
    """
    ahead, cutoff, clock = rules.look_ahead_s, rules.cutoff_s, rules.clock
    bins_begin, begin, ends = welds.bins_begin, welds.begin, welds.ends_mm
    energy, duration = welds.energy_j, welds.duration_s
    lines = energy.size
    count = order.size
    starts, waits, peaks = np.full(count, np.inf), np.zeros(count), np.zeros(count)
    work = np.zeros((3, *field.shape), field.dtype)
    save = np.zeros_like(field)
    unseen, unwatched = np.zeros((1, 1), field.dtype), np.zeros(0)
    first_step, growth, longest = sheet.first_step_s, sheet.growth, sheet.longest_step_s
    dt = first_step
    origin = clock
    for n in range(count):
        weld = order[n]
        limit = rules.limit_k[weld]
        move = 0.0
        previous = order[n - 1] if n > 0 else int(rules.after)
        if previous >= 0:
            dx, dy = ends[weld, 0] - ends[previous, 2], ends[weld, 1] - ends[previous, 3]
            move = rules.settle_s + np.sqrt(dx * dx + dy * dy) / rules.move_mm_s
        begin_at = fixed[n] if fixed.size else clock + move
        dt = cool(field, work, sheet, begin_at - clock, dt, probes, peak, watched, lines)
        copy(save, field)
        saved_at, start = begin_at, begin_at
        excess = over(field, probes, weld, lines, limit, held, own)
        along = highest(field, probes, weld)
        top = along
        waiting = excess > 0.0 and fixed.size == 0
        now, ahead_dt = begin_at, min(dt, 0.25 * ahead)
        while waiting or now < start + ahead - 1e-9:
            length = ahead_dt if waiting else min(ahead_dt, max(start + ahead - now, 0.05))
            cool(field, work, sheet, length, length, probes, unseen, unwatched, lines)
            now += length
            ahead_dt = min(ahead_dt * growth, 0.5 * ahead if waiting else 0.25 * ahead)
            before, excess = excess, over(field, probes, weld, lines, limit, held, own)
            along = highest(field, probes, weld)
            if fixed.size == 0 and excess > 0.0:
                waiting = True
                saved_at = now
                copy(save, field)
                watch(field, probes, peak, watched, lines)
                if now - origin > cutoff or now - begin_at > GIVE_UP_S:
                    return starts, waits, peaks
            elif waiting:
                waiting = False
                high, low = (
                    np.log((before + limit) / limit),
                    np.log(max(excess + limit, 1e-3) / limit),
                )
                start = min(now, now - length * (0.0 - low) / max(high - low, 1e-9) + 0.02)
                top = along
            else:
                top = max(top, along)
        copy(field, save)
        if start > saved_at:
            cool(
                field, work, sheet, start - saved_at, start - saved_at, probes, peak, watched, lines
            )
            top = max(top, highest(field, probes, weld))
            dt = longest
        close_kerf(sheet, kerf, closed, welds.bins, bins_begin[weld], bins_begin[weld + 1])
        arc(
            field, work, sheet, welds.samples, begin[weld], begin[weld + 1], energy[weld],
            duration[weld], probes, peak, watched, lines,
        )  # fmt: skip
        starts[n], waits[n], peaks[n] = start, start - begin_at, top
        clock = start + duration[weld]
        dt = first_step
        if clock - origin > cutoff:
            return starts, waits, peaks
    return starts, waits, peaks
