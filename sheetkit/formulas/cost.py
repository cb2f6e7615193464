"""Consumables and money.  Each function is one formula (see `weld`)."""

from __future__ import annotations

from .chain import MONEY, formula


@formula(unit=MONEY)
def no_gas_cost():
    """Money for gas: none, the wire makes its own shield."""
    return 0.0


@formula(unit=MONEY)
def wire_cost(wire_bought_g, wire_price_per_kg):
    """Money for wire: mass x price."""
    return wire_bought_g / 1000 * wire_price_per_kg


@formula(unit=MONEY)
def gas_cost(gas_real_l, gas_price_per_m3):
    """Money for gas: what the job really takes x price of a cubic metre."""
    return gas_real_l / 1000 * gas_price_per_m3


@formula(unit=MONEY)
def disc_cost(
    cutting_discs,
    cutting_disc_price,
    flap_discs,
    flap_disc_price,
    strip_discs,
    strip_disc_price,
):
    """Money for discs: cutting, dressing, stripping."""
    return (
        cutting_discs * cutting_disc_price
        + flap_discs * flap_disc_price
        + strip_discs * strip_disc_price
    )


@formula(unit=MONEY)
def coating_cost(
    sealer_ml,
    sealer_price_per_ml,
    primer_ml,
    primer_price_per_ml,
    wax_ml,
    wax_price_per_ml,
    lap_primer_ml,
    lap_primer_price_per_ml,
):
    """Money for sealer, epoxy primer, cavity wax, and weld-through primer inside laps."""
    return (
        sealer_ml * sealer_price_per_ml
        + primer_ml * primer_price_per_ml
        + wax_ml * wax_price_per_ml
        + lap_primer_ml * lap_primer_price_per_ml
    )


@formula(unit=MONEY)
def protective_cost(filters, filter_price, glove_pairs, glove_price):
    """Money for what protects and wears: respirator filters, thin gloves."""
    return filters * filter_price + glove_pairs * glove_price


@formula(unit=MONEY)
def sheet_cost(blank_mass_g, sheet_price_per_kg):
    """Money for sheet: the blanks' mass x price."""
    return blank_mass_g / 1000 * sheet_price_per_kg


@formula(unit=MONEY)
def materials_cost(wire_cost, gas_cost, disc_cost, coating_cost, protective_cost, sheet_cost):
    """Money for all materials used up."""
    return wire_cost + gas_cost + disc_cost + coating_cost + protective_cost + sheet_cost


@formula(unit=MONEY)
def labour_cost(hours_h, labour_rate_per_h):
    """Money for labour: hours x rate."""
    return hours_h * labour_rate_per_h


@formula(unit=MONEY, valid={"tax_share": (0, 1)})
def cost(labour_cost, materials_cost, tax_share):
    """Money for the repair: labour and materials, with tax."""
    return (labour_cost + materials_cost) * (1 + tax_share)
