"""A plan's sheet as a page can march it: the solver's own arrays, packed, and the rules.

The phone runs the plan's own grid and steps, so its waits are the notebook's but for
the last bits of the arithmetic; `CAUTIOUS_K` takes those to the side of waiting.
"""

from __future__ import annotations

import base64
import zlib
from typing import Any

import numpy as np

from ..sequence import thermometer
from ..sequence.plan import SequencePlan

CAUTIOUS_K = 0.002
"""The page holds starts to a limit lower by this: sums in another order differ by a hundredth of it."""


def packed(arrays: dict[str, np.ndarray]) -> dict[str, Any]:
    """Return arrays as one deflated text, with each one's kind and size.

    Kinds are f4 and i4, as typed arrays have them; the order is that of `arrays`.
    """
    listed, parts = [], []
    for name, array in arrays.items():
        kind = "f4" if array.dtype.kind == "f" else "i4"
        flat = np.ascontiguousarray(array.reshape(-1), dtype=f"<{kind}")
        listed.append([name, kind, int(flat.size)])
        parts.append(flat.tobytes())
    text = base64.b64encode(zlib.compress(b"".join(parts), 9)).decode()
    return {"arrays": listed, "deflated": text}


def sheet_data(plan: SequencePlan) -> dict[str, Any]:
    """Return the plan's sheet with open kerfs, its welds and where they are read; see `march.js`."""
    model = plan.model
    state = model.cold()
    sheet = model.sheet(state)
    kerf, placed, probes = model.kerf_arrays, model.placed, model.probes
    welds = len(model.welds)
    last = int(probes.begin[welds])
    arrays = {
        "east": sheet.east,
        "north": sheet.north,
        "perCapacity": sheet.per_capacity,
        "loss": sheet.loss_per_s,
        "linkCells": sheet.links.cells,
        "linkConductance": sheet.links.conductance,
        "binFace": kerf.bin_face,
        "faceNorth": kerf.face_north.astype(np.int32),
        "faceCell": kerf.face_cell,
        "faceShare": kerf.share,
        "binsBegin": placed.bins_begin,
        "bins": placed.bins,
        "begin": placed.begin,
        "sampleCells": placed.samples[0],
        "sampleWeights": placed.samples[1],
        "probeBegin": probes.begin[: welds + 1],
        "probeCells": probes.cells[:last],
        "probeWeights": probes.weights[:last],
    }
    first_s, growth, longest_s = model.steps
    return {
        "rows": state.field.shape[0],
        "columns": state.field.shape[1],
        "lossRows": sheet.loss_per_s.shape[0],
        "binCount": state.closed.size,
        "explicit_s": float(sheet.explicit_s),
        "firstStep_s": first_s,
        "growth": growth,
        "longestStep_s": longest_s,
        "energy_j": placed.energy_j.tolist(),
        "duration_s": placed.duration_s.tolist(),
        "ends_mm": placed.ends_mm.tolist(),
        **packed(arrays),
    }


def plan_data(plan: SequencePlan) -> dict[str, Any]:
    """Return the order, its times and the rules it is held to, as `pace.js` takes them."""
    rules, model = plan.rules, plan.model
    seconds = model.placed.duration_s.tolist()
    tacks = len(plan.tack_order)
    return {
        "tackOrder": list(plan.tack_order),
        "tackStart_s": list(plan.tack_start_s),
        "tack_s": plan.tack_s,
        "tackSeconds": [seconds[n] for n in plan.tack_order],
        "order": list(plan.order),
        "start_s": list(plan.start_s),
        "seconds": [seconds[tacks + n] for n in plan.order],
        "lastTack": plan.last_tack,
        "keepsPlan": bool(plan.protected),
        "ambient_c": model.ambient_c,
        "limit_c": plan.interpass_limit_c,
        "heldTo": {
            "limit_c": rules.limit_c,
            "less_k": (plan.held.less_k + CAUTIOUS_K).tolist(),
            "lookAhead_s": rules.look_ahead_s,
            "settle_s": rules.settle_s,
            "move_mm_s": rules.move_mm_s,
        },
        "thermometer": {
            "leastRise_k": thermometer.LEAST_RISE_K,
            "ratios": list(thermometer.RATIOS),
            "alone": thermometer.ALONE,
            "agree": thermometer.AGREE,
            "belowAir_k": thermometer.BELOW_AIR_K,
            "touchAgain_s": thermometer.TOUCH_AGAIN_S,
            "least_c": thermometer.LEAST_READING_C,
            "most_c": thermometer.MOST_READING_C,
            "latest_s": thermometer.LATEST_S,
        },
    }
