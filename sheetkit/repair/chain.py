"""The chain of formulas for a joint, a fill and a process."""

from __future__ import annotations

from functools import lru_cache

from ..formulas import arc, consumables, cost, filler, hours
from ..formulas.chain import Chain, Formula
from ..formulas.gas import cylinder_content_l, cylinder_left_l, gas_arc_l, gas_real_l


@lru_cache(maxsize=64)
def formulas(joint: str, fill: str, process: str, inputs: tuple[str, ...]) -> Chain:
    """Return the chain of formulas for a kind of job and the names of what is known of it.

    There is gas where its flow is known, and a gauge that shows what the
    cylinder holds where its pressure is.
    """
    wire_fed = process != "141"
    chain: list[Formula] = [
        arc.arc_energy_kj_per_mm,
        arc.heat_input_kj_per_mm,
        filler.wire_g_per_m,
    ]
    if wire_fed:
        chain.append(filler.wire_feed_m_min)
    if joint == "plug":
        chain += [
            filler.plug_volume_mm3,
            filler.plug_deposit_g,
            filler.weld_metal_g.named("deposit_g"),
        ]
    else:
        section = filler.butt_section_mm2 if joint == "butt" else filler.fillet_section_mm2
        chain += [section.named("section_mm2"), filler.seam_deposit_g.named("deposit_g")]
    chain += [filler.wire_g, filler.wire_m]
    if joint == "plug":
        time = arc.plugs_time_s if wire_fed else arc.rod_plug_time_s
    else:
        time = arc.dots_time_s if fill == "dots" else arc.stitch_time_s
    chain += [time.named("fill_time_s"), arc.arc_time_s]
    if wire_fed:
        chain += [filler.wire_by_feed_m, filler.wire_by_feed_g, filler.wire_bought_g]
    else:
        chain.append(filler.rod_bought_g.named("wire_bought_g"))
    gas = "flow_l_min" in inputs
    if gas:
        chain += [gas_arc_l, gas_real_l]
        if "pressure_bar" in inputs:
            chain += [cylinder_content_l, cylinder_left_l]
    chain += [consumables.metres_m, *hours.CHAIN, cost.labour_cost, cost.wire_cost]
    chain.append(cost.gas_cost if gas else cost.no_gas_cost.named("gas_cost"))
    chain += [
        consumables.cutting_discs,
        consumables.flap_discs,
        consumables.strip_discs,
        cost.disc_cost,
        consumables.sealer_ml,
        consumables.primer_ml,
        consumables.wax_ml,
        consumables.lap_primer_ml,
        cost.coating_cost,
        consumables.filters,
        consumables.glove_pairs,
        cost.protective_cost,
        cost.sheet_cost,
        cost.materials_cost,
        cost.cost,
    ]
    return Chain(chain, inputs)
