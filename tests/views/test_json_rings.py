"""Outlines in the JSON object stay sound when they are rounded."""

import json

import pytest
from shapely import Polygon

from sheetkit import estimate
from sheetkit.views import json_objects


@pytest.mark.parametrize("neck_mm", [0.0004, 0.0009, 4e-7])
def test_a_neck_narrower_than_the_last_digit_does_not_make_it_cross_itself(neck_mm):
    half = neck_mm / 2
    # the neck leans, so that its sides round to crossing lines
    hourglass = Polygon(
        [(0, 0), (50, 20.0001 - half), (100, 0), (100, 40), (50.0003, 20.0001 + half), (0, 40)]
    )
    assert hourglass.is_valid
    told = Polygon(json_objects._ring(hourglass))
    assert told.is_valid
    assert told.symmetric_difference(hourglass).area < 0.1


def test_an_ordinary_outline_has_three_digits(job):
    told = json_objects.estimate_object(estimate(job()))["patches"][0]
    text = json.dumps([told["cut_line"], told["outline"], told["blank_outline"]])
    assert max(len(number.partition(".")[2].rstrip("],[ ")) for number in text.split()) <= 3
