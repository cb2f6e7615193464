"""The Manufacturers' Standard Gauge for sheet steel: t[in] = (lb/ft²)/41.82."""

import pytest

from sheetkit.base import tables

GAUGES = {
    # gauge: (lb/ft², in, mm); 10, 12, 14, 16, 18, 20, 22 read in the table, the rest by its rule
    "10": (5.625, 0.1345, 3.416),
    "11": (5.0, 0.1196, 3.038),
    "12": (4.375, 0.1046, 2.657),
    "13": (3.75, 0.0897, 2.278),
    "14": (3.125, 0.0747, 1.897),
    "15": (2.8125, 0.0673, 1.709),
    "16": (2.5, 0.0598, 1.519),
    "17": (2.25, 0.0538, 1.367),
    "18": (2.0, 0.0478, 1.214),
    "19": (1.75, 0.0418, 1.062),
    "20": (1.5, 0.0359, 0.912),
    "21": (1.375, 0.0329, 0.836),
    "22": (1.25, 0.0299, 0.759),
    "23": (1.125, 0.0269, 0.683),
    "24": (1.0, 0.0239, 0.607),
    "25": (0.875, 0.0209, 0.531),
    "26": (0.75, 0.0179, 0.455),
    "28": (0.625, 0.0149, 0.378),
}


@pytest.mark.parametrize("gauge", GAUGES)
def test_thickness(gauge):
    weight, inches, millimetres = GAUGES[gauge]
    found = tables.row("sheet_gauges", gauge, "thickness").value
    assert found == pytest.approx(millimetres, abs=5.1e-4)  # the digits were rounded twice
    assert found / 25.4 == pytest.approx(inches, abs=5e-5)
    assert found / 25.4 == pytest.approx(weight / 41.82, abs=5.1e-5)


@pytest.mark.parametrize("gauge", ["16", "18", "20"])
def test_job_reads_the_gauge(job, gauge):
    found = job(sheet={"thickness": f"{gauge} gauge"}).sheet.thickness
    assert found == pytest.approx(GAUGES[gauge][2], abs=5e-4)
