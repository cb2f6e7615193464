"""From a photo with a card to the seam's length of three rust-outs: actions counted, seconds printed."""

from __future__ import annotations

import shutil
import sys
import time
from pathlib import Path

import pytest
import shapely
from pad_pages import PadPage, write_notebook
from test_pad_trace import drag

sys.path.insert(0, str(Path(__file__).parents[1] / "sketch"))
from made_photo import Camera, Lying, Scene, Seen
from test_trace import hand, ragged

from sheetkit import Job, estimate
from sheetkit.sketch import photo as photos
from sheetkit.sketch.measuring_card import ALL

MOST_ACTIONS = 12
RUST = tuple(
    shapely.affinity.translate(ragged(across, up, seed), x, y)
    for seed, (across, up, x, y) in enumerate(
        ((34, 26, 330, 90), (42, 30, 480, 150), (30, 30, 390, 290))
    )
)
CELL = """\
from sheetkit.widgets import Bench
bench = Bench("seam.json", draw=True)
bench
"""


@pytest.fixture(scope="module")
def taken(tmp_path_factory) -> tuple[Path, Seen]:
    camera = Camera(
        size=(1600, 1200), look=(300, 190), away=760, tilt=20, side=-12, lens=(-0.05, 0)
    )
    path = tmp_path_factory.mktemp("photo") / "floor.jpg"
    path.write_bytes(Scene((Lying(ALL[0]),), RUST).photo(camera))
    return path, Seen(photos.open_photo(path).by_card(), camera)


@pytest.fixture
def bench(open_notebook, workspace):
    folder = workspace / "notebooks"
    write_notebook(folder / "seam.ipynb", CELL)
    page = open_notebook("notebooks/seam.ipynb")
    yield PadPage(page, folder / "seam.json")
    for left in folder.glob("seam*"):
        shutil.rmtree(left) if left.is_dir() else left.unlink()


def by_strokes(pad, seen: Seen) -> int:
    """Trace each rust-out with one shaky stroke; return how many actions it took."""
    pad.button("Draw once round the rust with pen, finger or mouse").click()
    for n, rust in enumerate(RUST):
        drag(pad, seen.shown(hand(rust, n, every=1.5)).tolist())
    return 1 + len(RUST)


def by_colour(pad, seen: Seen) -> int:
    """Take what is proposed at a click on each rust-out; return how many actions it took."""
    pad.button("By colour").click()
    for n, rust in enumerate(RUST):
        (at,) = seen.shown([rust.representative_point().coords[0]])
        pad.svg.scroll_into_view_if_needed()
        pad.click(*at)
        pad.button("Take it").click()
        pad.until(lambda n=n: len(pad.rings()) == n + 1)
    return 1 + 2 * len(RUST)


@pytest.mark.parametrize("way", [by_strokes, by_colour])
def test_three_rust_outs_take_few_actions_from_photo_to_seam(way, bench, taken):
    path, seen = taken
    pad, begun_s = bench, time.monotonic()
    pad.root.get_by_label("Photo file").set_input_files(path)
    actions = 1
    pad.until(lambda: "card 1" in pad.status)
    pad.settled()
    actions += way(pad, seen)
    pad.until(lambda: len(pad.rings()) == len(RUST))
    label = pad.root.locator(".skp-overlays text")
    true = [shapely.get_coordinates(rust)[:-1].tolist() for rust in RUST]
    job = Job.from_data(
        {
            "format": "sheetkit-job/1",
            "sheet": {"thickness": 1.0},
            "rust": [{"ring": ring} for ring in true],
        }
    )
    expected = estimate(job).values["seam_length_mm"]

    def told() -> float:
        words = label.first.text_content() if label.count() else ""
        return (
            float(words.split("seam ")[1].split(" mm")[0].replace(",", ""))
            if "seam" in words
            else 0
        )

    pad.until(lambda: told() == pytest.approx(expected, rel=0.03))
    print(
        f"\n{way.__name__}: {actions} actions, {time.monotonic() - begun_s:.1f} s from the photo to a seam of {told():.0f} mm (true {expected:.0f})"
    )
    assert actions < MOST_ACTIONS
    areas = sorted(shapely.Polygon(ring).area for ring in pad.rings())
    share = 0.02 if way is by_strokes else 0.05
    assert areas == pytest.approx(sorted(rust.area for rust in RUST), rel=share)
