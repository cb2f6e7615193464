"""Change one constant or formula at a time in a copy of the package and see a test catch it.

``python tests/mutation/mutate.py`` goes through all and lists the survivors, in some
twenty minutes; with words it takes only the faults whose name holds one of them.  Not part of
the test run, but for a handful (`test_mutate.py`).
"""

from __future__ import annotations

import csv
import io
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
JOBS = ("repair/test_worked_jobs.py", "repair/test_estimate.py")
RULES = ("repair/test_weld_cautions.py", "formulas/test_settings.py")
PRINTED = (
    "published/test_welding_tables.py",
    "published/test_melting_rate.py",
    "published/test_arc_energy.py",
    "published/test_deposition_efficiency.py",
    "published/test_lens_shade.py",
)
FORMULAS = ("formulas/test_filler.py", "formulas/test_cost.py")
HOURS = ("formulas/test_hours.py", "repair/test_estimate.py")
GAS = ("published/test_cylinder_gas.py", "published/test_cylinder_coolprop.py")
TACKS = ("geometry/test_stitches.py",)
LEARNING = ("workshop/test_learning.py",)
QUOTE = ("paper/test_write.py",)


@dataclass(frozen=True)
class Fault:
    """One planted fault: where, what, and the tests that should see it."""

    name: str
    file: str
    change: Callable[[str], str]
    tests: tuple[str, ...]


def text(name: str, file: str, old: str, new: str, *tests: str) -> Fault:
    """Return a fault that replaces a piece of code that stands there once."""

    def change(source: str) -> str:
        if source.count(old) != 1:
            raise ValueError(f"{name}: {old!r} stands {source.count(old)} times in {file}")
        return source.replace(old, new)

    return Fault(name, file, change, tests)


def cell(table: str, row: str, quantity: str, *tests: str, by: float = 1.1) -> Fault:
    """Return a fault that scales a row of a table, its bounds with it."""
    name = f"{table}: {row} {quantity} x {by:g}"

    def change(source: str) -> str:
        lines = list(csv.reader(source.splitlines()))
        found = [line for line in lines if line[:2] == [row, quantity]]
        if len(found) != 1:
            raise ValueError(f"{name}: {len(found)} such rows")
        found[0][2:5] = [f"{float(x) * by:.8g}" if x else "" for x in found[0][2:5]]
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(lines)
        return out.getvalue()

    return Fault(name, f"base/tables/{table}.csv", change, tests)


ARC, FILLER, GAS_PY = "formulas/arc.py", "formulas/filler.py", "formulas/gas.py"
SETTINGS, CAUTIONS = "formulas/settings.py", "repair/weld_cautions.py"

FAULTS = [
    # formulas of arc and filler
    text("arc energy", ARC, "voltage_v * current_a * 60 /", "voltage_v * current_a * 66 /", *JOBS),
    text("no k", ARC, "thermal_efficiency * arc_energy", "1 * arc_energy", *JOBS),
    text("k of a plug", ARC, "thermal_efficiency * plug_arc", "1 * plug_arc", *JOBS),
    text("tacks twice", ARC, "welded_length_mm - tacked", "welded_length_mm - 0 * tacked", *JOBS),
    text("dots on tacks", ARC, "dot_count * fill_length_mm /", "dot_count * welded_length_mm /", *JOBS),
    text("energy of dots", ARC, "current_a * dot_count * dot", "current_a * 1.1 * dot_count * dot", *JOBS),
    text("rod round a hole", ARC, "plug_count * pi *", "plug_count * 2 *", *JOBS),
    text("arc of tacks", ARC, "fill_time_s + tack_count", "fill_time_s + 0 * tack_count", *JOBS),
    text("cored wire as heavy", FILLER, "* 1000 * mass_share", "* 1000", *JOBS),
    text("feed", FILLER, "return 0.06 * (", "return 0.066 * (", *JOBS),
    text("feed by d4", FILLER, "wire_diameter_mm) ** 4", "wire_diameter_mm) ** 2", *JOBS),
    text("cap's width", FILLER, "(gap_mm + 2 * thickness_mm)", "(gap_mm + thickness_mm)", *JOBS),
    text("fillet", FILLER, "leg_mm**2 / 2", "leg_mm**2 / 3", *JOBS),
    text("crown of a plug", FILLER, "(thickness_mm + face_cap_mm / 2)", "thickness_mm", *JOBS),
    text("start of a plug", FILLER, "plug_start_s + (", "0 * plug_start_s + (", *JOBS),
    text("yield", FILLER, "return deposit_g / deposition", "return deposit_g * deposition", *JOBS),
    text("larger route", FILLER, "np.maximum(wire_g,", "np.minimum(wire_g,", *JOBS),
    text("duty cycle", ARC, "** 0.5", "** 1", "published/test_duty_cycle.py"),
    # gas
    text("post-flow", GAS_PY, "(pre_flow_s + post_flow_s)", "(pre_flow_s)", *JOBS),
    text("surge", GAS_PY, "flow_l_min + start_surge_l)", "flow_l_min)", *JOBS),
    text("mixture between", GAS_PY, "ends[0] + part *", "ends[0] + 0 * part *", *GAS),
    text("warm cylinder", GAS_PY, "pressure_bar, z) * warmth", "pressure_bar, z)", *GAS),
    text("residual", GAS_PY, "temperature_c, gas=gas) - kept", "temperature_c, gas=gas)", *RULES, "workshop/test_bottle_and_spool.py"),
    # settings
    text("sheet beneath", SETTINGS, "(thickness_mm + beneath_mm) / 2", "thickness_mm", *RULES),
    text("lap on thick metal", SETTINGS, "min(mean, 2 * thickness_mm)", "mean", *RULES),
    text("beyond the rows", SETTINGS, "at_mm / end) if grows", "1.0) if grows", *RULES),
    text("position", SETTINGS, "value=row.value * factor.value", "value=row.value", *RULES),
    text("free length", SETTINGS, "abs(float(name) - wire_mm)", "-abs(float(name) - wire_mm)", *JOBS),
    text("widest gap", SETTINGS, "high=max(least, row.high or 0.0)", "high=row.high", *RULES),
    text("gap of TIG", "job/job.py", '"gap_share_141" if', '"gap_share" if', *JOBS),
    text("tacks before dots", "job/job.py", '"tack_last" if', '"tack_before_stitches" if', *JOBS),
    text("shade by the middle", "repair/estimate.py", 'ends(inputs["current_a"])[1]', 'ends(inputs["current_a"])[0]', *RULES),
    text("three tacks in a ring", "geometry/tacks.py", "max(3 if ring", "max(2 if ring", *TACKS),
    text("first round", "geometry/tacks.py", "usable / first", "usable / (2 * first)", *TACKS),
    # cautions
    text("gap by the sheet", CAUTIONS, "if within and share", "if within or share", *RULES),
    text("heat limits", CAUTIONS, "60 * i_low * u_low / v_high", "30 * i_low * u_low / v_high", *RULES),
    text("most heat", CAUTIONS, "60 * i_high * u_high", "120 * i_high * u_high", *RULES),
    text("mains", "formulas/machine.py", "(machine_efficiency * power_factor)", "machine_efficiency", *RULES),
    text("ten minutes", "formulas/machine.py", "TEN_MINUTES_S = 600.0", "TEN_MINUTES_S = 660.0", "formulas/test_machine.py"),
    # money
    text("tax", "formulas/cost.py", "(1 + tax_share)", "(1 + 0 * tax_share)", *FORMULAS),
    text("wire's price", "formulas/cost.py", "wire_bought_g / 1000", "wire_bought_g / 1100", *FORMULAS, *JOBS),
    # rows of every process and joint
    *(
        cell(f"settings_{p}", "2.0" if p == "136" else "1.0", f"{joint} {quantity}", *JOBS)
        for p in ("135", "136", "114", "141")
        for joint in ("butt", "lap", "plug")
        for quantity in ("current", "voltage", "travel")
        if not (joint == "plug" and quantity == "travel" and p != "141")
        if quantity != "voltage" or p in ("135", "114")
    ),
    cell("settings_135", "1.0", "lap leg", *JOBS),
    cell("settings_135", "0.6", "lap current", *PRINTED, by=0.7),
    cell("settings_135", "3.2", "butt current", *PRINTED),
    cell("settings_141", "3.2", "lap current", *PRINTED),
    cell("processes", "114", "mass_share", *JOBS),
    cell("processes", "136", "deposition_efficiency", *PRINTED),
    cell("processes", "114", "deposition_efficiency", *PRINTED),
    cell("processes", "141", "thermal_efficiency", *JOBS, *PRINTED),
    cell("processes", "114", "electrode_extension", *JOBS),
    cell("processes", "141", "tack_time", *JOBS),
    cell("processes", "135", "dot_time", *JOBS),
    cell("processes", "141", "post_flow", *JOBS),
    cell("processes", "135", "melt_alpha", *JOBS),
    cell("gases", "I1", "flow", *JOBS),
    cell("gases", "C1", "deposition_efficiency", *PRINTED, by=0.9),
    cell("wires", "0.8", "contact_tip_to_work", *JOBS),
    cell("plug_holes", "2.0", "hole_diameter", *JOBS),
    cell("plug_holes", "1.0", "pitch", *JOBS),
    cell("limits", "fillet_allowance", "value", *JOBS),
    cell("limits", "cap_root_height", "value", *JOBS),
    cell("limits", "gap_share", "value", *JOBS),
    cell("limits", "gap_share_141", "value", *JOBS),
    cell("limits", "plug_start", "value", *JOBS),
    cell("limits", "tack_before_stitches", "value", *JOBS),
    cell("limits", "dot_overlap", "value", *JOBS),
    cell("limits", "current_overhead", "value", *JOBS, *RULES),
    cell("limits", "current_vertical", "value", *JOBS, *RULES),
    cell("limits", "fill_small_hole", "value", *RULES, by=0.4),
    cell("limits", "route_ratio", "value", *RULES, by=3),
    cell("lens_shades", "135", "shade 60-160", *PRINTED),
    # hours
    cell("labour", "position overhead", "factor", *HOURS),
    cell("labour", "position vertical", "factor", *HOURS),
    cell("labour", "skill first", "factor", *HOURS),
    cell("labour_steps", "dressing butt structural", "hours_per_metre", *HOURS),
    cell("labour_steps", "fit-up lap structural", "hours_per_metre", *HOURS),
]  # fmt: skip


def caught(fault: Fault) -> bool:
    """Plant a fault in a copy and say whether its tests fail; an unharmed copy must pass."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        for part in ("sheetkit", "tests", "data"):
            shutil.copytree(ROOT / part, copy / part, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(ROOT / "pyproject.toml", copy)
        file = copy / "sheetkit" / fault.file
        file.write_text(fault.change(file.read_text(encoding="utf-8")), encoding="utf-8")
        command = [
            sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:nbval", "-p", "no:cacheprovider",
            "--override-ini", "addopts=--benchmark-skip", *(f"tests/{one}" for one in fault.tests),
        ]  # fmt: skip
        done = subprocess.run(
            command,
            cwd=copy,
            capture_output=True,
            text=True,
            env=os.environ | {"PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"},
        )
    if done.returncode not in (0, 1):  # neither passed nor failed: no test ran
        raise RuntimeError(f"{fault.name}: {done.stdout[-2000:]}{done.stderr[-2000:]}")
    return done.returncode == 1


def main(words: list[str]) -> int:
    """Go through the faults and print each as it is caught or survives."""
    chosen = [f for f in FAULTS if not words or any(word in f.name for word in words)]
    survivors = []
    with ThreadPoolExecutor(2) as pool:
        for fault, found in zip(chosen, pool.map(caught, chosen), strict=True):
            print(f"{'caught  ' if found else 'SURVIVED'}  {fault.name}", flush=True)
            if not found:
                survivors.append(fault.name)
    print(f"{len(chosen) - len(survivors)} of {len(chosen)} caught; survivors: {survivors}")
    return bool(survivors)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
