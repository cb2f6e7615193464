"""The sdist builds the wheel; the wheel works far from the source tree, with all its files."""

import json
import os
import subprocess
import sys
import tarfile
import tomllib
import venv
import zipfile
from email.parser import BytesParser
from pathlib import Path

import pytest

import sheetkit
from sheetkit.paper.write import FILES
from sheetkit.workshop.demo import demo_files

WIDGETS = """
import json, anywidget, sheetkit.widgets as widgets

def kinds(of):
    for kind in of.__subclasses__():
        yield kind
        yield from kinds(kind)

print(json.dumps({
    kind.__name__: [len(str(kind._esm)), len(str(getattr(kind, "_css", "")))]
    for kind in kinds(anywidget.AnyWidget) if hasattr(kind, "_esm")
}))
"""


def run(*command, **options) -> str:
    done = subprocess.run(
        [str(part) for part in command], capture_output=True, text=True, timeout=600, **options
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def sdist(root, tmp_path_factory) -> Path:
    """The source distribution, unpacked."""
    folder = tmp_path_factory.mktemp("sdist")
    run(sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-d", folder, cwd=root)
    (packed,) = folder.glob("*.tar.gz")
    with tarfile.open(packed) as file:
        file.extractall(folder, filter="data")
    return folder / packed.name.removesuffix(".tar.gz")


@pytest.fixture(scope="module")
def wheel(sdist, tmp_path_factory) -> Path:
    """The wheel, built from nothing but the source distribution."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder, cwd=sdist)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory) -> Path:
    """The folder of programs of an environment that holds the wheel; what it needs is lent to it."""
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, with_pip=False, symlinks=os.name != "nt")
    programs = folder / ("Scripts" if os.name == "nt" else "bin")
    python = programs / "python"
    run(sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-deps",
        "--no-index", wheel)  # fmt: skip
    code = "import sysconfig; print(sysconfig.get_path('purelib'))"
    own = Path(run(python, "-c", code).strip())
    lent = [entry for entry in sys.path if entry.endswith("-packages")]
    (own / "lent.pth").write_text("\n".join(lent), encoding="utf-8")
    return programs


@pytest.fixture(scope="module")
def outside(installed, tmp_path_factory):
    """Return a function: run a program of that environment in a folder of its own."""
    folder = tmp_path_factory.mktemp("outside")
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}

    def call(program: str, *arguments) -> str:
        return run(installed / program, *arguments, cwd=folder, env=clean)

    code = "import sheetkit; print(sheetkit.__file__)"
    assert Path(call("python", "-c", code).strip()).is_relative_to(installed.parent)
    return call


def test_wheel_holds_every_file_of_the_package_and_the_demo(root, wheel):
    package = root / "sheetkit"
    expected = {
        path.relative_to(root).as_posix()
        for path in package.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    } | {f"sheetkit/demo/{name}" for name in demo_files()}
    assert "sheetkit/py.typed" in expected
    with zipfile.ZipFile(wheel) as file:
        held = {name for name in file.namelist() if ".dist-info/" not in name}
    assert held == expected


def test_sdist_holds_what_the_tests_need(root, sdist):
    needed = [p for part in ("tests", "data", "notebooks") for p in (root / part).rglob("*.[pij]*")]
    needed += [root / name for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", ".ci/run")]
    kept = [p for p in needed if p.suffix != ".pyc" and not p.name.startswith("my_")]
    kept = [p for p in kept if ".ipynb_checkpoints" not in p.parts]
    assert len(kept) > 100
    assert [p for p in kept if not (sdist / p.relative_to(root)).exists()] == []


def test_metadata(root, wheel):
    with zipfile.ZipFile(wheel) as file:
        (name,) = [name for name in file.namelist() if name.endswith(".dist-info/METADATA")]
        told = BytesParser().parsebytes(file.read(name))
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert told["License-Expression"] == project["license"]
    assert told["Version"] == sheetkit.__version__
    assert "Typing :: Typed" in told.get_all("Classifier")
    plain = [line for line in told.get_all("Requires-Dist") if "extra ==" not in line]
    assert len(plain) == len(project["dependencies"]) and all(">=" in line for line in plain)


def test_program_estimates_plans_and_draws_pages_from_the_demo(outside):
    written = json.loads(outside("sheetkit", "demo", "shop", "--json"))["files"]
    assert sorted(Path(name).relative_to("shop").as_posix() for name in written) == sorted(
        demo_files()
    )
    job = Path("shop", "data", "footwell.json")
    (patch,) = json.loads(outside("sheetkit", "estimate", job, "--json"))["patches"]
    assert patch["covers_rust"]
    order = json.loads(outside("sheetkit", "sequence", job, "--json"))
    assert sorted(order["order"]) == list(range(len(order["order"])))
    pages = outside("python", "-m", "sheetkit", "sheets", job, "--out", "pages").splitlines()
    assert [Path(page).relative_to("pages").as_posix() for page in pages[: len(FILES)]] == list(
        FILES
    )
    assert Path("pages", "cutting", "patch_1_of_1.dxf") in map(Path, pages)


def test_widgets_find_their_code_and_colours(outside):
    found = json.loads(outside("python", "-c", WIDGETS))
    assert {"Pad", "Player", "Lesson"} <= set(found)
    assert all(code > 500 for code, _ in found.values())
    assert all(found[name][1] > 1000 for name in ("Pad", "Player", "Lesson"))
