"""The update of own factors against a textbook's conjugate example.

Hoff, A First Course in Bayesian Statistical Methods (2009), section 5.3, the
wing lengths of nine midges: prior mean 1.9 mm worth one observation, prior
variance 0.01 worth one; data as below.  Printed: posterior mean 1.814,
variance 0.015, with ten observations each (values from memory).
"""

import pytest

from sheetkit.workshop.learning import Belief, update

MIDGES = (1.64, 1.70, 1.72, 1.74, 1.82, 1.82, 1.82, 1.90, 2.08)


def test_midge_wings():
    after = update(Belief(1.9, 1, 0.01, 1), MIDGES)
    assert after.mean == pytest.approx(1.814, abs=0.0005)
    assert after.variance == pytest.approx(0.015, abs=0.0005)
    assert (after.jobs, after.scatter_jobs) == (10, 10)
