"""What lies round a sheet, and so what each of its faces loses: with range and origin."""

from __future__ import annotations

from dataclasses import dataclass

from ..base.errors import refuse
from ..base.tables import Row, derived, limit
from .air import (
    SURFACE_C,
    Losses,
    closed_section_coefficient,
    convection_coefficient,
    forced_convection_coefficient,
    radiation_coefficient,
)

FACING = {
    "flat": ("up", "down"),
    "vertical": ("vertical", "vertical"),
    "overhead": ("down", "up"),
}
"""Position of welding -> which way the front (the welded face) and the back look."""
MIXED = 3.0
"""Natural and forced convection together: the cube root of the sum of their cubes (Incropera and
DeWitt, ch. 9.9, value from memory)."""


@dataclass(frozen=True)
class Surroundings:
    """How a sheet lies while it is welded.

    position : "flat", "vertical" or "overhead"
    coating : "bare", "zinc" or "painted": what its faces radiate
    front : the welded face: "open" to the air or "covered"
    back : "open", "covered" (mat, foam, a bench) or "closed" (into a section)
    ambient_c : air, and the sheet before the first weld, deg C, -30 to 45
    air : "still", "draught" or "wind"
    """

    position: str = "flat"
    coating: str = "painted"
    front: str = "open"
    back: str = "open"
    ambient_c: float = 20.0
    air: str = "still"

    def __post_init__(self) -> None:
        known = {
            "position": tuple(FACING), "coating": ("bare", "zinc", "painted"),
            "front": ("open", "covered"), "back": ("open", "covered", "closed"),
            "air": ("still", "draught", "wind"),
        }  # fmt: skip
        for name, words in known.items():
            if getattr(self, name) not in words:
                limit_words = f"must be {', '.join(words[:-1])} or {words[-1]}"
                refuse(name, getattr(self, name), limit_words, "choose one of these")

    @property
    def sides(self) -> tuple[Row, Row]:
        """What front and back lose, W/(m² K), each with its range and where it is from."""
        looks = FACING[self.position]
        return (
            self._side("front_loss", self.front, looks[0]),
            self._side("back_loss", self.back, looks[1]),
        )

    @property
    def losses(self) -> Losses:
        """The losses a plan takes."""
        front, back = self.sides
        return Losses(front.value, back.value, self.ambient_c)

    def _side(self, name: str, what: str, facing: str) -> Row:
        if what == "covered":
            row = limit("loss_covered")
            low, usual, high = row.low, row.value, row.high
            return Row("heat", name, name, low, usual, high, row.unit, row.source, row.status, "")
        shine, spread = limit(f"emissivity_{self.coating}"), limit("convection_spread")
        depth, wind = limit("section_depth"), None
        if self.air != "still":
            wind = limit(f"air_{self.air}")
        found = {}
        for end in ("low", "value", "high"):
            emissivity = float(getattr(shine, end))
            if what == "closed":
                deep = {"low": depth.high, "value": depth.value, "high": depth.low}[end]
                found[end] = float(
                    closed_section_coefficient(
                        self._surface_c, self.ambient_c, depth_mm=deep, emissivity=emissivity
                    )
                )
                continue
            natural = convection_coefficient(self._surface_c, self.ambient_c, facing=facing)
            natural *= getattr(spread, end)
            speed = 0.0 if wind is None else getattr(wind, end)
            forced = forced_convection_coefficient(self._surface_c, self.ambient_c, speed)
            moved = float((natural**MIXED + forced**MIXED) ** (1 / MIXED))
            found[end] = moved + float(
                radiation_coefficient(self._surface_c, self.ambient_c, emissivity=emissivity)
            )
        how = {
            "open": f"{self.air} air and radiation of {self.coating} sheet, by closed forms",
            "closed": f"into a closed section about {depth.value:g} mm deep, by closed forms",
        }[what]
        row = derived(name, found["value"], "W/(m2 K)", how)
        return Row(
            "heat", name, name, found["low"], row.value, found["high"], row.unit, row.source,
            row.status, "",
        )  # fmt: skip

    @property
    def _surface_c(self) -> float:
        return max(SURFACE_C, self.ambient_c + 20)
