"""What of the wire becomes weld metal.

A filler maker's handbook, calculating filler metal consumption, 8.1, table of deposition
efficiencies: solid wire under 75Ar/25CO2 96 %, under CO2 93 %; flux-cored 86 % with gas,
78 % self-shielded.
"""

import pytest

from sheetkit.formulas.settings import settings


@pytest.mark.parametrize(
    ("process", "gas", "share"),
    [
        ("135", "M21-ArC-25", 0.96),
        ("135", "C1", 0.93),
        ("136", "M21", 0.86),
        ("114", None, 0.78),
    ],
)
def test_deposition_efficiency(process, gas, share):
    found = settings(process, 2.0, gas=gas)["deposition_efficiency"]
    assert found.value == pytest.approx(share, abs=5e-3)
    assert found.status == "published"


def test_ranges_of_an_engineers_article():
    """The article "Which arc welding process is the most efficient?": GMAW 92-99, FCAW-G 82-88, FCAW-SS 75-85."""
    for process, ends in (("135", (0.92, 0.99)), ("136", (0.82, 0.88)), ("114", (0.75, 0.85))):
        row = settings(process, 2.0)["deposition_efficiency"]
        assert ends[0] <= row.low and row.high <= ends[1]


def test_argon_mix_wastes_the_least_wire():
    """The trade: solid wire with argon mix is cleaner than CO2 or gasless wire (no source)."""
    mix, co2, gasless = (
        settings(p, 1.0, gas=g)["deposition_efficiency"].value
        for p, g in (("135", "M21"), ("135", "C1"), ("114", None))
    )
    assert mix > co2 > gasless
