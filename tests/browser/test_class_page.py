"""A class at once on one Voila server: every pupil judged, each in a file of their own, the teacher looking on.

`SHEETKIT_VISITORS=10` lets ten come at once; how long each waited is printed, with the machine's load.
"""

from __future__ import annotations

import json
import os
import shutil
import statistics
import time

from pad_pages import PATIENCE_MS, voila_page, watched
from test_visitors import ICONS, memory_of_kernels

COUNT = int(os.environ.get("SHEETKIT_VISITORS", "3"))
LESSON = "notebooks/heat_spread_lesson.ipynb"
JUDGE = """([at]) => {
  const board = document.querySelectorAll('.sk-lesson')[1];
  window.judged = null;
  setTimeout(() => {
    const began = performance.now();
    const seen = new MutationObserver(() => {
      if (!board.querySelector('.sk-verdict tbody tr')) return;
      seen.disconnect();
      window.judged = performance.now() - began;
    });
    seen.observe(board, { childList: true, subtree: true });
    board.querySelector('.sk-judge').click();
  }, at - Date.now());
}"""


def orders(number: int) -> list[int]:
    """Return an order of eight unlike every other pupil's."""
    first = [(number + n) % 8 for n in range(8)]
    return first if number < 8 else first[::-1]


def test_a_class_at_once(voila, workspace, browser):
    shutil.rmtree(workspace / "notebooks" / "my_class", ignore_errors=True)  # of other tests
    pages = []
    began = time.time()
    for number in range(COUNT):
        page, watch = watched(browser, allowed=ICONS)
        page.set_default_timeout(PATIENCE_MS * max(1, COUNT / 3))
        page.route(f"{ICONS}**", lambda route: route.fulfill(body=""))
        page.goto(f"{voila.url}/{LESSON}", wait_until="commit")
        pages.append((page, watch, f"class {number}"))
    for page, _, name in pages:
        page.locator(".skv").get_by_label("Your name").fill(name)
        page.keyboard.press("Enter")
        page.get_by_text(f"You learn as {name}").wait_for()
        page.locator(".sk-lesson").nth(1).locator(".sk-judge").wait_for()
    ready_s = time.time() - began
    for number, (page, _, _) in enumerate(pages):
        board = page.locator(".sk-lesson").nth(1)
        for n in orders(number):
            board.locator(f".sk-choose .sk-stitch[data-stitch='{n + 1}']").evaluate(
                "one => one.dispatchEvent(new MouseEvent('click', { bubbles: true }))"
            )
        board.get_by_text("All chosen").wait_for()
    at = 1000 * (time.time() + 3)
    for page, _, _ in pages:
        page.evaluate(JUDGE, [at])
    waits = []
    for page, _, _ in pages:
        page.wait_for_function("() => window.judged !== null")
        waits.append(page.evaluate("() => window.judged"))
    load = os.getloadavg()[0]
    print(f"\n{COUNT} pupils at once, load {load:.1f}: pages ready after {ready_s:.0f} s; judged within "
          f"{max(waits) / 1000:.2f} s (median {statistics.median(waits) / 1000:.2f} s); kernels, MB resident (own):")  # fmt: skip
    for resident, share in memory_of_kernels(workspace / "notebooks"):
        print(f"  {resident:.0f} ({share:.0f})")
    for number, (_, _, name) in enumerate(pages):
        kept = json.loads((workspace / "notebooks" / "my_class" / name / "lesson.json").read_text())
        assert [one["order"] for part in kept["tries"].values() for one in part] == [orders(number)]

    # the teacher sees them all, and what comes later without loading the page again
    teacher, seen = voila_page(voila, browser, "notebooks/heat_spread_class.ipynb")
    for _, _, name in pages:
        teacher.get_by_role("cell", name=name, exact=True).wait_for()
    teacher.get_by_text("goes on beside the stitch just made").first.wait_for()
    page, _, name = pages[-1]
    board = page.locator(".sk-lesson").nth(1)
    board.locator(".sk-clear").click()
    for n in (1, 5, 3, 7, 2, 6, 4, 8):
        board.locator(f".sk-choose .sk-stitch[data-stitch='{n}']").evaluate(
            "one => one.dispatchEvent(new MouseEvent('click', { bubbles: true }))"
        )
    board.locator(".sk-judge").click()
    teacher.get_by_text("Stitches in turn: 1, 5, 3, 7, 2, 6, 4, 8").wait_for()
    assert teacher.get_by_text(f"{name}:").count() >= 1
    assert teacher.locator("img[alt*='best order']").count() == 1
    seen.check()
    teacher.context.close()
    for page, watch, _ in pages:
        watch.errors[:] = [error for error in watch.errors if "/voila/api/shutdown/" not in error]
        watch.check()
        page.context.close()
