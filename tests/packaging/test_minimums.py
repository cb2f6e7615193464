"""The lowest versions are declared for every dependency, in one place."""

import re
import subprocess
import sys
import tomllib
from importlib.metadata import version

import pytest


def constraints(root) -> dict[str, str]:
    told = subprocess.run(
        [sys.executable, root / ".ci" / "minimums.py"], capture_output=True, text=True, check=True
    )
    return dict(line.split("==") for line in told.stdout.splitlines())


def test_every_dependency_has_one(root):
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert len(constraints(root)) == len(project["dependencies"]) > 10


def test_a_dependency_without_a_lowest_version_is_refused(root, tmp_path):
    script = (root / ".ci" / "minimums.py").read_text(encoding="utf-8")
    (tmp_path / ".ci").mkdir()
    (tmp_path / ".ci" / "minimums.py").write_text(script, encoding="utf-8")
    for line in ("numpy", "numpy<3", "numpy>=1.26,<3"):
        (tmp_path / "pyproject.toml").write_text(f'[project]\ndependencies = ["{line}"]\n')
        done = subprocess.run(
            [sys.executable, tmp_path / ".ci" / "minimums.py"], capture_output=True, text=True
        )
        assert done.returncode == 1 and f'"{line}" must be' in done.stderr


@pytest.mark.parametrize("name", ["numpy", "pint", "pydantic", "shapely"])
def test_what_runs_here_is_no_older(root, name):
    def key(text):
        return [int(number) for number in re.findall(r"\d+", text)[:3]]

    assert key(version(name)) >= key(constraints(root)[name])
