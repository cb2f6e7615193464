"""A handful of planted faults: each is seen, and an unharmed copy passes.  All: mutate.py."""

from dataclasses import replace

import pytest
from catalogue import FAULTS, Fault
from mutate import ROOT, caught

QUICK = ("repair/test_worked_jobs.py",)
HANDFUL = ("fillet", "cored wire as heavy", "settings_114: 1.0 lap current x 1.1")


@pytest.mark.parametrize("name", HANDFUL)
def test_a_planted_fault_is_caught(name):
    (fault,) = (f for f in FAULTS if f.name == name)
    assert caught(replace(fault, tests=QUICK))


def test_an_unharmed_copy_passes():
    assert not caught(Fault("none", "formulas/arc.py", lambda source: source, QUICK))


def test_every_fault_still_fits_its_file():
    """A fault whose code is gone would be planted nowhere."""
    assert len({f.name for f in FAULTS}) == len(FAULTS) >= 160
    for fault in FAULTS:
        source = (ROOT / "sheetkit" / fault.file).read_text(encoding="utf-8")
        assert fault.change(source) != source, fault.name
        for one in fault.tests:
            path, _, test = one.partition("::")
            found = (ROOT / "tests" / path).read_text(encoding="utf-8")
            assert not test or f"def {test}(" in found, (fault.name, one)
