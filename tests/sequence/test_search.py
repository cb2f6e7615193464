"""The search's compiled loops, run uncompiled: there an index beyond an array is an error."""

import os
import subprocess
import sys

SCRIPT = """
import numpy as np
from sheetkit.sequence import kernel
from sheetkit.sequence.responses import Responses
from sheetkit.sequence.search import FillRules, tiny

tiny()

count, times = 4, 8
slots = np.minimum(np.arange(1300) // 200, times - 2)
base = np.zeros((times, count, 3), np.float32)
base[:, 3] = 1e3  # stays warmer than its limit
rules = FillRules(
    np.full(count, 40.0), np.full((count, count), 2.0), np.zeros(count), np.full(count, 5e3),
    np.ones((count, 0)),
    Responses(base, np.zeros((count, count, times, 6), np.float32), slots,
              np.zeros(slots.size), np.zeros(times)),
)
order = np.array([0, 1, 3, 2])
starts, ends = np.zeros((2, count))
assert kernel.estimate(order, 0, starts, ends, rules, np.inf) == np.inf
last_alone = np.array([[0.9, 0.9, 0.5, 0.5]])
best = kernel.anneal(order, order.copy(), np.inf, rules, (0, 1), (1e-3, 1e-4), last_alone)
assert best == np.inf
"""


def test_no_order_is_estimated_from_where_another_was_given_up():
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], env=os.environ | {"NUMBA_DISABLE_JIT": "1"},
        capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
