"""Drawing by mouse, keys and finger in JupyterLab; what is clicked is what is kept."""

from __future__ import annotations

import pytest
from pad_pages import cell_count

RING = [(100, 100), (250, 120), (240, 260), (120, 240)]
START = {
    "format": "sheetkit-job/1",
    "sheet": {"thickness": 0.9},
    "panel": {"outline": [[0, 0], [600, 0], [600, 400], [0, 400]]},
    "rust": [{"ring": [[100, 100], [200, 100], [200, 200], [100, 200]], "grade": "holed"}],
}
SQUARE = START["rust"][0]["ring"]


def close_to(ring, expected, tolerance=0.5):
    return len(ring) == len(expected) and all(
        abs(a - b) <= tolerance
        for p, q in zip(ring, expected, strict=True)
        for a, b in zip(p, q, strict=True)
    )


def test_ring_by_clicks_is_kept_to_half_a_millimetre(pad):
    pad.draw_ring(RING)
    pad.until(lambda: pad.rings())
    assert close_to(pad.rings()[0], RING)
    assert "closed with 4 points" in pad.status
    assert not pad.draft()


def test_points_off_the_grid_with_alt_held(pad):
    points = [(101.3, 97.6), (223.1, 99.2), (163.7, 211.9)]
    pad.page.keyboard.down("Alt")
    for point in points:
        pad.click(*point)
    pad.page.keyboard.up("Alt")
    pad.page.keyboard.press("Enter")
    pad.until(lambda: pad.rings())
    assert close_to(pad.rings()[0], points)


def test_double_click_closes(pad):
    for point in RING[:2]:
        pad.click(*point)
    pad.touch_twice(*RING[2])
    pad.until(lambda: pad.rings())
    assert close_to(pad.rings()[0], RING[:3])
    assert pad.status == "Touched twice: Rusted through closed with 3 points."


def test_length_and_angle_are_shown_while_drawing(pad):
    pad.click(100, 100)
    pad.page.mouse.move(*pad.px(200, 200))
    live = pad.root.locator(".skp-live")
    live.wait_for()
    assert live.text_content().split() == ["141.4", "mm", "45°"]
    pad.page.mouse.move(*pad.px(100, 50))
    pad.until(lambda: live.text_content().split() == ["50", "mm", "270°"])


@pytest.mark.job(start=START)
def test_drag_insert_delete_undo_redo(pad):
    pad.click(100, 150)
    pad.drag((200, 200), (230, 240))
    moved = [[100, 100], [200, 100], [230, 240], [100, 200]]
    pad.until(lambda: close_to(pad.rings()[0], moved))
    pad.click(150, 100)  # the edge's middle handle
    inserted = [[100, 100], [150, 100], [200, 100], [230, 240], [100, 200]]
    pad.until(lambda: close_to(pad.rings()[0], inserted))
    pad.drag((150, 100), (150, 60))
    inserted[1] = [150, 60]
    pad.until(lambda: close_to(pad.rings()[0], inserted))
    pad.button("Delete the chosen point or shape").click()
    pad.until(lambda: close_to(pad.rings()[0], moved))
    pad.drag((140, 150), (200, 190))
    shifted = [[x + 60, y + 40] for x, y in moved]
    pad.until(lambda: close_to(pad.rings()[0], shifted))
    for _ in range(5):
        pad.page.keyboard.press("Control+z")
    pad.until(lambda: pad.data() == START)
    for _ in range(5):
        pad.button("Do the undone change again").click()
    pad.until(lambda: close_to(pad.rings()[0], shifted))


@pytest.mark.job(start=START)
def test_crossing_ring_is_marked_and_kept_beside_the_job(pad):
    pad.click(100, 150)
    pad.drag((200, 200), (60, 130))
    why = pad.root.locator("text.skp-why").first
    why.wait_for()
    assert "crosses" in why.text_content()
    pad.until(lambda: close_to(pad.draft()[1]["points"], [*SQUARE[:2], [60, 130], SQUARE[3]]))
    assert pad.data() == START
    assert "draft" in pad.root.locator(".skp-saved").inner_text()
    pad.drag((60, 130), (200, 200))
    pad.until(lambda: not pad.draft())
    assert pad.data() == START


@pytest.mark.job(start=START)
def test_the_second_ring_of_a_kind_is_told_by_its_number(pad):
    pad.root.get_by_label("What to draw").select_option("rust_holed")
    pad.draw_ring([(300, 100), (400, 100), (400, 200)])
    pad.until(lambda: "closed" in pad.status)
    assert pad.status == "Rusted through 2 closed with 3 points."


def test_undo_and_redo_say_what_is_left(pad):
    page = pad.page
    pad.click(100, 100)
    pad.click(200, 100)
    pad.until(lambda: "Point 2" in pad.status)
    page.keyboard.press("Control+z")
    pad.until(lambda: pad.status == "Undone: 1 shape on the drawing.")
    page.keyboard.press("Control+z")
    pad.until(lambda: pad.status == "Undone: 0 shapes on the drawing.")
    page.keyboard.press("Control+z")
    assert pad.status == "Nothing to undo."
    page.keyboard.press("Control+y")
    pad.until(lambda: pad.status == "Done again: 1 shape on the drawing.")


@pytest.mark.job(start=START)
def test_half_a_letter_in_a_name_stops_nothing(pad):
    pad.root.get_by_label("What to draw").select_option("mounting")
    pad.click(500, 320)
    pad.root.get_by_label("Name").evaluate(
        """(box) => {
            box.value = "belt \\ud83d\\ud83d\\ude00";
            box.dispatchEvent(new Event("change"));
        }"""
    )
    pad.until(lambda: "mountings" in pad.data()["panel"])
    pad.until(lambda: pad.data()["panel"]["mountings"][0]["name"] == "belt \U0001f600")
    pad.until(lambda: "Saved" in pad.root.locator(".skp-saved").inner_text())


def test_everything_by_keyboard_alone(pad):
    page = pad.page
    pad.svg.focus()
    page.keyboard.press("d")
    for keys in (["ArrowLeft"], ["Shift+ArrowRight", "Shift+ArrowRight"], ["Shift+ArrowUp"] * 2):
        for key in keys:
            page.keyboard.press(key)
        page.keyboard.press("Space")
    assert "Point 3" in pad.status
    page.keyboard.press("Enter")
    pad.until(lambda: len(pad.rings()) == 1)
    (x, y), b, c = pad.rings()[0]
    assert close_to([b, c], [[x + 50, y], [x + 50, y + 50]], 1e-6)
    page.keyboard.press("]")
    page.keyboard.press(".")
    assert "point 1 of 3" in pad.status
    page.keyboard.press("ArrowDown")
    pad.until(lambda: pad.rings()[0][0] == [x, y - 5])
    page.keyboard.press("Alt+ArrowDown")
    pad.until(lambda: pad.rings()[0][0] == [x, y - 6])
    page.keyboard.press("i")
    pad.until(lambda: len(pad.rings()[0]) == 4)
    page.keyboard.press("Delete")
    pad.until(lambda: len(pad.rings()[0]) == 3)
    page.keyboard.press("Escape")
    page.keyboard.press("Shift+ArrowRight")
    pad.until(lambda: pad.rings()[0][0] == [x + 25, y - 6])
    outline = pad.svg.evaluate("(svg) => getComputedStyle(svg).outlineStyle")
    assert outline == "solid"
    page.keyboard.press("Delete")
    pad.until(lambda: pad.draft() == [])
    page.keyboard.press("Control+z")
    pad.until(lambda: pad.rings() and pad.rings()[0][0] == [x + 25, y - 6])


@pytest.mark.job(start=START)
def test_no_key_reaches_the_notebook(pad):
    pad.click(100, 150)
    for control in (
        "svg.skp-canvas",
        ".skp-tools button:enabled",
        ".skp-list button",
        "summary",
        "select",
    ):
        for key in ("a", "b", "x", "m", "y", "d", "d", "Shift+m", "Escape", "Shift+Enter"):
            pad.root.locator(control).first.focus()
            pad.page.keyboard.press(key)
    pad.settled()
    assert cell_count(pad.page) == 1
    assert pad.root.count() == 1


@pytest.mark.job(start=START)
def test_every_kind_is_drawn_named_and_kept(pad):
    kind = pad.root.get_by_label("What to draw")
    kind.select_option("mounting")
    pad.click(500, 320)
    name = pad.root.get_by_label("Name")
    name.fill("belt")
    name.press("Enter")
    pad.until(lambda: pad.data()["panel"].get("mountings", [{}])[0].get("name") == "belt")
    radius = pad.root.get_by_label("Ring radius")
    radius.fill("4 in")
    radius.press("Enter")
    pad.until(lambda: pad.data()["panel"]["mountings"][0].get("ring") == "101.6 mm")
    radius.fill("9 km")
    radius.press("Enter")
    pad.until(lambda: "must be 1 to 2000 mm" in pad.status)
    for name, points in (
        ("protect_point", [(300, 350)]),
        ("protect_line", [(20, 300), (80, 330)]),
        ("fold", [(20, 50), (580, 50)]),
        ("rust_pitted", [(400, 100), (450, 100), (450, 150)]),
        ("panel_hole", [(400, 300), (430, 300), (430, 330)]),
    ):
        kind.select_option(name)
        for point in points:
            pad.click(*point)
        pad.svg.press("Enter")
    pad.until(lambda: len(pad.data()["rust"]) == 2 and "holes" in pad.data()["panel"])
    data = pad.data()
    assert data["panel"]["mountings"] == [
        {"name": "belt", "at": [500.0, 320.0], "ring": "101.6 mm"}
    ]
    assert data["panel"]["protect"] == [
        {"name": "", "at": [300.0, 350.0]},
        {"name": "", "line": [[20.0, 300.0], [80.0, 330.0]]},
    ]
    assert data["patch"]["folds"] == [{"line": [[20.0, 50.0], [580.0, 50.0]], "angle": 90.0}]
    assert data["rust"][1]["grade"] == "pitted"


@pytest.mark.job(start=START, units="in")
def test_inch_grid_and_units(pad):
    pad.root.get_by_label("What to draw").select_option("rust_holed")
    for x, y in ((10, 10), (11.1, 10.05), (10.9, 11.3)):
        pad.click(x * 25.4, y * 25.4)
    pad.page.keyboard.press("Enter")
    pad.until(lambda: len(pad.rings()) == 2)
    snapped = [[254.0, 254.0], [279.4, 254.0], [279.4, 285.75]]
    assert close_to(pad.rings()[1], snapped, 1e-3)
    assert "in²" in pad.root.locator(".skp-list").inner_text()
    pad.root.get_by_label("Units").select_option("mm")
    pad.until(lambda: "cm²" in pad.root.locator(".skp-list").inner_text())


@pytest.mark.job(start=START)
def test_zoom_keeps_the_point_under_the_pointer(pad):
    pad.svg.focus()
    before = pad.px(200, 200)
    pad.page.mouse.move(*before)
    for _ in range(4):
        pad.page.mouse.wheel(0, -100)
    pad.until(lambda: abs(pad.px(100, 100)[0] - before[0]) > 130)
    after = pad.px(200, 200)
    assert abs(after[0] - before[0]) < 1 and abs(after[1] - before[1]) < 1
    pad.page.keyboard.press("0")
    pad.until(lambda: abs(pad.px(100, 100)[0] - before[0]) < 130)


def test_controls_are_large_enough_for_a_finger_and_named(pad):
    controls = pad.root.locator("button, select, summary, .skp-check, .skp-button")
    for index in range(controls.count()):
        control = controls.nth(index)
        if control.is_visible():
            box = control.bounding_box()
            assert box["width"] >= 44 and box["height"] >= 44, control.inner_text()
    assert pad.svg.get_attribute("aria-label")
    assert pad.root.locator(".skp-status").get_attribute("aria-live") == "polite"
