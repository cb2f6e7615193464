"""What a job asks of the machine: its duty cycle, and the power from the wall."""

from __future__ import annotations

from dataclasses import dataclass

from ..base.tables import limit
from ..formulas.arc import duty_cycle_current_a
from ..formulas.machine import TEN_MINUTES_S, busiest_share
from ..sequence.plan import SequencePlan
from .estimate import Estimate
from .plan import arc_s
from .weld_cautions import mains


@dataclass(frozen=True)
class MachineLoad:
    """What a job asks of the machine.

    busiest_share : share of its busiest ten minutes in which the arc burns, 0 to 1; without
        a plan that of ten minutes with the usual moves and waits
    rated_share, rated_a : a machine rated for `rated_a` A at that duty cycle bears it
    power_va : apparent power from the wall while the arc burns, VA
    at_230_v_a, at_120_v_a : current from the wall, A
    """

    busiest_share: float
    rated_share: float
    rated_a: float
    power_va: float
    at_230_v_a: float
    at_120_v_a: float
    by_plan: bool

    def __str__(self) -> str:
        which = "the busiest ten minutes" if self.by_plan else "ten minutes, by the usual waits"
        return (
            f"The arc burns {100 * self.busiest_share:.0f} % of {which}: a machine "
            f"rated {self.rated_a:.0f} A at {100 * self.rated_share:.0f} % bears it (I² x duty "
            f"cycle stays the same). It draws about {self.at_230_v_a:.0f} A from 230 V, "
            f"{self.at_120_v_a:.0f} A from 120 V, while it burns."
        )


def machine_load(result: Estimate, order: SequencePlan | None = None) -> MachineLoad:
    """Return what a job asks of the machine, by its plan or by the usual moves and waits.

    Source: duty cycle by EN 60974-1, shares of ten minutes (value from memory);
    I² D as in power-source makers' manuals; efficiency and power factor from the
    table "limits".
    """
    values = result.values
    if order is None:
        moves = values["tack_moves_s"] + values["fill_moves_s"] + values["fill_waits_s"]
        takes = float(values["arc_time_s"] + moves)
        share = float(values["arc_time_s"]) / max(takes, TEN_MINUTES_S)
    else:
        turns, starts = order.schedule()
        welds = [*result.tacks, *result.welds]
        share = busiest_share(starts, [arc_s(result, welds[turn]) for turn in turns])
    rated = limit("machine_rating").value / 100
    current = float(values["current_a"])
    needed = duty_cycle_current_a(current, max(share, 0.01), rated)
    known = max(needed, current), *mains(values)
    return MachineLoad(share, rated, *known, by_plan=order is not None)
