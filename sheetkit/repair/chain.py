"""The chain of formulas for a joint, a fill and a process."""

from __future__ import annotations

from functools import lru_cache

from ..formulas import arc, consumables, cost, filler, hours, strip
from ..formulas.chain import Chain, Formula
from ..formulas.gas import cylinder_content_l, cylinder_left_l, gas_arc_l, gas_real_l


@lru_cache(maxsize=64)
def formulas(joint: str, fill: str, process: str, inputs: tuple[str, ...]) -> Chain:
    """Return the chain of formulas for a kind of job and the names of what is known of it.

    There is gas where its flow is known, and a gauge that shows what the
    cylinder holds where its pressure is.
    """
    wire_fed = process != "141"
    chain: list[Formula] = [filler.wire_g_per_m]
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
    chain += _arc(joint, fill, wire_fed)
    if wire_fed:
        chain += [filler.wire_by_feed_m, filler.wire_by_feed_g, filler.wire_bought_g]
    else:
        chain.append(filler.rod_bought_g.named("wire_bought_g"))
    gas = "flow_l_min" in inputs
    if gas:
        chain += [gas_arc_l, gas_real_l]
        if "pressure_bar" in inputs:
            chain += [cylinder_content_l, cylinder_left_l]
    chain += [
        consumables.metres_m,
        strip.paint_burns_mm,
        strip.bare_strip_mm,
        strip.stripped_m,
        *hours.chain(dots=fill == "dots" and joint != "plug", bent="further_bend_count" in inputs),
        cost.labour_cost,
        cost.wire_cost,
    ]
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


def _arc(joint: str, fill: str, wire_fed: bool) -> list[Formula]:
    """Return the formulas of arc time and heat, which stitches, dots and plugs have of their own."""
    if joint == "plug":
        if wire_fed:
            times = [filler.plug_time_s, arc.plugs_time_s.named("fill_time_s")]
        else:
            times = [arc.rod_plug_time_s.named("fill_time_s")]
        energy = [
            arc.plug_arc_energy_kj,
            arc.plug_heat_input_kj,
            arc.plugs_energy_kj_per_mm.named("arc_energy_kj_per_mm"),
        ]
    elif fill == "dots":
        times = [arc.fill_length_mm, arc.fill_dots, arc.dots_time_s.named("fill_time_s")]
        energy = [arc.dots_energy_kj_per_mm.named("arc_energy_kj_per_mm")]
    else:
        times = [arc.fill_length_mm, arc.stitch_time_s.named("fill_time_s")]
        energy = [arc.arc_energy_kj_per_mm]
    return [*times, arc.arc_time_s, *energy, arc.heat_input_kj_per_mm]
