"""The front door is short, resolves, and loads nothing heavy."""

import subprocess
import sys

import pytest

import sheetkit

HEAVY = ("jupyter", "jupyterlab", "ipywidgets", "IPython", "anywidget", "matplotlib", "numba")


@pytest.mark.parametrize("name", sheetkit.__all__)
def test_every_name_resolves(name):
    assert getattr(sheetkit, name) is not None


def test_nothing_else_of_ours_is_public():
    own = {
        name
        for name, thing in vars(sheetkit).items()
        if not name.startswith("_") and getattr(thing, "__module__", "").startswith("sheetkit.")
    }
    assert own == set(sheetkit.__all__)


@pytest.mark.parametrize(
    "program",
    [
        "import sheetkit",
        "import sheetkit; sheetkit.estimate(sheetkit.load('data/footwell.json'))",
    ],
    ids=["import", "estimate"],
)
def test_nothing_heavy_is_loaded(root, program):
    code = f"{program}; import sys; print(*sorted({{m.split('.')[0] for m in sys.modules}}))"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True
    )
    loaded = set(done.stdout.split())
    assert "sheetkit" in loaded
    assert not loaded & set(HEAVY)


def test_star_import():
    names: dict = {}
    exec("from sheetkit import *", names)
    assert set(sheetkit.__all__) <= set(names)
