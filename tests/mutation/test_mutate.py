"""A handful of planted faults: each is seen, and an unharmed copy passes.  All: mutate.py."""

import importlib.util
import sys
from pathlib import Path

import pytest

SPEC = importlib.util.spec_from_file_location("mutate", Path(__file__).with_name("mutate.py"))
mutate = importlib.util.module_from_spec(SPEC)
sys.modules["mutate"] = mutate
SPEC.loader.exec_module(mutate)

QUICK = ("repair/test_worked_jobs.py",)
HANDFUL = ("fillet", "cored wire as heavy", "settings_114: 1.0 lap current x 1.1")


@pytest.mark.parametrize("name", HANDFUL)
def test_a_planted_fault_is_caught(name):
    (fault,) = (f for f in mutate.FAULTS if f.name == name)
    quick = mutate.Fault(fault.name, fault.file, fault.change, QUICK)
    assert mutate.caught(quick)


def test_an_unharmed_copy_passes():
    harmless = mutate.Fault("none", "formulas/arc.py", lambda source: source, QUICK)
    assert not mutate.caught(harmless)


def test_every_fault_still_fits_its_file():
    """A fault whose code is gone would be planted nowhere."""
    assert len({f.name for f in mutate.FAULTS}) == len(mutate.FAULTS) >= 60
    for fault in mutate.FAULTS:
        source = (mutate.ROOT / "sheetkit" / fault.file).read_text(encoding="utf-8")
        assert fault.change(source) != source, fault.name
        for one in fault.tests:
            assert (mutate.ROOT / "tests" / one).exists(), (fault.name, one)
