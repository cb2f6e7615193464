"""The front door is short, resolves, and loads nothing heavy."""

import importlib
import subprocess
import sys
from pathlib import Path

import pytest

import sheetkit

HEAVY = (
    "jupyter", "jupyterlab", "ipywidgets", "IPython", "anywidget", "matplotlib", "numba", "pandas",
)  # fmt: skip
ROOMS = sorted(path.parent.name for path in Path(sheetkit.__file__).parent.glob("*/__init__.py"))


@pytest.mark.parametrize("name", sheetkit.__all__)
def test_every_name_resolves(name):
    assert getattr(sheetkit, name) is not None


def test_nothing_else_of_ours_is_public():
    for name in sheetkit.__all__:
        getattr(sheetkit, name)  # loaded when it is first asked for
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
        "import sheetkit; dir(sheetkit); dir(sheetkit.views); sheetkit.workshop.shopping",
    ],
    ids=["import", "estimate", "look round"],
)
def test_nothing_heavy_is_loaded(root, program):
    code = f"{program}; import sys; print(*sorted({{m.split('.')[0] for m in sys.modules}}))"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True
    )
    loaded = set(done.stdout.split())
    assert "sheetkit" in loaded
    assert not loaded & set(HEAVY)


def test_the_names_alone_are_light(root):
    """So the keyboard can stop the program before anything that takes long is loaded."""
    code = "import sheetkit.__main__, sys; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True
    )
    loaded = {name.partition(".")[0] for name in done.stdout.split()}
    assert "sheetkit" in loaded and not loaded & {"numpy", "shapely", "pydantic", "argparse"}


def test_star_import():
    names: dict = {}
    exec("from sheetkit import *", names)
    assert set(sheetkit.__all__) <= set(names)


def test_every_room_is_named_and_opens():
    assert len(ROOMS) > 10
    for room in ROOMS:
        assert room in dir(sheetkit)
        assert getattr(sheetkit, room).__name__ == f"sheetkit.{room}"


@pytest.mark.parametrize("room", [room for room in ROOMS if room != "widgets"])
def test_every_file_of_a_room_is_named_and_opens(room):
    opened = getattr(sheetkit, room)
    files = {path.stem for path in Path(opened.__file__).parent.glob("*.py")} - {"__init__"}
    assert set(dir(opened)) == files
    for file in files:
        assert getattr(opened, file) is importlib.import_module(f"sheetkit.{room}.{file}")


def test_a_room_or_file_that_is_not_there():
    for place, name in ((sheetkit, "attic"), (sheetkit.views, "window")):
        with pytest.raises(AttributeError, match=f"has no attribute '{name}'"):
            getattr(place, name)


def test_tab_completion_shows_the_front_door_alone():
    assert set(dir(sheetkit)) == {*sheetkit.__all__, *ROOMS, "__version__"}
