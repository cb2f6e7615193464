"""The house rules that a machine can check: format, lint, types, floors, short files."""

import subprocess
import sys
from pathlib import Path

import pytest

LONGEST = 340
MODULES = sorted((Path(__file__).parents[1] / "sheetkit").rglob("*.py"))


def passes(root, *command):
    done = subprocess.run(command, cwd=root, capture_output=True, text=True)
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"


def test_ruff_check(root):
    passes(root, sys.executable, "-m", "ruff", "check", "--no-cache", ".")


def test_ruff_format(root):
    passes(root, sys.executable, "-m", "ruff", "format", "--no-cache", "--check", ".")


def test_a_file_imports_only_from_the_floors_below_it(root):
    passes(root, str(Path(sys.executable).with_name("lint-imports")), "--no-cache")


def test_types(root):
    passes(root, sys.executable, "-m", "mypy", "--no-error-summary")


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_one_subject_one_short_file(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST


def test_no_two_test_files_share_a_name(root):
    """Test folders are no packages: pytest would collect only the first."""
    names = [path.name for path in (root / "tests").rglob("test_*.py")]
    assert sorted(names) == sorted(set(names))
