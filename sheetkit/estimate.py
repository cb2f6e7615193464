"""Job -> Estimate: the one place where geometry, welding, time and money are put together."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import shapely
from shapely import LineString, Polygon

from . import costs, figures, labour, tables, weld
from . import patch as patching
from . import stitches as stitching
from .cautions import Caution, cautions
from .errors import Fault, JobRefused
from .figures import Explanation, derived, given, renamed
from .folds import Fold, developed
from .heat import WeldRun
from .job import Job
from .sequence import SequencePlan, plan_sequence
from .settings import gas_group, settings
from .stitches import Weld
from .tables import Row

GEOMETRY = "the drawing, by shapely"


@dataclass(frozen=True)
class PatchResult:
    """One cut and the patch for it.  Shapes in mm; `blank` is flat, before folding."""

    cut_line: Polygon
    outline: Polygon
    blank: Polygon
    bends: tuple[LineString, ...]
    seam: tuple[LineString, ...]
    covers_rust: bool

    @property
    def seam_length_mm(self) -> float:
        return sum(run.length for run in self.seam)


@dataclass(frozen=True)
class Range:
    """A figure's low, likely and high."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, eq=False)
class Estimate:
    """Everything worked out from one job; frozen.

    `values` holds every input and figure by name (the name ends in its unit);
    `explain(name)` says how one came about.
    """

    job: Job
    patches: tuple[PatchResult, ...]
    tacks: tuple[Weld, ...]
    welds: tuple[Weld, ...]
    inputs: Mapping[str, Row]
    values: Mapping[str, float]
    lens_shade_min: int
    _chain: Mapping[str, Callable] = field(repr=False)

    @cached_property
    def runs(self) -> tuple[LineString, ...]:
        """All seam runs, in the order the welds' `run` counts them."""
        return tuple(run for patch in self.patches for run in patch.seam)

    @cached_property
    def is_continuous(self) -> bool:
        """Whether the fill closes the whole seam."""
        return stitching.is_continuous(self.welds, self.runs)

    @cached_property
    def spans(self) -> dict[str, tuple[float, float]]:
        """(low, high) of every figure, from the ranges of the inputs."""
        return figures.ranges(self._chain, self.inputs)

    def range(self, name: str) -> Range:
        low, high = self.spans[name]
        return Range(max(low, 0.0), float(self.values[name]), high)

    @property
    def hours(self) -> Range:
        return self.range("hours_h")

    @property
    def cost(self) -> Range:
        return self.range("cost")

    @property
    def chain(self) -> Mapping[str, Callable]:
        """The formulas, in the order they are computed."""
        return self._chain

    def explain(self, name: str) -> Explanation:
        """Return how a figure came about: formula, numbers, inputs, origins, source, range."""
        return figures.explain(name, self._chain, self.inputs, self.values, self.spans)

    def cautions(self, display: str = "mm") -> list[Caution]:
        """Return what to heed before the first cut, the gravest first; lengths in mm or in."""
        notes = cautions(
            self.job,
            cuts=[patch.cut_line for patch in self.patches],
            seam=self.runs,
            values=self.values,
            continuous=self.is_continuous,
            lens_shade=self.lens_shade_min,
            display=display,
        )
        left = self.values.get("cylinder_left_l")
        if left is not None and left < 0:
            notes.insert(
                0,
                Caution(
                    "gas",
                    f"the cylinder lacks {-left:.0f} l for this job: have "
                    "another at hand before you start.",
                ),
            )
        if "cylinder_content_l" not in self.values and "gas_real_l" in self.values:
            notes.append(
                Caution(
                    "gas",
                    "CO2 is liquid in its cylinder and its gauge does not "
                    "show what is left: weigh the cylinder (534 l a kg).",
                )
            )
        return notes


@lru_cache(maxsize=64)
def _formulas(joint: str, fill: str, process: str, gas: bool, gauge: bool) -> dict[str, Callable]:
    """Return the chain of formulas for a kind of job, in the order they are computed."""
    wire_fed = process != "141"
    chain: list[Callable | tuple[str, Callable]] = [
        weld.arc_energy_kj_per_mm,
        weld.heat_input_kj_per_mm,
        weld.wire_g_per_m,
    ]
    if wire_fed:
        chain.append(weld.wire_feed_m_min)
    if joint == "plug":
        chain += [weld.plug_volume_mm3, weld.plug_deposit_g, ("deposit_g", weld.weld_metal_g)]
    else:
        section = weld.butt_section_mm2 if joint == "butt" else weld.fillet_section_mm2
        chain += [("section_mm2", section), ("deposit_g", weld.seam_deposit_g)]
    chain += [weld.wire_g, weld.wire_m]
    if joint == "plug":
        time = weld.plugs_time_s if wire_fed else weld.rod_plug_time_s
    else:
        time = weld.dots_time_s if fill == "dots" else weld.stitch_time_s
    chain += [("fill_time_s", time), weld.arc_time_s]
    if wire_fed:
        chain += [weld.wire_by_feed_m, weld.wire_by_feed_g, costs.wire_bought_g]
    else:
        chain.append(("wire_bought_g", costs.rod_bought_g))
    if gas:
        chain += [weld.gas_arc_l, weld.gas_real_l]
        if gauge:
            chain += [weld.cylinder_content_l, weld.cylinder_left_l]
    chain += [costs.metres_m, *labour.CHAIN, costs.labour_cost, costs.wire_cost]
    chain.append(costs.gas_cost if gas else ("gas_cost", costs.no_gas_cost))
    chain += [
        costs.cutting_discs,
        costs.flap_discs,
        costs.strip_discs,
        costs.disc_cost,
        costs.sealer_ml,
        costs.primer_ml,
        costs.wax_ml,
        costs.lap_primer_ml,
        costs.coating_cost,
        costs.filters,
        costs.glove_pairs,
        costs.protective_cost,
        costs.sheet_cost,
        costs.materials_cost,
        costs.cost,
    ]
    return dict(item if isinstance(item, tuple) else (item.__name__, item) for item in chain)


def _patches(job: Job) -> tuple[PatchResult, ...]:
    choice, panel = job.patch, job.panel_shape
    cuts = patching.cut_lines(
        job.rust_shape,
        margin=choice.margin,
        shape=choice.shape,
        corner_radius=choice.corner_radius,
        web=choice.web,
        panel=panel,
    )
    folds = [Fold((fold.line[0], fold.line[-1]), fold.angle, fold.radius) for fold in choice.folds]
    joint = {"joint": choice.joint, "gap": choice.gap, "overlap": choice.overlap, "panel": panel}
    results = []
    for index, cut in enumerate(cuts):
        pieces = patching.patches(cut, **joint)
        seam = patching.seam_runs(cut, **joint)
        if not pieces or not seam:
            raise JobRefused(
                Fault(
                    "patch.gap" if choice.joint == "butt" else "patch.margin",
                    f"cut {index + 1} leaves {'no patch' if not pieces else 'no seam to weld'}",
                    "the patch must be larger than the gap and meet the panel's metal",
                    "widen the margin, close the gap, or redraw the panel's outline",
                )
            )
        mine = [fold for fold in folds if LineString(fold.line).intersects(pieces[0])]
        blank, bends = developed(pieces[0], mine, job.sheet.thickness) if mine else (pieces[0], [])
        results.append(
            PatchResult(
                cut,
                pieces[0],
                blank,
                tuple(bends),
                tuple(seam),
                patching.covers(cut, job.rust_shape, choice.margin, panel),
            )
        )
    return tuple(results)


def _welds(job: Job, patches: tuple[PatchResult, ...], inputs: Mapping[str, Row]):
    """Return tacks and fill over all runs; `Weld.run` counts through all patches."""
    tacks: list[Weld] = []
    welds: list[Weld] = []
    run_index = 0
    for number, patch in enumerate(patches):
        for run in patch.seam:
            where = {"patch": number, "index": run_index}
            if job.patch.joint == "plug":
                welds += stitching.plugs(
                    run,
                    hole=inputs["hole_diameter_mm"].value,
                    pitch=inputs["plug_pitch_mm"].value,
                    **where,
                )
            else:
                tacks += stitching.tacks(
                    run,
                    first=tables.row("limits", "tack_first", "value").value,
                    last=job.weld.tack,
                    **where,
                )
                if job.weld.fill == "dots":
                    welds += stitching.dot_groups(
                        run,
                        group=job.weld.stitch,
                        diameter=tables.row("limits", "dot_diameter", "value").value,
                        overlap=tables.row("limits", "dot_overlap", "value").value,
                        **where,
                    )
                else:
                    welds += stitching.stitches(
                        run, length=job.weld.stitch, spacing=job.weld.spacing, **where
                    )
            run_index += 1
    return tuple(tacks), tuple(welds)


def _choice(job: Job, path: str, name: str, value: float, unit: str, row: Row) -> Row:
    """Return a chosen input as given by the user, or as the table's default."""
    return given(name, value, unit) if job.given(path) else renamed(row, name)


def _limit(name: str) -> Row:
    return tables.row("limits", name, "value")


def _price(job: Job, item: str, name: str, per: float, unit: str) -> Row:
    """Return the price of one `unit`: a pack's price over `per` units a pack."""
    if item in job.shop.prices:
        return given(name, job.shop.prices[item] / per, unit)
    return renamed(tables.row("consumables", item, "price"), name, 1 / per, unit)


def _inputs(job: Job) -> dict[str, Row]:
    """Return the inputs that don't need the geometry."""
    weld_choice, sheet, shop, money = job.weld, job.sheet, job.shop, job.shop.currency
    inputs = settings(
        weld_choice.process,
        sheet.thickness,
        gas=weld_choice.gas,
        wire=weld_choice.wire,
        current=weld_choice.current,
        voltage=weld_choice.voltage,
        travel=weld_choice.travel,
        flow=weld_choice.flow,
        pre_flow=weld_choice.pre_flow,
        post_flow=weld_choice.post_flow,
    )
    group = gas_group(weld_choice.process, weld_choice.gas)
    if group != "none" and group != "C1":
        pressure = shop.cylinder.pressure
        origin = given if job.given("shop.cylinder") else _assumed
        inputs["water_volume_l"] = origin("water_volume_l", shop.cylinder.water_volume, "l")
        inputs["pressure_bar"] = origin("pressure_bar", pressure, "bar")
        inputs["compressibility"] = derived(
            "compressibility",
            tables.compressibility(group, min(pressure + weld.REFERENCE_BAR, 300.0), 15.0),
            "1",
            "real-gas table at 15 degC",
        )
    at = tables.interpolate("plug_holes", "hole_diameter", min(max(sheet.thickness, 0.6), 2.4))
    pitch = tables.interpolate("plug_holes", "pitch", min(max(sheet.thickness, 0.6), 2.4))
    inputs |= {
        "thickness_mm": given("thickness_mm", sheet.thickness, "mm"),
        "leg_mm": derived("leg_mm", sheet.thickness, "mm", "the sheet's thickness"),
        "gap_mm": _choice(job, "patch.gap", "gap_mm", job.patch.gap, "mm", _limit("gap_butt_135")),
        "face_cap_mm": renamed(_limit("cap_face_height"), "face_cap_mm"),
        "root_cap_mm": renamed(_limit("cap_root_height"), "root_cap_mm"),
        "fillet_allowance": renamed(_limit("fillet_allowance"), "fillet_allowance"),
        "hole_diameter_mm": given("hole_diameter_mm", weld_choice.plug_hole, "mm")
        if weld_choice.plug_hole
        else renamed(at, "hole_diameter_mm"),
        "plug_time_s": renamed(_limit("plug_time"), "plug_time_s"),
        "plug_pitch_mm": given("plug_pitch_mm", weld_choice.plug_pitch, "mm")
        if weld_choice.plug_pitch
        else renamed(pitch, "plug_pitch_mm"),
        "labour_rate_per_h": given("labour_rate_per_h", shop.labour_rate, f"{money}/h")
        if shop.labour_rate is not None
        else renamed(tables.row("labour", "labour_rate", "rate"), "labour_rate_per_h"),
        "wire_price_per_kg": _price(job, "wire_spool", "wire_price_per_kg", 0.7, f"{money}/kg"),
        "gas_price_per_m3": _price(job, "gas", "gas_price_per_m3", 2.0, f"{money}/m³"),
        "cutting_disc_price": _price(job, "cutting_disc", "cutting_disc_price", 1, money),
        "flap_disc_price": _price(job, "flap_disc", "flap_disc_price", 1, money),
        "sealer_price_per_ml": _price(
            job, "seam_sealer", "sealer_price_per_ml", 300, f"{money}/ml"
        ),
        "primer_price_per_ml": _price(
            job, "epoxy_primer", "primer_price_per_ml", 400, f"{money}/ml"
        ),
        "strip_disc_price": _price(job, "strip_disc", "strip_disc_price", 1, money),
        "wax_price_per_ml": _price(job, "cavity_wax", "wax_price_per_ml", 500, f"{money}/ml"),
        "lap_primer_price_per_ml": _price(
            job, "weld_through_primer", "lap_primer_price_per_ml", 400, f"{money}/ml"
        ),
        "filter_price": _price(job, "respirator_filter", "filter_price", 1, money),
        "glove_price": _price(job, "nitrile_gloves", "glove_price", 50, money),
        "sheet_price_per_kg": _price(job, "sheet", "sheet_price_per_kg", 1, f"{money}/kg"),
        "tax_share": given("tax_share", shop.tax / 100, "1"),
    }
    inputs |= labour.inputs(
        joint=job.patch.joint,
        role=sheet.role,
        fill=weld_choice.fill,
        position=sheet.position,
        back_access=sheet.back_access,
        skill=shop.skill,
        gas_group=group,
    )
    for item, quantity, name in (
        ("cutting_disc", "per_metre", "cutting_disc_per_m"),
        ("flap_disc", "per_metre", "flap_disc_per_m"),
        ("strip_disc", "per_metre", "strip_disc_per_m"),
        ("seam_sealer", "per_metre", "sealer_ml_per_m"),
        ("epoxy_primer", "per_metre", "primer_ml_per_m"),
        ("cavity_wax", "per_metre", "wax_ml_per_m"),
        ("weld_through_primer", "per_metre", "lap_primer_ml_per_m"),
        ("respirator_filter", "per_hour", "filters_per_h"),
        ("nitrile_gloves", "per_hour", "gloves_per_h"),
    ):
        inputs[name] = renamed(tables.row("consumables", item, quantity), name)
    if job.patch.joint == "butt":
        inputs["lap_primer_ml_per_m"] = derived(
            "lap_primer_ml_per_m", 0.0, "ml/m", "a butt seam has no lap to prime"
        )
    return inputs


def _assumed(name: str, value: float, unit: str) -> Row:
    return Row(
        "job",
        name,
        name,
        None,
        value,
        None,
        unit,
        "assumed: a common middle-size cylinder, full",
        "guess",
        "",
    )


def estimate(job: Job) -> Estimate:
    """Work out everything for a job.

    Raises
    ------
    JobRefused
        If the geometry leaves no patch or nothing to weld.
    OutOfRange
        If a length is outside what a formula is valid for.
    """
    patches = _patches(job)
    inputs = _inputs(job)
    tacks, welds = _welds(job, patches, inputs)
    joint, fill, process = job.patch.joint, job.weld.fill, job.weld.process
    dots = sum(w.dots for w in welds)
    plugs = sum(w.kind == "plug" for w in welds)
    blank_area = sum(math.prod(patching.blank_size(patch.blank)) for patch in patches)
    seam = sum(patch.seam_length_mm for patch in patches)
    counts = {
        "seam_length_mm": seam,
        "welded_length_mm": sum(w.length for w in welds) if joint != "plug" else 0.0,
        "cut_length_mm": sum(patch.cut_line.length for patch in patches),
        "blank_mass_g": patching.mass(blank_area, job.sheet.thickness),
        "patch_count": len(patches),
        "weld_count": len(welds),
        "tack_count": len(tacks),
        "dot_count": dots,
        "plug_count": plugs,
        "starts": len(tacks) + (dots if fill == "dots" and joint != "plug" else len(welds)),
    }
    inputs |= {
        name: derived(name, value, figures.unit_of(name), GEOMETRY)
        for name, value in counts.items()
    }
    chain = _formulas(joint, fill, process, "flow_l_min" in inputs, "pressure_bar" in inputs)
    values = figures.evaluate(chain, {name: row.value for name, row in inputs.items()})
    shade = tables.lens_shade(process, values["current_a"])
    return Estimate(job, patches, tacks, welds, inputs, values, int(shade.value), chain)


def contract(result: Estimate, *, display: str = "mm") -> dict:
    """Return the estimate as the command line's JSON object (keys and units are a contract)."""
    job, values = result.job, result.values

    def ring(shape: Polygon) -> list[list[float]]:
        return [[round(x, 3), round(y, 3)] for x, y in shape.exterior.coords]

    def number(name: str, digits: int = 4) -> float | None:
        value = values.get(name)
        return None if value is None else round(float(value), digits)

    plug = job.patch.joint == "plug"
    return {
        "title": job.title,
        "patches": [
            {
                "cut_line": ring(patch.cut_line),
                "outline": ring(patch.outline),
                "blank_outline": ring(patch.blank),
                "area_mm2": round(patch.outline.area, 3),
                "perimeter_mm": round(patch.outline.length, 4),
                "blank_mm": [round(side, 2) for side in patching.blank_size(patch.blank)],
                "mass_g": round(patching.mass(patch.blank.area, job.sheet.thickness), 3),
                "seam_length_mm": round(patch.seam_length_mm, 4),
                "covers_rust": patch.covers_rust,
            }
            for patch in result.patches
        ],
        "seam_length_mm": number("seam_length_mm"),
        "tack_count": len(result.tacks),
        "stitch_count": len(result.welds),
        "dot_count": int(values["dot_count"]),
        "plug_count": int(values["plug_count"]),
        "arc_energy_kj_per_mm": number("arc_energy_kj_per_mm", 6),
        "heat_input_kj_per_mm": number("heat_input_kj_per_mm", 6),
        "deposit_g": number("deposit_g"),
        "wire_g": number("wire_g"),
        "wire_m": number("wire_m"),
        "wire_by_feed_g": number("wire_by_feed_g"),
        "wire_by_feed_m": number("wire_by_feed_m"),
        "arc_time_s": number("arc_time_s"),
        "gas_arc_l": number("gas_arc_l") or 0.0,
        "gas_real_l": number("gas_real_l") or 0.0,
        "cylinder_left_l": number("cylinder_left_l"),
        "hours": _rounded(result.hours),
        "hours_by_step": {step: _rounded(result.range(step)) for step in labour.STEPS},
        "arc_on_share": number("arc_on_share"),
        "cost": _rounded(result.cost) | {"currency": job.shop.currency},
        "continuous_seam": result.is_continuous and not plug,
        "cautions": [str(caution) for caution in result.cautions(display)],
        "lens_shade_min": result.lens_shade_min,
    }


def _rounded(span: Range) -> dict[str, float]:
    return {key: round(getattr(span, key), 2) for key in ("low", "likely", "high")}


def seam_shape(result: Estimate):
    """Return all seam runs of an estimate as one geometry, mm."""
    return shapely.union_all(list(result.runs))


def plan(
    result: Estimate,
    *,
    order: Sequence[int] | None = None,
    progress: Callable[[float, str], None] | None = None,
) -> SequencePlan:
    """Return the order and waits for an estimate's tacks and stitches.

    `order` is your own order of the stitches, to be judged by the same rules.
    """
    values, job = result.values, result.job
    power = values["voltage_v"] * values["current_a"] * values["thermal_efficiency"]

    def run(weld_: Weld, path, seconds: float) -> WeldRun:
        return WeldRun(path, power * seconds, seconds, weld_.patch)

    def seconds(weld_: Weld) -> float:
        if weld_.kind == "dots":
            return weld_.dots * values["dot_time_s"]
        if weld_.kind == "plug":
            return values["fill_time_s"] / values["plug_count"]
        return weld_.length / values["travel_mm_min"] * 60

    tack_paths = stitching.paths(result.tacks, result.runs)
    fill_paths = stitching.paths(result.welds, result.runs)
    return plan_sequence(
        [run(w, p, values["tack_time_s"]) for w, p in zip(result.tacks, tack_paths, strict=True)],
        [run(w, p, seconds(w)) for w, p in zip(result.welds, fill_paths, strict=True)],
        tack_round=[w.round for w in result.tacks],
        thickness_mm=job.sheet.thickness,
        interpass_limit_c=job.weld.interpass_limit,
        order=order,
        progress=progress,
    )


def sequence_contract(result: Estimate, order: SequencePlan) -> dict:
    """Return a sequence as the command line's JSON object (keys and units are a contract)."""
    return {
        "title": result.job.title,
        "tack_order": list(order.tack_order),
        "tack_s": round(order.tack_s, 1),
        "order": list(order.order),
        "start_s": [round(s, 1) for s in order.start_s],
        "wait_s": [round(s, 1) for s in order.wait_s],
        "total_s": round(order.total_s, 1),
        "loop_total_s": round(order.loop_total_s, 1),
        "no_wait_bound_s": round(order.no_wait_bound_s, 1),
        "peak_before_start_c": list(order.peak_before_start_c),
        "patch": list(order.patch),
        "method": order.method,
        "grid_mm": order.grid_mm,
    }
