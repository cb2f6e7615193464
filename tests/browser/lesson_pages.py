"""The lesson's boards in a page: stitches pressed where they lie."""

from __future__ import annotations

from playwright.sync_api import Locator

MIDDLE = """(line) => {
  const at = line.getPointAtLength(line.getTotalLength() / 2).matrixTransform(line.getScreenCTM());
  return [at.x, at.y];
}"""


def press(
    root: Locator, stitch: int, *, touch: bool = False, beside: tuple[float, float] = (0, 0)
) -> None:
    """Click or touch a stitch of a board or of the test, by its number from 1, some px beside it."""
    line = root.locator(f".sk-choose .sk-stitch[data-stitch='{stitch}'] .sk-hit")
    line.evaluate("line => line.scrollIntoView({block: 'center'})")
    x, y = line.evaluate(MIDDLE)
    hand = root.page.touchscreen.tap if touch else root.page.mouse.click
    hand(x + beside[0], y + beside[1])


def free(test: Locator) -> list[int]:
    """Return the places of the test that are left, by their numbers from 1."""
    found = test.locator(".sk-stitch[role=button]").evaluate_all(
        "all => all.map(n => n.dataset.stitch)"
    )
    return [int(one) for one in found]
