"""EN 1993-1-2:2005 clauses 3.4.1.2 and 3.4.1.3, as an engineering article reprints them.

What is printed as a number, not as a formula: the constant branches.
"""

import pytest

from sheetkit.heat import air
from sheetkit.heat.steel import conductivity_en1993, specific_heat_en1993


@pytest.mark.parametrize("celsius", [900, 1000, 1200])
def test_specific_heat_of_hot_steel(celsius):
    """650 J/(kg K) from 900 to 1200 degC."""
    assert specific_heat_en1993(celsius) == 650


@pytest.mark.parametrize("celsius", [800, 1000, 1200])
def test_conductivity_of_hot_steel(celsius):
    """27.3 W/(m K) from 800 to 1200 degC."""
    assert conductivity_en1993(celsius) == 27.3


def test_peak_of_the_specific_heat():
    """Figure 3.4: 5000 J/(kg K) at 735 degC (value from memory)."""
    assert specific_heat_en1993(735) == pytest.approx(5000, abs=5)


def test_emissivity_of_carbon_steel():
    """Clause 2.2: 0.7 (value from memory)."""
    assert air.EMISSIVITY == 0.7
    assert air.radiation_coefficient(120, 20) == air.radiation_coefficient(120, 20, emissivity=0.7)
