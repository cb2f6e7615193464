"""The heat a joint is given beside what known settings give: told before the first arc."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..base.tables import STATUSES, limit
from ..formulas.settings import ends, reckoned_mm, suggested, table_span
from ..job.job import Job

LINE = "J/mm for each mm of sheet"
ROUNDING = 1e-3
"""So much over or under a limit is the rounding of its own numbers."""


@dataclass(frozen=True)
class KnownHeat:
    """The heat of a job's settings beside that of known ones.

    given : arc energy a mm of seam and mm of sheet, J/mm²; a plug's current, A
    low, high : the least and most that tables give, None where no row reaches; in vertical
        and overhead work the least is as much lower as the current is
    unit, status : of these; joint : "butt", "lap" or "plug"
    """

    joint: str
    given: float
    low: float | None
    high: float | None
    unit: str
    status: str

    @property
    def what(self) -> str:
        """The heat given, in words."""
        return (
            f"{self.given:.0f} A"
            if self.unit == "A"
            else f"an arc energy of {self.given:.0f} {self.unit}"
        )

    @property
    def known(self) -> str:
        """What known settings give, in words."""
        return (
            f"known settings for this {self.joint} give {self.low:.0f} to {self.high:.0f} {self.unit}"
            f" ({self.status})"
        )

    @property
    def too_hot(self) -> bool:
        """Whether it is more than known settings give."""
        return self.high is not None and self.given > self.high * (1 + ROUNDING)

    @property
    def too_cold(self) -> bool:
        """Whether it is less than known settings give."""
        return self.low is not None and self.given < self.low * (1 - ROUNDING)

    def __str__(self) -> str:
        if self.low is None:
            where = "no table reaches this sheet and joint, so a coupon alone can tell"
        elif self.too_hot or self.too_cold:
            where = f"{self.known}: {'more' if self.too_hot else 'less'} than these"
        else:
            where = f"{self.known}: within them"
        return f"{self.what[0].upper()}{self.what[1:]}; {where}."


def known_heat(job: Job, values: Mapping[str, float]) -> KnownHeat:
    """Return the heat of a job's settings beside that of known ones.

    Arc energy from the lowest current and voltage at the highest travel to the reverse,
    at the thickness the joint is reckoned with; a plug is judged by its current.

    Parameters
    ----------
    job : Job
    values : the estimate's figures
    """
    process, joint = job.weld.process, job.patch.joint
    at = reckoned_mm(joint, job.sheet.thickness, job.sheet.beneath)
    share = min(
        1.0 if position == "flat" else limit(f"current_{position}").value
        for position in job.rusty_faces.by_position
    )
    if joint == "plug":
        row = suggested(process, "plug current", at)
        low, high = ends(row)
        return KnownHeat(joint, values["current_a"], low * share, high, "A", row.status)
    given = 1000 * values["arc_energy_kj_per_mm"] / at
    least, most = table_span(process, joint)
    if not least <= at <= most:
        return KnownHeat(joint, given, None, None, LINE, "guess")
    rows = [suggested(process, f"{joint} {name}", at) for name in ("current", "voltage", "travel")]
    (i_low, i_high), (u_low, u_high), (v_low, v_high) = map(ends, rows)
    low, high = 60 * i_low * u_low / v_high / at, 60 * i_high * u_high / v_low / at
    # a product of published ends is worked out, not printed
    status = max("derived", *(row.status for row in rows), key=STATUSES.index)
    return KnownHeat(joint, given, low * share, high, LINE, status)
