"""The faults that are planted: a constant, a formula, a row; each with the tests that must see it.

A new formula or row gets a fault here.  Tests that look alike stand together above.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass

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
QUOTE = (
    "paper/test_quote.py",
    "paper/test_write.py::test_quote_adds_up_by_hand",
    "paper/test_write.py::test_price_of_a_further_metre_is_what_a_longer_job_costs_more",
)
CHAIN = ("formulas/test_chain.py",)
DRAWS = ("formulas/test_montecarlo.py",)
EXTENT = ("repair/test_rust_extent.py",)
LOAD = ("formulas/test_machine.py", "repair/test_machine_load.py")
PLACES = ("repair/test_cautions.py", "sequence/test_places.py")
PULL = ("pull/test_membrane.py", "pull/test_seamed_sheet.py", "pull/test_mesh.py")
SHRINKAGE = "published/test_weld_shrinkage.py"
SOLVER = ("published/test_nafems.py", "heat/test_instantaneous_source.py")
SECTION = ("geometry/test_section.py",)
FORMED = ("geometry/test_formed.py",)
TRADE = ("published/test_trade_check_values.py", "published/test_trade_practice.py")


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
    text("heat limits", "repair/known_heat.py", "60 * i_low * u_low / v_high", "30 * i_low * u_low / v_high", *RULES),
    text("most heat", "repair/known_heat.py", "60 * i_high * u_high", "120 * i_high * u_high", *RULES),
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
    *(
        cell("labour_steps", f"dressing {joint} {role}", "hours_per_metre", *HOURS)
        for joint, role in (("butt", "skin"), ("lap", "floor"), ("plug", "structural"))
    ),
    cell("labour", "process 141", "factor", *HOURS),
    cell("labour", "access closed", "factor", *HOURS),
    cell("labour", "thickness", "exponent", *HOURS),
    cell("labour_steps", "sealing lap", "hours_per_metre", *HOURS),
    cell("labour_steps", "paint-ready structural", "hours_per_metre", *HOURS),
    cell("limits", "move_time", "value", *HOURS),
    text("settling by the hand", "formulas/hours.py", "process_factor * position_factor * skill_factor\n\n\n@formula()\ndef access_h", "process_factor * position_factor\n\n\n@formula()\ndef access_h", *HOURS),
    # chain and ranges
    text("too much is let in", "formulas/chain.py", "if value < low or value > high:", "if value < low:", *CHAIN),
    text("a name twice", "formulas/chain.py", "if one.name in known:", "if False:", *CHAIN),
    text("limits of two formulas", "formulas/chain.py", "max(low, limits[0]), min(high, limits[1])", "low, high", *CHAIN),
    text("own factor", "formulas/chain.py", "(book.name, by),", "(book.name, book.name),", *CHAIN),
    cell("labour", "one shop", "correlation", *DRAWS, by=0.5),
    text("what a shop shares", "formulas/montecarlo.py", "correlation**0.5 * common", "correlation * common", *DRAWS),
    text("who shares", "formulas/montecarlo.py", "shared if name in labour.SHARED", "shared if name not in labour.SHARED", *DRAWS),
    text("triangle", "formulas/montecarlo.py", "(high - low) * (likely - low))", "(high - low) * (high - low))", *DRAWS),
    text("one in ten", "formulas/ranges.py", "SHARES = (0.1, 0.5, 0.9)", "SHARES = (0.05, 0.5, 0.9)", *DRAWS),
    text("likely", "formulas/ranges.py", "SHARES = (0.1, 0.5, 0.9)", "SHARES = (0.1, 0.45, 0.9)", *DRAWS),
    text("worst corner", "formulas/ranges.py", "(one.at_high - one.at_low) > 0", "(one.at_high - one.at_low) < 0", *DRAWS),
    text("a typical whole", "formulas/ranges.py", "+ tilt * away", "+ 0 * away", *DRAWS),
    # extents
    text("seam by its share", "repair/rust_extent.py", "(1 + share) * drawn", "(1 + 0.9 * share) * drawn", *EXTENT),
    text("hidden rust alone", "repair/rust_extent.py", "self.simulated[name] - without, 0.0", "self.simulated[name], 0.0", *EXTENT),
    text("never cheaper", "repair/rust_extent.py", "return np.maximum(grown, result.values[name])", "return grown", *EXTENT),
    text("hidden rust beyond the drawing", "repair/rust_extent.py", "grown = grown * undrawn", "grown = grown * 1.0", *EXTENT),
    text("waits by the weld", "repair/plan.py", 'waits / welds,', 'waits,', "repair/test_with_plan.py"),
    text("usual value first", "formulas/explain.py", "{word}{self.likely:.4g}", "{word}{self.value:.4g}", "views/test_same_figure.py"),
    text("worst of the shares", "repair/rust_extent.py", "min(low for low, _ in ends), max(", "min(low for low, _ in ends), min(", *EXTENT),
    cell("limits", "hidden_rust_share", "value", *EXTENT),
    # machine
    text("arc within the ten minutes", "formulas/machine.py", "np.minimum(end, windows + TEN_MINUTES_S)", "end", *LOAD),
    text("rated at its highest current", "repair/machine_load.py", "max(needed, current)", "needed", *LOAD),
    text("rating the other way", "repair/machine_load.py", "(current, max(share, 0.01), rated)", "(current, rated, max(share, 0.01))", *LOAD),
    cell("limits", "machine_rating", "value", *LOAD),
    # bottle and gauge
    text("temperature of the gauge", "workshop/bottle_and_spool.py", "self.pressure_bar, self.temperature_c, gas", "self.pressure_bar, REFERENCE_C, gas", "workshop/test_bottle_and_spool.py"),
    text("temperature in the log", "workshop/book.py", 'f"bottle_{end}_c", 15.0)', 'f"bottle_{end}", 15.0)', "workshop/test_book.py"),
    cell("limits", "gauge_least_drop", "value", "workshop/test_book.py", by=0.2),
    # learning
    text("range of the next job", "workshop/learning.py", "(1 + 1 / belief.jobs)", "(1 / belief.jobs)", *LEARNING),
    text("the book's worth", "workshop/learning.py", "BOOK_JOBS = 1.0", "BOOK_JOBS = 3.0", *LEARNING),
    text("slips rule", "workshop/learning.py", "TAILS = 4.0", "TAILS = 400.0", *LEARNING),
    text("eight in ten", "workshop/learning.py", "0.02) * NINE_IN_TEN / EIGHT_IN_TEN", "0.02)", *LEARNING),
    text("prior scatter", "workshop/learning.py", "belief.scatter_jobs * belief.variance + squares + pull", "belief.scatter_jobs * belief.variance + squares", *LEARNING, "published/test_conjugate_normal.py"),
    # quote
    text("a further metre", "paper/sums.py", "(seam + 1000) / seam", "(seam + 1100) / seam", *QUOTE),
    text("stop and ask", "paper/sums.py", "stop = gross + tolerance if", "stop = net + tolerance if", *QUOTE),
    text("fixed price", "paper/sums.py", "0.0 if fixed(result) else", "", *QUOTE),
    text("tax of a quote", "paper/sums.py", "(str(percent)) / 100", "(str(percent)) / 110", *QUOTE),
    text("hours charged", "paper/sums.py", "{result.hours.likely:.1f}", "{result.hours.likely:.2f}", *QUOTE),
    # places that must stay cool
    text("held beyond help", "sequence/places.py", " & (self.alone_c <= self.limits_c)", "", *PLACES),
    text("taken off holds nothing", "sequence/places.py", "np.array([one.held for one in places], bool)", "np.array([True for one in places], bool)", *PLACES),
    text("its own heat", "heat/wait_rule.py", "+ own[weld, n] - held[n]", "- held[n]", *PLACES),
    text("too near", "repair/place_cautions.py", "if away < least and", "if away < least / 2 and", *PLACES),
    text("fuel by name", "repair/place_cautions.py", "word in name.lower()", "word in name", *PLACES),
    text("ring of a mounting", "repair/place_cautions.py", "away <= mounting.ring", "away <= 0.5 * mounting.ring", *PLACES),
    cell("limits", "mounting_ring", "value", "published/test_inspection_and_fire.py"),
    # heat
    text("conductivity", "heat/steel.py", "CONDUCTIVITY_W_MK = 40.0", "CONDUCTIVITY_W_MK = 44.0", "heat/test_steel.py"),
    text("heat capacity", "base/steel.py", "DENSITY_KG_M3 * 600", "DENSITY_KG_M3 * 660", "heat/test_steel.py"),
    text("emissivity", "heat/air.py", "EMISSIVITY = 0.7", "EMISSIVITY = 0.77", "published/test_en1993_steel.py"),
    text("a face up", "heat/air.py", "0.54 * ra**0.25", "0.58 * ra**0.25", "published/test_convection.py"),
    text("latent heat", "heat/cooling.py", "LATENT_J_MM3 = 2.0", "LATENT_J_MM3 = 2.2", "published/test_aws_handbook.py"),
    text("edge of the zone", "heat/closed_forms.py", "HAZ_PEAK_C = 730.0", "HAZ_PEAK_C = 760.0", "published/test_aws_handbook.py"),
    text("loss to the air", "heat/kernel.py", "keep[j, i] = mu - mt * loss[j, i]", "keep[j, i] = mu - 0.9 * mt * loss[j, i]", *SOLVER),
    text("length of a stage", "heat/kernel.py", "w1 = 6.0 /", "w1 = 6.3 /", *SOLVER),
    text("less than the limit", "heat/sheet_model.py", "limit_k - held.less_k", "limit_k", "sequence/test_plan.py", "heat/test_plain.py"),
    text("held place's room", "sequence/kernel.py", "there * limit / rules.room_k[weld, row]", "0.5 * there * limit / rules.room_k[weld, row]", "sequence/test_places.py"),
    text("where a neighbour begins to differ", "sequence/polish.py", "states = now.states[: begin + 1]", "states = now.states[: begin]", "sequence/test_polish.py"),
    text("settling before a start", "heat/wait_rule.py", "move = rules.settle_s +", "move = 0.0 * rules.settle_s +", "sequence/test_plan.py"),
    cell("limits", "wait_look_ahead", "value", "sequence/test_plan.py", by=0.5),
    # pull of a seam
    text("bending stiffness of a sheet", "pull/plate.py", "thickness_mm**3 / (12 *", "thickness_mm**3 / (11 *", *PULL),
    text("twist of a plate", "pull/plate.py", "np.array([2.0, 2.0, 2.0])", "np.array([2.0, 2.0, 1.0])", "published/test_plate_buckling.py"),
    text("shear of the membrane in buckling", "pull/plate.py", "np.stack([nx, nxy], -1), np.stack([nxy, ny], -1)", "np.stack([nx, 0 * nxy], -1), np.stack([0 * nxy, ny], -1)", "published/test_plate_buckling.py"),
    text("clamping", "pull/seamed_sheet.py", "slopes = len(mesh.points) + outer", "slopes = len(mesh.points) + outer[:0]", *PULL),
    text("a strip's own shrinkage across", "pull/membrane.py", "(along - POISSON * across)", "along", *PULL),
    text("width of the strip", "pull/membrane.py", "strip_mm / 2 - shapely", "strip_mm - shapely", *PULL),
    text("the body's part", "pull/membrane.py", "self.sheet_beyond_mm * length / 2", "self.sheet_beyond_mm * length", *PULL),
    text("a line's stiffness", "pull/plate.py", "rigidity_nmm2 * 2 / (before + after)", "rigidity_nmm2 / 2 / (before + after)", *PULL),
    text("left of a seam", "pull/mesh.py", "np.where(away[0] <= away[1], left[0], left[1])", "left[0]", *PULL),
    text("planishing beyond its range", "repair/inputs.py", "min(max(1 + share * more, least), most)", "1 + share * more", "repair/test_pull.py"),
    text("half the seam welded", "repair/pull.py", "min(welded / whole, 1.0)", "1.0 + 0 * min(welded / whole, 1.0)", "repair/test_pull.py"),
    cell("shrinkage", "force", "per_heat_input", SHRINKAGE),
    cell("shrinkage", "across_by_section", "share", SHRINKAGE),
    cell("shrinkage", "across_by_section_and_gap", "share", SHRINKAGE),
    cell("shrinkage", "across_by_section_and_gap", "gap_share", SHRINKAGE),
    text("stretch to hammer back", "formulas/shrinkage.py", "1e6 * along_kn", "1e6 * 1.1 * along_kn", SHRINKAGE),
    # bends
    text("neutral line", "geometry/fold.py", "0.65 + 0.5 *", "0.55 + 0.5 *", "published/test_bend_allowance.py"),
    text("set-back of an acute bend", "geometry/fold.py", "if angle_deg < 90 else 1.0", "if angle_deg < 120 else 1.0", *SECTION),
    text("strain of a bend", "geometry/fold.py", "thickness / (2 * radius + thickness)", "thickness / (2 * radius)", "published/test_cold_formed_zone.py"),
    text("set-back at both ends of a leg", "geometry/measured.py", "lengths - before - after", "lengths - before", *SECTION),
    text("outer face of a bend", "geometry/measured.py", '(measured == "back") == to_face', '(measured == "back") != to_face', *SECTION),
    text("tape to the bend's middle", "geometry/measured.py", 'half if measured == "tape"', '2 * half if measured == "tape"', *SECTION),
    text("which face a bend is to", "geometry/measured.py", '"face" if (turn > 0) == left', '"face" if (turn > 0) != left', *SECTION),
    text("arc of the middle", "geometry/section.py", "middle - sense * above", "middle + sense * above", *SECTION),
    text("how far an arc is turned", "geometry/section.py", "sense * run / bend.neutral_mm", "sense * run / bend.radius_mm", *SECTION),
    text("share of a bend's halves", "geometry/section.py", "middles = [-math.inf, *(bend.middle_mm", "middles = [-math.inf, *(bend.start_mm", *SECTION),
    text("a sheet through itself", "geometry/section.py", "half = _CLEAR * self.thickness_mm / 2", "half = 0.01 * self.thickness_mm / 2", *SECTION),
    text("legs of a side view", "geometry/section.py", "+ sets[n] + sets[n + 1]", "+ sets[n]", *SECTION),
    text("springback", "geometry/springback.py", "4 * x**3 - 3 * x + 1", "4 * x**3 - 2 * x + 1", "published/test_springback.py"),
    text("K of a strip", "geometry/bend_strip.py", "+ 2 * bends * back", "+ bends * back", "geometry/test_bend_strip.py"),
    text("rectangular readings", "geometry/bend_strip.py", "by_length**2 + by_angle**2) / 3", "by_length**2 + by_angle**2) / 9", "geometry/test_bend_strip.py"),
    text("radius common to all strips", "geometry/bend_strip.py", 'for name in ("radius_mm", "thickness_mm")', 'for name in ("thickness_mm",)', "geometry/test_bend_strip.py"),
    text("a lip's edge, flat", "geometry/curved_flange.py", "before = tangent + sign * (bent + flat)", "before = tangent + sign * flat", *FORMED),
    text("a lip's tangent", "geometry/curved_flange.py", "self.edge_radius_mm - sign * back", "self.edge_radius_mm + sign * back", *FORMED),
    text("curve of an edge", "geometry/curved_flange.py", "chords / (2 * np.abs(np.sin(turn)))", "chords / np.abs(np.sin(turn))", *FORMED),
    text("straight of a joggle", "geometry/formed.py", "(run_mm - middle * math.sin(turn))", "(run_mm - 0.5 * middle * math.sin(turn))", *FORMED),
    text("deep swage", "geometry/formed.py", "math.pi - half", "math.pi / 2 - half", *FORMED),
    text("rim of a dished disc", "geometry/formed.py", "half_mm**2 / (8 *", "half_mm**2 / (16 *", *FORMED),
    text("bowed section", "geometry/formed.py", "depth_mm / (2 * radius_mm)", "depth_mm / radius_mm", *FORMED),
    text("side of a lip", "repair/formed.py", "if on_left == LinearRing(edge).is_ccw", "if on_left != LinearRing(edge).is_ccw", "repair/test_formed_jobs.py"),
    text("stretch or shrink", "repair/formed.py", "if on_left else (toward_right, toward_left)", "if not on_left else (toward_right, toward_left)", "repair/test_formed_jobs.py"),
    text("which sheet a joggle passes", "job/formed.py", 'if given.on == "panel" else (thickness, panel)', 'if given.on == "patch" else (thickness, panel)', "repair/test_formed_jobs.py"),
    text("two ways of curving", "repair/formed.py", "if _apart(a.run, b.run) > 45", "if _apart(a.run, b.run) >= 0", "repair/test_formed_jobs.py"),
    text("time of a bend", "formulas/hours.py", "+ further_bend_count * bending_hours_each", "+ 0 * further_bend_count * bending_hours_each", "repair/test_bend_cautions.py"),
    text("hours by face", "repair/inputs.py", "value=sum(share * row.value for share, row in rows)", "value=rows[0][1].value", "repair/test_bend_cautions.py"),
    text("seam beside a bend", "repair/bend_cautions.py", "away = zone / 2 + clear.value * thickness", "away = clear.value * thickness", "repair/test_bend_cautions.py"),
    text("mirrored run", "job/mirror.py", "turned = (180 - run) % 360", "turned = run % 360", "job/test_mirror.py"),
    text("mirrored start", "job/mirror.py", "about * math.cos(turn)", "about * math.sin(turn)", "job/test_mirror.py"),
    text("charge for a piece of a trace", "geometry/parting.py", "charge = math.log(count)", "charge = 0.01", "geometry/test_trace_fit.py"),
    text("traced face's outer bends", "geometry/trace_fit.py", "(turn > 0) == left else thickness", "(turn > 0) != left else thickness", "job/test_profile.py"),
    cell("limits", "weld_from_bend", "value", "published/test_cold_formed_zone.py"),
    cell("limits", "elongation_dc01", "value", "published/test_drawing_steel.py"),
    # the trade's own check values
    cell("starter_kit", "machine", "sensible price", *TRADE, by=1.5),
    cell("starter_kit", "machine", "comfortable price", *TRADE, by=1.1),
    cell("starter_kit", "helmet", "sensible price", *TRADE, by=0.6),
    cell("starter_kit", "helmet", "comfortable price", *TRADE, by=1.2),
    cell("starter_kit", "first gas", "sensible price", *TRADE, by=1.7),
    cell("gases", "C1", "cleanup_factor", *TRADE, by=0.7),
    cell("gases", "none", "cleanup_factor", *TRADE, by=0.6),
    cell("gases", "C1", "deposition_efficiency", *PRINTED, by=1.04),
    cell("cylinders", "10 l 200 bar", "height", *TRADE, by=1.2),
    cell("cylinders", "10 l 200 bar", "content_m21", *TRADE, by=0.4),
    cell("gases", "M21", "flow", *TRADE, by=1.6),
    cell("limits", "gap_fair", "value", *TRADE, by=0.8),
    cell("limits", "gap_doubtful", "value", *TRADE, by=0.8),
    cell("limits", "gap_fair", "value", *RULES, by=1.4),
    cell("limits", "gap_doubtful", "value", *RULES, by=1.3),
    cell("limits", "gap_fair_share", "value", *RULES),
    text("a gap leaks", CAUTIONS, "weakens the joint and can leak", "is a matter of taste", *TRADE),
]  # fmt: skip
