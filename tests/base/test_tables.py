"""The reference tables are tidy, their look-ups speak plainly, their gas data hold."""

import csv
import json
import random
import re
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from sheetkit.base import tables
from sheetkit.formulas import gas as gas_
from sheetkit.formulas import lens_shade

EXPECTED = {
    "sheet_gauges",
    "sheet_thicknesses",
    "wires",
    "processes",
    "gases",
    "settings_135",
    "settings_114",
    "settings_136",
    "settings_141",
    "cylinders",
    "real_gas",
    "lens_shades",
    "plug_holes",
    "consumables",
    "labour",
    "limits",
}
MIXTURES = {
    "I1": "HEOS::Argon",
    "M20": "HEOS::Argon[0.92]&CarbonDioxide[0.08]",
    "M21": "HEOS::Argon[0.82]&CarbonDioxide[0.18]",
    "M21-ArC-25": "HEOS::Argon[0.75]&CarbonDioxide[0.25]",
}
GAS_CONSTANT = 8.31446261815324
ARGON_MOLAR_MASS = 39.948e-3


def test_every_table_is_there():
    assert set(tables.table_names()) >= EXPECTED


@pytest.mark.parametrize("table", sorted(EXPECTED))
def test_table_is_tidy(table):
    with (files("sheetkit.base") / "tables" / f"{table}.csv").open(
        encoding="utf-8", newline=""
    ) as file:
        assert next(csv.reader(file)) == list(tables.COLUMNS)
    found = tables.rows(table)
    assert found
    keys = [(row.name, row.quantity) for row in found]
    assert len(keys) == len(set(keys))
    for row in found:
        assert row.name and row.quantity and row.unit and row.source, row
        assert row.status in tables.STATUSES, row
        assert row.low is None or row.low <= row.value, row
        assert row.high is None or row.value <= row.high, row
    for quantity in {row.quantity for row in found}:
        assert len({row.unit for row in found if row.quantity == quantity}) == 1 or table in (
            "consumables",
            "limits",
        ), quantity


@pytest.mark.parametrize("table", sorted(EXPECTED))
def test_every_row_is_found_by_its_key(table):
    for row in tables.rows(table):
        assert tables.row(table, row.name, row.quantity) is row


@pytest.mark.parametrize("process", ["114", "135", "136", "141"])
def test_every_process_has_the_shared_quantities(process):
    for quantity in ("thermal_efficiency", "mass_share", "tack_time"):
        tables.row("processes", process, quantity)


@pytest.mark.parametrize("table", [f"settings_{p}" for p in ("135", "136", "114", "141")])
def test_settings_are_complete(table):
    """Every joint has its rows; where a thickness has a current, it has the rest."""
    assert tables.row(table, tables.names(table)[-1], "wire_diameter")
    for joint in ("butt", "lap", "plug"):
        named = [row.name for row in tables.rows(table) if row.quantity == f"{joint} current"]
        assert len(named) >= 3
        for name in named:
            tables.row(table, name, f"{joint} voltage")
            if joint != "plug":
                tables.row(table, name, f"{joint} travel")


def test_a_figure_has_one_row():
    """Solid wire's yield goes by its gas, every other process's by the process."""
    for table, name in (("processes", "135"), ("gases", "none"), ("gases", "I1")):
        with pytest.raises(LookupError):
            tables.row(table, name, "deposition_efficiency")


def test_what_is_published_is_not_from_memory():
    """A row's own value; a bound from another source is named in words beside it."""
    for table in tables.table_names():
        for row in tables.rows(table):
            said = re.sub(r"(low|high|range|measured)[^;]*;?.*", "", row.source)
            if row.status == "published":
                assert "value from memory" not in said, row
            if row.status == "published from memory":
                assert "memory" in row.source, row


def test_gauge_thickness():
    assert tables.row("sheet_gauges", "18", "thickness").value == pytest.approx(1.214, abs=5e-4)
    assert {str(gauge) for gauge in range(10, 29)} == set(tables.names("sheet_gauges"))


def test_every_row_is_read():
    """A row that no code reads is a fact nobody gets: use it or delete it."""
    script = Path(__file__).with_name("rows_read.py")
    done = subprocess.run([sys.executable, str(script)], capture_output=True, text=True, check=True)
    assert json.loads(done.stdout) == []


def test_sheet_tolerance():
    one = tables.row("sheet_thicknesses", "1.0", "thickness")
    assert (one.low, one.value, one.high) == (0.95, 1.0, 1.05)


def test_interpolation_is_linear_between_neighbours():
    a, b = (tables.row("settings_135", name, "butt current") for name in ("1.0", "1.2"))
    middle = tables.interpolate("settings_135", "butt current", 1.1)
    assert middle.value == pytest.approx((a.value + b.value) / 2)
    assert middle.low == pytest.approx((a.low + b.low) / 2)
    assert middle.high == pytest.approx((a.high + b.high) / 2)
    assert (middle.name, middle.status, middle.unit) == ("1.1", "derived", "A")
    assert middle.source.startswith("linear between 1.0 and 1.2")


def test_a_row_between_two_published_ones_is_derived():
    a, b = (tables.row("settings_135", n, "lap leg") for n in ("0.6", "1.0"))
    assert a.status == b.status == "published"
    assert tables.interpolate("settings_135", "lap leg", 0.8).status == "derived"


def test_origin_says_nothing_twice():
    stitch = tables.row("limits", "stitch", "value")
    assert stitch.origin == "common practice, no source"
    assert tables.row("limits", "web", "value").origin == "guess: our own starting value"


def test_interpolation_at_a_name_is_the_row():
    for row in tables.rows("settings_135"):
        assert tables.interpolate("settings_135", row.quantity, float(row.name)) is row


def test_interpolation_keeps_a_missing_bound_missing():
    assert tables.interpolate("sheet_gauges", "thickness", 10.5).low is None


@pytest.mark.parametrize("x", [0.39, 4.01, float("nan")])
def test_interpolation_refuses_outside(x):
    with pytest.raises(ValueError, match=r'current in table "settings_135".*must be 0\.4 to 4'):
        tables.interpolate("settings_135", "butt current", x)


def test_interpolation_needs_numbers_and_a_quantity():
    with pytest.raises(LookupError, match="not numbers"):
        tables.interpolate("gases", "flow", 1.0)
    with pytest.raises(LookupError, match=r'got "curent".*try .*butt current'):
        tables.interpolate("settings_135", "curent", 1.0)


def test_lookup_errors_name_table_name_and_nearest():
    with pytest.raises(LookupError, match=r'table: got "limit".*try limits'):
        tables.rows("limit")
    with pytest.raises(
        LookupError, match=r'got "margins"; must be a name in table "limits"; try margin'
    ):
        tables.row("limits", "margins", "value")
    with pytest.raises(
        LookupError, match=r'got "flows"; must be one of "M21" in table "gases"; try flow'
    ):
        tables.row("gases", "M21", "flows")
    with pytest.raises(
        LookupError, match=r'got "zzz"; must be a name in table "gases"; try I1, M20'
    ):
        tables.row("gases", "zzz", "flow")


def test_frame_holds_the_rows():
    frame = tables.frame("gases")
    assert tuple(frame.columns) == tables.COLUMNS
    assert len(frame) == len(tables.rows("gases"))


@pytest.mark.parametrize(
    ("process", "current", "least", "suggested"),
    [
        ("135", 0, 7, None),
        ("135", 55, 7, None),
        ("135", 59.9, 7, None),
        ("135", 60, 10, 11),
        ("136", 160, 10, 12),
        ("114", 500, 10, 14),
        ("141", 49, 8, 10),
        ("141", 50, 8, 12),
        ("111", 160, 10, 12),
        ("111", 550, 11, 14),
    ],
)
def test_lens_shade(process, current, least, suggested):
    band = lens_shade.lens_shade(process, current)
    assert (band.low, band.value, band.high) == (least, least, suggested)


@pytest.mark.parametrize("current", [-1, 500.1, float("nan")])
def test_lens_shade_refuses_outside(current):
    with pytest.raises(ValueError, match="must be 0 to 500 A"):
        lens_shade.lens_shade("135", current)


def test_lens_shade_of_an_unknown_process():
    with pytest.raises(LookupError, match="lens_shades"):
        lens_shade.lens_shade("131", 60)


@pytest.mark.parametrize("gas", sorted(MIXTURES))
def test_compressibility_between_the_grid_points(gas):
    properties = pytest.importorskip("CoolProp.CoolProp")
    chance = random.Random(7)
    edges = [(1.01325, -10), (300, 50), (299.9, -9.9), (1.5, 49.9), (214, 17), (0.2, 5)]
    points = [(chance.uniform(1, 300), chance.uniform(-10, 50)) for _ in range(100)]
    for p, t in edges + points:
        expected = properties.PropsSI("Z", "T", t + 273.15, "P", p * 1e5, MIXTURES[gas])
        assert gas_.compressibility(gas, p, t) == pytest.approx(expected, rel=1e-3), (p, t)


@pytest.mark.parametrize(("psia", "density"), [(2250, 261.88), (2400, 279.24)])
def test_argon_density_at_300_k(psia, density):
    """Figures of the NIST Chemistry WebBook."""
    pascal = psia * 6894.757
    z = gas_.compressibility("I1", pascal / 1e5, 300 - 273.15)
    found = pascal * ARGON_MOLAR_MASS / (z * GAS_CONSTANT * 300)
    assert found == pytest.approx(density, abs=0.005)


def test_compressibility_is_ideal_without_pressure_and_equals_the_table():
    assert gas_.compressibility("I1", 0, 20) == pytest.approx(1)
    listed = tables.row("real_gas", "M21", "Z at 15 C 200 bar").value
    assert gas_.compressibility("M21", 200, 15) == pytest.approx(listed, rel=1e-12)


def test_compressibility_refuses_outside():
    with pytest.raises(ValueError, match="pressure_bar: got 301 bar; must be 0 to 300 bar"):
        gas_.compressibility("I1", 301, 15)
    with pytest.raises(ValueError, match="temperature_c: got -11 degC; must be -10 to 50 degC"):
        gas_.compressibility("I1", 100, -11)
    with pytest.raises(LookupError, match="real_gas"):
        gas_.compressibility("C1", 50, 15)


def test_cylinder_contents_beat_the_gas_law():
    """10 l at 200 bar hold about 2.1 m3 of real argon, 1.97 m3 by the ideal gas law."""
    assert tables.row("cylinders", "10 l 200 bar", "content_argon").value == pytest.approx(
        2100, abs=50
    )


@pytest.mark.parametrize("name", [n for n in tables.names("cylinders") if n.endswith("bar")])
@pytest.mark.parametrize(
    ("gas", "quantity"),
    [("I1", "content_argon"), ("M21", "content_m21"), ("M20", "content_m20")],
)
def test_cylinder_contents_follow_from_compressibility(name, gas, quantity):
    volume, pressure, content = (
        tables.row("cylinders", name, q).value for q in ("water_volume", "pressure", quantity)
    )
    free = (
        volume
        * pressure
        / 1.01325
        * (gas_.compressibility(gas, 1.01325, 15) / gas_.compressibility(gas, pressure, 15))
    )
    assert content == pytest.approx(free, rel=1e-3)


def test_rows_drawn_between_others_are_no_firmer_than_they():
    for table in tables.table_names():
        for row in tables.rows(table):
            between = re.match(r"linear between (\S+) and (\S+) mm", row.source)
            if between is None:
                continue
            for name in between.groups():
                try:
                    end = tables.row(table, f"{float(name):.1f}", row.quantity)
                except LookupError:  # an end the chart has and the table leaves out
                    continue
                assert tables.STATUSES.index(row.status) >= tables.STATUSES.index(end.status), row


def test_sources_that_disagree_stay_in_sight():
    """Body practice 5-7.5 mm, building code 9.5 mm effective: the note says so."""
    row = tables.row("plug_holes", "1.0", "hole_diameter")
    assert row.low < row.value < row.high
    assert "AWS D1.3" in row.note and "disagree" in row.note


@pytest.mark.parametrize("row", tables.rows("sheet_gauges"), ids=lambda row: row.name)
def test_a_gauge_is_its_weight_over_41_82(row):
    """Inches = lb/ft² over 41.82, rounded to four places; both stand in the note."""
    inches, weight = (float(part.split()[0]) for part in row.note.split(",")[:2])
    assert row.value == pytest.approx(25.4 * inches, abs=1e-9)
    assert inches == pytest.approx(weight / 41.82, abs=5.1e-5)
