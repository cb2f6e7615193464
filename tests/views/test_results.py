"""Results show themselves: short by name, as HTML with picture, as a table, as a chart."""

import subprocess
import sys

import pytest
from matplotlib.axes import Axes

import sheetkit as sk

LONGEST_REPR = 600


@pytest.fixture(scope="module")
def shown(data_folder, small_plan):
    """Return what shows itself, by class name."""
    result = sk.estimate(sk.load(data_folder / "trunk_floor.json"))
    return {"Estimate": result, "SequencePlan": small_plan}


KINDS = ("Estimate", "SequencePlan")


@pytest.mark.parametrize("kind", KINDS)
def test_the_repr_is_short(shown, kind):
    assert 0 < len(repr(shown[kind])) < LONGEST_REPR
    assert "\n" not in repr(shown[kind])


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_has_picture_and_table(shown, kind):
    page = shown[kind]._repr_html_()
    assert 'src="data:image/png;base64,' in page
    assert '<img alt="' in page
    assert "<table>" in page


@pytest.mark.parametrize("kind", KINDS)
def test_the_table_is_a_frame(shown, kind):
    frame = shown[kind].table()
    assert len(frame)
    assert len(frame.columns) == len(set(frame.columns))


@pytest.mark.parametrize("kind", KINDS)
def test_it_draws_itself(shown, kind):
    assert isinstance(shown[kind].plot(), Axes)


def test_plain_text_loads_nothing_heavy(root):
    code = (
        "import sheetkit as sk, sys; print(repr(sk.estimate(sk.load('data/footwell.json'))));"
        "assert not {'matplotlib', 'pandas', 'numba', 'IPython'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], cwd=root, check=True)
