"""A class without a browser: names, what is kept under them, the teacher's page, the coupon form."""

import pytest

import sheetkit as sk
from sheetkit.base.errors import SheetkitError
from sheetkit.lesson.records import FILE, Keeper, Mark, Try, read
from sheetkit.sequence.orders import loop_order
from sheetkit.widgets import ClassPage, CouponLog, Lesson, Pupil, Reveal
from sheetkit.workshop.heat_log import read_heat_log


@pytest.fixture
def served(tmp_path, monkeypatch):
    """A page without code, in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SERVER_SOFTWARE", "voila/0.5")
    return tmp_path


def test_each_pupil_has_a_record_of_their_own(served, small_plan):
    pupil = Pupil()
    lesson = Lesson(small_plan, pupil=pupil)
    lesson.judge(loop_order(8))
    assert not (served / "my_class").exists(), "without a name nothing is kept"
    pupil.enter("Anna", "tab 1")
    assert pupil.name == "Anna" and pupil.box.phase == "in"
    assert read(served / "my_class" / "Anna" / FILE).best("board").order == tuple(loop_order(8))
    assert len(lesson.tries) == 1
    pupil.leave()
    assert lesson.tries == [] and pupil.name == ""
    pupil.enter("Ben", "tab 1")
    assert lesson.tries == []
    lesson.judge(list(small_plan.order))
    pupil.enter("anna", "tab 1")
    assert pupil.name == "Anna" and [row["order"] for row in lesson.tries] == [loop_order(8)]
    assert read(served / "my_class" / "Ben" / FILE).best("board").order == tuple(small_plan.order)


def test_of_two_with_one_name_the_second_is_told(served):
    first, second = Pupil(), Pupil()
    first.enter("Anna", "tab 1")
    with pytest.raises(SheetkitError, match="another page"):
        second.enter("Anna", "tab 2")
    assert second.name == "" and second.beside("heat.csv") is None
    second.box._receive(None, {"do": "enter", "name": "anna", "tab": "tab 2"}, [])
    assert second.box.taken and "look on" not in second.box.told["text"]
    for odd in ("", "..", "a/b", "x" * 200, ".orders"):
        with pytest.raises(SheetkitError):
            second.enter(odd, "tab 2")
    first.leave()
    second.enter("Anna", "tab 2")
    assert second.beside("heat.csv") == served.joinpath("my_class/Anna/heat.csv").relative_to(
        served
    )


def test_where_the_page_has_cells_nothing_is_asked(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SERVER_SOFTWARE", raising=False)
    monkeypatch.delenv("VOILA_BASE_URL", raising=False)
    pupil = Pupil()
    assert pupil.box is None and pupil.folder is None and pupil.beside("a").name == "a"
    assert list(tmp_path.iterdir()) == []


def put(folder, name, tries=(), marks=()):
    (folder / name).mkdir(parents=True)
    keeper = Keeper(folder / name / FILE)
    for board, one in tries:
        keeper.tried(board, one)
    for mark in marks:
        keeper.marked(mark)


def test_the_teachers_page_follows_the_folder(tmp_path, data_folder):
    strip = sk.estimate(sk.load(data_folder / "practice" / "strip.json"))
    page = ClassPage(tmp_path, [strip])
    assert "Nobody" in page.value
    beside = "goes on beside the stitch just made"
    put(tmp_path, "Anna <b>", [("Practice strip", Try(tuple(loop_order(10)), 600.0, beside))])
    quick = (0, 5, 2, 7, 4, 9, 1, 6, 3, 8)
    put(tmp_path, "Ben <i>", [("Practice strip", Try(quick, 330.0, beside)), ("Odd & end", Try((0, 1), 50.0))],
        [Mark(3, 6, 15), Mark(4, 12, 15, ("forgets the heat that is on its way",))])  # fmt: skip
    page.renew()
    shown = page.value
    assert "<i>" not in shown and "Ben &lt;i&gt;: <b>" in shown
    assert "2 pupils" in shown and "<b>Anna" not in shown and "Anna &lt;b&gt;" in shown
    assert f"Most often: <b>{beside}</b>" in shown
    assert "12 of 15" in shown and "5 min 30 s" in shown and "Odd &amp; end" in shown
    assert "Stitches in turn: 1, 6, 3, 8, 5, 10, 2, 7, 4, 9" in shown
    assert shown.count("<img") == 1, "a picture where the job is known"
    page.renew()
    assert page.value is shown or page.value == shown
    page.close()


def test_a_page_looks_again_by_itself(tmp_path, monkeypatch):
    monkeypatch.setattr("sheetkit.widgets.classroom.class_page.EVERY_S", 0.02)
    page = ClassPage(tmp_path)
    put(tmp_path, "Cleo", [("a", Try((0, 1), 50.0))])
    for _ in range(6000):
        if "Cleo" in page.value:
            break
        page._ended.wait(0.02)
    assert "Cleo" in page.value
    page.close()


def test_what_is_asked_for_is_shown_and_a_fault_is_told():
    shown = Reveal("Show", lambda: sk.views.lessons.one_tack(350, 0.9))
    assert shown.shown.value == ""
    shown.show()
    shown.wait()
    assert "15 mm away" in shown.shown.value
    broken = Reveal("Show", lambda: sk.views.lessons.one_tack(350, -1))
    broken.show()
    broken.wait()
    assert "thickness" in broken.shown.value and not broken.button.disabled


def test_the_coupon_form(served, small_estimate):
    pupil = Pupil()
    form = CouponLog(small_estimate, pupil=pupil)
    form.work()
    assert "Bead" in form.message.value and "Arc" in form.message.value and form.coupon is None
    for name, text in {
        "bead_mm": "100",
        "arc_s": "15",
        "air_c": "x",
        "after_1_min": "95,5",
    }.items():
        form.fields[name].value = text
    form.work()
    assert "must be a number" in form.message.value
    form.fields["air_c"].value = "20"
    form.work()
    assert form.message.value == "" and "<img" in form.shown.value and not form.keep_button.disabled
    form.keep()
    assert "Give your name" in form.message.value
    pupil.enter("Anna", "tab")
    form.keep()
    assert len(read_heat_log(served / "my_class" / "Anna" / "heat.csv").entries) == 1
    form.fields["bead_mm"].value = "5000"
    form.work()
    assert "bead_mm" in form.message.value and form.keep_button.disabled
