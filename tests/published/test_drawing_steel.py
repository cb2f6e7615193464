"""Drawing steel's elongation: a strip maker's page that lists EN 10130 and EN 10139 (seen)."""

from sheetkit.base.tables import limit


def test_elongation_of_the_plainest_grade():
    """DC01, skin-passed (LC): A80 at least 28 %, yield at most 280 N/mm2."""
    assert limit("elongation_dc01").value == 0.28
    assert limit("bent_elastic").value == round(280 / 210_000, 4)
