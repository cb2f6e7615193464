"""Constants of nature and trade that stand in one place of the code alone."""

import re
from pathlib import Path

import pytest

import sheetkit

HOUSE = Path(sheetkit.__file__).parent

HOMES = {
    r"\b25\.4\b|\b0?\.0254\b|\b12\.7\b|\b645\.16\b|\b304\.8\b": "base/units.py",
    r"\b453\.59|\b28\.3\d|\b6894|\b0?\.0689": "base/units.py",
    r"\b7\.85e|\b7850\b|\b0\.00785\b|\b4\.71e": "base/steel.py",
}
"""How a factor is written -> where it may be."""


@pytest.mark.parametrize("written", HOMES)
def test_a_factor_is_written_in_its_own_file_alone(written):
    found = {
        str(file.relative_to(HOUSE))
        for file in HOUSE.rglob("*.py")
        for line in file.read_text(encoding="utf-8").splitlines()
        if re.search(written, line.partition("#")[0])
    }
    assert found <= {HOMES[written]}
