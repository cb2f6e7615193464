"""Many visitors on one Voila server: each draws, each is judged, nobody meets another's drawing.

`SHEETKIT_VISITORS=10` lets ten come at once; what each costs in memory is printed.
"""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest
from pad_pages import PATIENCE_MS, PadPage, Server, serving, watched, write_notebook

from sheetkit import estimate, load

COUNT = int(os.environ.get("SHEETKIT_VISITORS", "3"))
DEMO = {
    "format": "sheetkit-job/1",
    "sheet": {"thickness": "1 mm"},
    "panel": {"outline": [[0, 0], [900, 0], [900, 700], [0, 700]]},
    "rust": [{"ring": [[700, 500], [760, 500], [760, 540], [700, 540]]}],
}
ICONS = "https://cdn.jsdelivr.net/npm/@fortawesome/"
"""Voila's own page asks there for icons; nothing of sheetkit's does."""


CULLING = ("--MappingKernelManager.cull_idle_timeout=60", "--MappingKernelManager.cull_interval=10")
"""As the README says, but sooner."""


@pytest.fixture(scope="module")
def folder(voila):
    lay_out(voila)
    return voila.folder


def lay_out(voila: Server) -> None:
    """Put the class's notebook and the job it starts from where a server finds them."""
    (voila.folder / "class.json").write_text(json.dumps(DEMO))
    write_notebook(
        voila.folder / "class.ipynb",
        "from sheetkit.widgets import Live, Visit\n"
        "visit = Visit('drawing.json', draw=True, like='class.json')\nvisit",
        "Live(visit.bench, lambda result: result.range('seam_length_mm'))",
    )


class Visitor:
    """One browser of its own, and where its drawing is kept."""

    def __init__(self, voila, browser, name: str):
        self.name, self.job = name, voila.folder / "visitors" / name / "drawing.json"
        # the kernels of many pages start together on one machine: it takes its time
        self.page, self.watch = watched(browser, allowed=ICONS)
        self.page.set_default_timeout(PATIENCE_MS * max(1, COUNT / 3))
        self.page.route(f"{ICONS}**", lambda route: route.fulfill(body=""))
        self.page.goto(f"{voila.url}/class.ipynb", wait_until="commit")

    @property
    def box(self):
        return self.page.locator(".skv")

    def asks_for_a_name(self) -> None:
        self.box.get_by_label("Your name").wait_for()

    def begin(self, name: str = "") -> None:
        self.box.get_by_label("Your name").fill(name or self.name)
        self.page.keyboard.press("Enter")

    def draws(self) -> PadPage:
        self.box.get_by_text(f"You draw as {self.name}").wait_for()
        pad = PadPage(self.page, self.job)
        pad.button("Draw new shapes").click()
        return pad

    @property
    def seam_mm(self) -> float:
        """What the page's live line says."""
        text = self.page.locator(".jp-OutputArea-output p").last.inner_text()
        return float(re.match(r"[0-9.]+", text).group())

    def close(self) -> None:
        # a page that is left asks Voila to end its kernel, which one that isn't logged in may not
        self.watch.errors[:] = [e for e in self.watch.errors if "/voila/api/shutdown/" not in e]
        self.watch.check()
        self.page.context.close()


def ring_of(number: int) -> list[tuple[int, int]]:
    """Return a ring unlike every other visitor's."""
    wide, high = 60 + 20 * number, 90 + 10 * (number % 4)
    return [(100, 100), (100 + wide, 100), (100 + wide, 100 + high), (100, 100 + high)]


def memory_of_kernels(folder: Path) -> list[tuple[float, float]]:
    """Return (resident, own share) of each kernel that serves this folder's class, MB."""
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            environment = (process / "environ").read_bytes()
            if b"SERVER_SOFTWARE=voila/" not in environment or os.readlink(process / "cwd") != str(
                folder
            ):
                continue
            text = (process / "smaps_rollup").read_text()
            sizes = [int(re.search(rf"^{key}:\s+(\d+)", text, re.M)[1]) for key in ("Rss", "Pss")]
            found.append((sizes[0] / 1000, sizes[1] / 1000))
        except OSError:
            continue
    return sorted(found)


def test_all_draw_at_once_and_nobody_meets_another_s_drawing(voila, browser, folder):
    visitors = [Visitor(voila, browser, f"pupil {n}") for n in range(COUNT)]
    for visitor in visitors:
        visitor.asks_for_a_name()
        body = visitor.page.locator("body").inner_text()
        assert not re.search(r"Shift|run the cell|Run All|import ", body)
    for visitor in visitors:
        visitor.begin()
    pads = [visitor.draws() for visitor in visitors]
    for visitor, pad in zip(visitors, pads, strict=True):
        demo_mm = visitor.seam_mm
        pad.draw_ring(ring_of(visitors.index(visitor)))
        pad.until(lambda visitor=visitor, demo_mm=demo_mm: visitor.seam_mm > demo_mm)
    for number, (visitor, pad) in enumerate(zip(visitors, pads, strict=True)):
        pad.until(lambda pad=pad: len(pad.rings()) == 2)
        drawn = pad.rings()[1]
        for (x, y), (want_x, want_y) in zip(drawn, ring_of(number), strict=True):
            assert abs(x - want_x) < 6 and abs(y - want_y) < 6, visitor.name
        seam = estimate(load(visitor.job)).values["seam_length_mm"]
        pad.until(lambda visitor=visitor, seam=seam: abs(visitor.seam_mm - seam) < 2)
    print(f"\n{COUNT} visitors at once; kernels, MB resident (own share):")
    for resident, share in memory_of_kernels(folder):
        print(f"  {resident:.0f} ({share:.0f})")
    assert json.loads((folder / "class.json").read_text()) == DEMO
    assert not (folder / "drawing.json").exists()
    for visitor in visitors:
        visitor.close()


def test_of_two_with_one_name_the_second_is_told_and_looks_on(voila, browser, folder):
    first, second = (Visitor(voila, browser, "Anna") for _ in range(2))
    first.asks_for_a_name()
    first.begin()
    pad = first.draws()
    pad.draw_ring(ring_of(1))
    pad.until(lambda: len(pad.rings()) == 2)
    second.asks_for_a_name()
    second.begin("anna")
    second.box.get_by_text("is drawing on another page now").wait_for()
    assert second.page.locator(".skp").count() == 0
    second.box.get_by_role("button", name="Look on").click()
    second.box.get_by_text("You look on at Anna").wait_for()
    pad.until(lambda: abs(second.seam_mm - first.seam_mm) < 1)
    pad.draw_ring([(300, 400), (380, 400), (380, 460), (300, 460)])
    pad.until(lambda: len(pad.rings()) == 3)
    second.box.get_by_role("button", name="Show the latest").click()
    seam = estimate(load(first.job)).values["seam_length_mm"]
    pad.until(lambda: abs(second.seam_mm - seam) < 2)
    second.box.get_by_role("button", name="Another name").click()
    second.name, second.job = "Anna 2", second.job.parents[1] / "Anna 2" / "drawing.json"
    second.begin()
    second.draws()
    second.close()

    # loaded again, the page goes on by itself where it was
    first.page.reload(wait_until="commit")
    again = first.draws()
    assert len(again.rings()) == 3
    again.root.locator(".skp-item").nth(2).wait_for()
    first.close()


@pytest.fixture
def frugal(surroundings, tmp_path):
    """A Voila of its own that ends the kernels nobody is connected to."""
    yield from serving((surroundings[0], tmp_path), *CULLING)


def test_a_page_loaded_again_gives_its_memory_back_and_goes_on(frugal, browser):
    lay_out(frugal)
    visitor = Visitor(frugal, browser, "Dora")
    visitor.asks_for_a_name()
    visitor.begin()
    visitor.draws()
    visitor.page.reload(wait_until="commit")
    pad = visitor.draws()
    assert len(memory_of_kernels(frugal.folder)) == 2
    pad.until(lambda: len(memory_of_kernels(frugal.folder)) == 1)
    pad.draw_ring(ring_of(0))
    pad.until(lambda: len(pad.rings()) == 2)
    visitor.close()
