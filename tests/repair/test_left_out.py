"""What a job leaves out is named with what was taken for it."""

from __future__ import annotations

import pytest

from sheetkit.job.job import Job
from sheetkit.job.titles import CHOICES
from sheetkit.repair.estimate import estimate
from sheetkit.repair.left_out import assumed

LEAST = {
    "format": "sheetkit-job/1",
    "sheet": {"thickness": "1 mm"},
    "rust": [{"ring": [[0, 0], [100, 0], [100, 80]]}],
}


def taken(job: Job, display: str = "mm") -> dict[str, tuple[str, str]]:
    return {
        field: (value, origin) for field, value, origin in assumed(estimate(job), display=display)
    }


def test_the_shortest_job_names_every_field_it_leans_on():
    found = taken(Job.from_data(LEAST))
    assert found["patch.margin"] == ("25 mm", "common practice")
    assert found["patch.gap"] == ("0.50 mm", "common practice")
    assert found["sheet.back_access"] == ("a hand reaches it", "guess")
    assert found["weld.wire"] == ("0.8 mm", "published")
    assert found["weld.interpass_limit"] == ("60 °C", "common practice")
    assert found["shop.cylinder"] == ("10 l at 200 bar", "guess")
    assert found["shop.tax"] == ("0 %", "guess")
    assert found["weld.gas"] == ("M21 (ISO 14175)", "common practice")
    assert "patch.overlap" not in found and "weld.plug_hole" not in found


def test_inches():
    found = taken(Job.from_data(LEAST), "in")
    assert found["weld.wire"][0] == "0.030 in"
    assert found["weld.interpass_limit"][0] == "140 °F"


@pytest.mark.parametrize(
    "change, gone, instead",
    [
        ({"patch__joint": "plug"}, ("patch.gap", "weld.fill", "weld.tack"), ("weld.plug_pitch",)),
        (
            {"patch__joint": "lap"},
            ("patch.gap",),
            ("patch.overlap", "weld.stitch", "sheet.beneath"),
        ),
        ({"weld__fill": "dots"}, ("weld.stitch", "weld.fill"), ("weld.tack",)),
        ({"weld__process": "114"}, ("weld.gas", "shop.cylinder", "weld.flow"), ("weld.current",)),
    ],
)
def test_only_what_matters_is_named(change, gone, instead):
    found = taken(Job.from_data(LEAST).changed(**change))
    assert not set(gone) & set(found)
    assert set(instead) <= set(found)


def test_every_named_field_is_one_of_the_job_file_and_giving_it_takes_it_off_the_list():
    given = {
        "shop.cylinder": {"water_volume": "10 l", "pressure": "150 bar"},
        "sheet.back_access": True,
        "panel.outline": [[-100, -100], [300, -100], [300, 300], [-100, 300]],
        "surroundings.back": "open",
        "shop.labour_rate": 60,
        "shop.tax": 0,
        "weld.gas": "M21",
        "weld.interpass_limit": "60 degC",
    }
    job = Job.from_data(LEAST)
    for field, value, _ in assumed(estimate(job)):
        words = CHOICES.get(field, {})
        said = next((one for one, called in words.items() if called == value), value)
        put = given.get(field, said)
        job = job.changed(**{field.replace(".", "__"): put})
    assert taken(job) == {}
