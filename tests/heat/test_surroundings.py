"""What faces lose: limits, ranges, and that each way of lying says where its figure is from."""

import pytest

from sheetkit.base.errors import OutOfRange
from sheetkit.base.tables import STATUSES
from sheetkit.heat.air import (
    Losses,
    closed_section_coefficient,
    forced_convection_coefficient,
    surface_coefficient,
)
from sheetkit.heat.surroundings import Surroundings


def test_the_usual_case_is_still_air_on_both_faces():
    assert Surroundings().losses == Losses.still_air()
    assert Surroundings(ambient_c=35.0).losses == Losses.still_air(35.0)


def test_a_laminar_plate_by_hand():
    """0.3 m, 1 m/s, air at 40 degC: Re 17,640, Nu 0.664 x 132.8 x 0.89 = 78.5, k 0.0274."""
    assert forced_convection_coefficient(60, 20, 1.0) == pytest.approx(7.15, rel=0.01)
    assert forced_convection_coefficient(60, 20, 0.0) == 0.0
    twice = forced_convection_coefficient(60, 20, 2.0) / forced_convection_coefficient(60, 20, 1.0)
    assert twice == pytest.approx(2**0.5)


def test_a_closed_section_loses_less_than_each_of_its_walls():
    """An infinitely thin one with black walls would lose what its far wall loses, at its heat."""
    deep, shallow = (closed_section_coefficient(depth_mm=mm) for mm in (150.0, 5.0))
    open_wall = surface_coefficient(60, 20, facing="vertical")
    assert 1.0 < deep < shallow < open_wall
    by_air = 0.0274 / 0.15
    assert deep > by_air


@pytest.mark.parametrize("position", ["flat", "vertical", "overhead"])
@pytest.mark.parametrize("coating", ["bare", "zinc", "painted"])
@pytest.mark.parametrize("back", ["open", "closed", "covered"])
@pytest.mark.parametrize("air", ["still", "draught", "wind"])
def test_every_face_has_a_range_and_an_origin(position, coating, back, air):
    for row in Surroundings(position, coating, "open", back, air=air).sides:
        assert 0 <= row.low <= row.value <= row.high < 60
        assert row.status in STATUSES and row.source and row.unit == "W/(m2 K)"


def test_covers_and_draughts_order_the_losses():
    def back(**more):
        return Surroundings(**more).losses.h_bottom

    assert back(back="covered") < back(back="closed") < back() < back(air="draught")
    assert back(air="draught") < back(air="wind")
    assert back(coating="bare") < back()
    assert Surroundings(front="covered").losses.h_top == back(back="covered")
    flat, overhead = Surroundings().losses, Surroundings("overhead").losses
    assert (flat.h_top, flat.h_bottom) == (overhead.h_bottom, overhead.h_top)


def test_a_way_of_lying_nobody_knows_is_refused():
    with pytest.raises(OutOfRange, match="back"):
        Surroundings(back="ajar")
