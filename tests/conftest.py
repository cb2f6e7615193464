"""What several test files share: demo jobs, small jobs, the command line, independent geometry."""

import copy
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree

ROOT = Path(__file__).parents[1]
SQUARE = [[0, 0], [100, 0], [100, 60], [0, 60]]
SMALL_JOB = {
    "format": "sheetkit-job/1",
    "sheet": {"thickness": 1.0},
    "rust": [{"ring": SQUARE}],
}


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def data_folder() -> Path:
    """The demo jobs."""
    return ROOT / "data"


@pytest.fixture(scope="session")
def job_data():
    """Return a function: the data of a small sound job, with some top-level keys replaced."""

    def make(**changes) -> dict:
        return copy.deepcopy(SMALL_JOB | changes)

    return make


@pytest.fixture(scope="session")
def job(job_data):
    """Return a function: a small job, with some top-level keys replaced."""
    import sheetkit

    def make(**changes):
        return sheetkit.Job.from_data(job_data(**changes))

    return make


@pytest.fixture(scope="module")
def brief_search():
    """Polish orders only a little: for tests that ask nothing of how good an order is."""
    from sheetkit.sequence import stages

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stages, "MARCHES", 200)
        yield


@pytest.fixture(scope="session")
def demo():
    """Return a function: the data of a demo job by name."""

    def read(name: str) -> dict:
        return json.loads((ROOT / "data" / f"{name}.json").read_text(encoding="utf-8"))

    return read


@pytest.fixture(scope="session")
def cli():
    """Return a function: run `python -m sheetkit` with arguments."""

    def run(*arguments, **options) -> subprocess.CompletedProcess:
        command = [sys.executable, "-m", "sheetkit", *map(str, arguments)]
        return subprocess.run(
            command, cwd=ROOT, capture_output=True, text=True, timeout=900, **options
        )

    return run


@pytest.fixture(scope="session")
def told(cli):
    """Return a function: the JSON object a command prints for a demo job."""
    kept = {}

    def run(command, name):
        if (command, name) not in kept:
            done = cli(command, f"data/{name}.json", "--json")
            assert (done.returncode, done.stderr) == (0, ""), done.stderr
            assert len(done.stdout.splitlines()) == 1
            kept[command, name] = json.loads(done.stdout)
        return kept[command, name]

    return run


def dense(ring, step: float = 0.1) -> np.ndarray:
    """Return points along a closed ring, at most `step` mm apart."""
    ring = np.asarray(ring, float)
    pieces = []
    for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        n = max(1, int(np.ceil(np.hypot(*(b - a)) / step)))
        pieces.append(a + (b - a) * np.arange(n)[:, None] / n)
    return np.concatenate(pieces)


def shoelace(ring) -> tuple[float, float]:
    """Return (area, perimeter) of a closed ring of points."""
    x, y = np.asarray(ring, float).T
    area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
    return area, float(np.hypot(np.roll(x, -1) - x, np.roll(y, -1) - y).sum())


@pytest.fixture(scope="session")
def offset_by_grid():
    """Return a function: the outlines at distances outside (+) or inside (-) of a ring.

    Independent of any buffer: distances from grid points to dense points on the ring
    (k-d tree), and the level line of that field (marching squares).
    """
    measure = pytest.importorskip("skimage.measure")

    def offset(ring, *distances: float, grid: float = 1.5) -> list[np.ndarray]:
        ring = np.asarray(ring, float)
        reach = max(0, *distances) + 3 * grid
        low, high = ring.min(axis=0) - reach, ring.max(axis=0) + reach
        x, y = (np.arange(a, b + grid, grid) for a, b in zip(low, high, strict=True))
        nodes = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)
        field = cKDTree(dense(ring)).query(nodes)[0]
        field[shapely.contains_xy(shapely.Polygon(ring), *nodes.T)] *= -1
        field = field.reshape(len(x), len(y))
        lines = [max(measure.find_contours(field, d), key=len)[:-1] for d in distances]
        return [low + grid * line for line in lines]

    return offset


@pytest.fixture(scope="session")
def area_and_length():
    return shoelace


@pytest.fixture(scope="session")
def small_estimate():
    """A hand-sized patch with eight stitches."""
    import sheetkit

    return sheetkit.estimate(
        sheetkit.Job.from_data(
            {
                "format": "sheetkit-job/1",
                "title": "Small patch",
                "sheet": {"thickness": 0.9},
                "rust": [{"ring": [[0, 0], [50, 0], [50, 30], [0, 30]]}],
                "patch": {"margin": 20, "corner_radius": 20},
                "weld": {"stitch": 40, "interpass_limit": "60 degC"},
            }
        )
    )


@pytest.fixture(scope="session")
def small_plan(small_estimate):
    """The order planned for `small_estimate`."""
    import sheetkit

    return sheetkit.plan(small_estimate)
