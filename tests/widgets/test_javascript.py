"""The page's own code: eslint's core rules, and its geometry and edits under node's test runner."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import subprocess
from dataclasses import asdict
from pathlib import Path

import numpy as np
import pytest

from sheetkit.sketch.shape_kinds import KINDS
from sheetkit.views.turning import back_to_front, turn_matrix
from sheetkit.widgets.pad.messages import TOLD

HERE = Path(__file__).with_name("javascript")
ROOT = Path(__file__).parents[2]
PACKAGES = ("package.json", "package-lock.json")


def tool(name: str) -> str:
    """Return the path of node or npm; without it the test fails where all is to be tested."""
    found = shutil.which(name)
    if not found:
        words = f"{name} is not installed; on Debian: apt-get install nodejs npm"
        pytest.fail(words) if os.environ.get("CI") else pytest.skip(words)
    return found


def run(*command: object, **options) -> subprocess.CompletedProcess:
    return subprocess.run(
        [*map(str, command)], capture_output=True, text=True, check=False, **options
    )


@pytest.fixture(scope="module")
def node_modules() -> Path:
    """The pinned packages, installed once for each lock, in a folder that git leaves alone."""
    npm = tool("npm")
    key = hashlib.sha256((HERE / PACKAGES[1]).read_bytes()).hexdigest()[:12]
    folder = ROOT / ".venv" / "node" / key
    if not (folder / "whole").exists():
        folder.mkdir(parents=True, exist_ok=True)
        for name in PACKAGES:
            shutil.copy(HERE / name, folder)
        done = run(npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund", cwd=folder)
        assert done.returncode == 0, f"npm could not install eslint:\n{done.stdout}{done.stderr}"
        (folder / "whole").touch()
    return folder / "node_modules"


def turns() -> list[dict]:
    """Return sections seen from some side, with the turn and the order that Python finds."""
    draws = np.random.default_rng(11)
    made = []
    for _ in range(30):
        ways = np.radians(np.cumsum(draws.uniform(-70, 70, 7)))
        corners = np.cumsum(40 * np.column_stack([np.cos(ways), np.sin(ways)]), axis=0)
        points = np.column_stack([np.zeros(7), corners])
        strips = np.stack([points[:-1], points[1:]], axis=1)
        sides = draws.uniform((-180, -90), (180, 90)).tolist()
        turn = turn_matrix(np.eye(3), *sides)
        order = back_to_front(strips, np.array([1.0, 0, 0]), turn)
        made.append(
            {"strips": strips.tolist(), "sides": sides, "turn": turn.tolist(), "order": order}
        )
    return made


@pytest.fixture(scope="module")
def workspace(tmp_path_factory) -> Path:
    """A copy of the modules and their tests that node takes for modules, and what Python tells."""
    folder = tmp_path_factory.mktemp("page")
    (folder / "package.json").write_text('{"type": "module"}')
    for tree in ("sheetkit", "tests/widgets/javascript"):
        for path in (ROOT / tree).rglob("*.js"):
            to = folder / path.relative_to(ROOT)
            to.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(path, to)
    told = {
        "limits": TOLD,
        "kinds": [asdict(kind) for kind in KINDS.values()],
        "turns": turns(),
        "cases": json.loads((ROOT / "tests/sketch/edits.json").read_text(encoding="utf-8")),
    }
    (folder / "told.json").write_text(json.dumps(told), encoding="utf-8")
    return folder


@pytest.mark.parametrize("path", sorted(HERE.glob("*.test.js")), ids=lambda path: path.stem)
def test_the_page_works_out_what_it_should(workspace, path):
    done = run(
        tool("node"), "--test", path.relative_to(ROOT), cwd=workspace,
        env=os.environ | {"SHEETKIT_TOLD": str(workspace / "told.json")},
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert re.search(r"pass [1-9]", done.stdout), "nothing was tried"


def test_eslint_finds_nothing(node_modules):
    done = run(
        tool("node"), node_modules / "eslint" / "bin" / "eslint.js",
        "--config", HERE / "eslint.config.js", "sheetkit", HERE.relative_to(ROOT), cwd=ROOT,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr


def test_eslint_sees_a_name_nobody_declares(node_modules, tmp_path):
    """The rules are on: a slip of the pen in page code is found."""
    folder = tmp_path / "sheetkit"
    folder.mkdir()
    (folder / "slip.js").write_text("export const one = () => twoo;\n")
    done = run(
        tool("node"), node_modules / "eslint" / "bin" / "eslint.js",
        "--config", HERE / "eslint.config.js", "sheetkit", cwd=tmp_path,
    )  # fmt: skip
    assert done.returncode == 1
    assert "'twoo' is not defined" in done.stdout
