"""The Manufacturers' Standard Gauge for sheet steel, the rows of a table that was seen."""

import pytest

from sheetkit.base import tables

GAUGES = {  # in
    "10": 0.1345,
    "12": 0.1046,
    "14": 0.0747,
    "16": 0.0598,
    "18": 0.0478,
    "20": 0.0359,
    "22": 0.0299,
}


@pytest.mark.parametrize("gauge", GAUGES)
def test_thickness(gauge):
    row = tables.row("sheet_gauges", gauge, "thickness")
    assert row.value / 25.4 == pytest.approx(GAUGES[gauge], abs=5e-6)
    assert row.status == "published"


@pytest.mark.parametrize("gauge", ["16", "18", "20"])
def test_job_reads_the_gauge(job, gauge):
    found = job(sheet={"thickness": f"{gauge} gauge"}).sheet.thickness
    assert found == pytest.approx(GAUGES[gauge] * 25.4, abs=5e-4)


@pytest.mark.parametrize(
    ("gauge", "other_mm"),
    # UK sheet merchant's gauge table: SWG 16, 18, 20, 22; Birmingham gauge 18, 20, 22, 24
    [
        ("16", 1.63),
        ("18", 1.22),
        ("18", 1.26),
        ("20", 0.91),
        ("20", 0.99),
        ("22", 0.71),
        ("22", 0.79),
        ("24", 0.63),
    ],
)
def test_range_holds_what_other_gauges_call_so(gauge, other_mm):
    row = tables.row("sheet_gauges", gauge, "thickness")
    assert row.low <= other_mm <= row.high
