"""The pad without a browser: what the page may ask, and what it is told."""

from __future__ import annotations

import base64
import io
import json
import subprocess
import sys

import pytest
from PIL import Image

from sheetkit.base import files
from sheetkit.base.errors import JobRefused
from sheetkit.job import file
from sheetkit.job.job import load
from sheetkit.sketch import photo as photos
from sheetkit.sketch.store import NewerDrawing
from sheetkit.widgets import EditRefused, Pad
from sheetkit.widgets.pad import photo_under
from sheetkit.widgets.pad.in_order import MOST_HELD

RING = {
    "op": "add",
    "id": "a",
    "kind": "rust_holed",
    "points": [[0, 0], [90, 0], [0, 90]],
    "done": True,
}


@pytest.fixture
def path(tmp_path):
    return tmp_path / "job.json"


def tell(pad, buffers=(), **content):
    number = pad.state["acks"].get("me", 0) + 1
    pad._receive(pad, {"client": "me", "number": number, **content}, list(buffers))
    assert pad.state["acks"]["me"] == number
    return pad.state


def test_an_edit_is_judged_kept_and_echoed(path):
    pad = Pad(path)
    state = tell(pad, type="edit", edit=RING)
    assert state["shapes"][0]["points"] == [[0, 0], [90, 0], [0, 90]]
    assert state["word"] == "Saved in job.json."
    assert pad.job.rust[0].ring.points == ((0, 0), (90, 0), (0, 90))
    assert state["can_undo"] and not state["can_redo"]
    revision = state["revision"]
    assert tell(pad, type="undo")["revision"] > revision
    assert pad.drawing.shapes == ()
    assert "draft" in pad.state["word"]
    assert tell(pad, type="redo")["word"] == "Saved in job.json."


def test_without_a_file_the_pad_still_works():
    pad = Pad()
    pad.edit(**RING)
    assert pad.job is not None
    assert pad.state["word"] == "Not kept in a file."
    assert repr(pad) == 'Pad(units="mm")'


@pytest.mark.parametrize(
    "content",
    [
        {"type": "edit", "edit": {"op": "delete", "id": "z"}},
        {"type": "edit", "edit": {"op": "melt"}},
        {"type": "edit", "edit": {"op": "add", "self": 1}},
        {"type": "edit", "edit": {"op": "describe", "id": "m", "value": "9 km"}},
        {"type": "edit", "edit": {"op": "describe", "id": "m", "value": "blue"}},
        {"type": "edit", "edit": {"op": "describe", "id": ["m"], "value": "3"}},
        {"type": "photo", "name": "x.jpg"},
        {"type": "calibrate", "points": [[0, 0], [1, 1]], "distance": "3"},
        {"type": "edit"},
        {"type": "edit", "edit": 3},
        {"type": "dance"},
        {},
    ],
)
def test_nonsense_changes_nothing(path, content):
    pad = Pad(path)
    pad.edit(**RING)
    pad.edit(op="add", id="m", kind="mounting", points=[[200, 0]])
    before, text = pad.drawing, path.read_bytes()
    buffers = [b"no photo"] if content.get("type") == "photo" else []
    pad._receive(pad, {"client": "me", "number": 1, **content}, buffers)
    pad._receive(pad, "words", [])
    assert pad.drawing == before
    assert path.read_bytes() == text
    assert pad.photo is None
    if content.get("type") == "edit" and isinstance(content.get("edit"), dict):
        assert pad.state["refused"]


def test_typed_values_carry_their_unit(path):
    pad = Pad(path, units="in")
    pad.edit(op="add", id="m", kind="mounting", points=[[200, 0]])
    tell(pad, type="edit", edit={"op": "describe", "id": "m", "value": "10"})
    assert pad.drawing["m"].value == 254.0
    tell(pad, type="edit", edit={"op": "describe", "id": "m", "value": "0.3 m"})
    assert pad.drawing["m"].value == 300.0
    pad.edit(op="add", id="p", kind="protect_point", points=[[200, 50]])
    tell(pad, type="edit", edit={"op": "describe", "id": "p", "value": "140 degF"})
    assert pad.drawing["p"].value == pytest.approx(60)


def test_callbacks_hear_each_change_and_their_faults_are_shown(path):
    heard = []
    pad = Pad(path, on_change=heard.append)
    pad.edit(**RING)
    assert heard == [pad.drawing]

    def broken(_drawing):
        raise ZeroDivisionError("no sheet")

    pad.on_change(broken)
    pad.undo()
    assert len(heard) == 2
    assert pad.state["word"] == "ZeroDivisionError in a result: no sheet"
    with pytest.raises(EditRefused):
        pad.edit(op="delete", id="z")
    assert len(heard) == 2


def test_second_writer_is_blocked_until_it_loads_and_undo_brings_its_own_back(path):
    one = Pad(path)
    one.edit(**RING)
    two = Pad(path)
    one.edit(op="move", id="a", by=[5, 0])
    mine = two.edit(op="delete", id="job-1")
    assert "Nothing was overwritten" in two.state["blocked"]
    assert file.read(path)["rust"][0]["ring"][0] == [5, 0]
    with pytest.raises(NewerDrawing):
        two.edit(**RING)
    assert tell(two, type="undo")["blocked"]
    state = tell(two, type="load_newer")
    assert not state["blocked"]
    assert two.drawing.shapes[0].points[0] == (5, 0)
    assert two.undo() == mine


def test_a_glance_is_enough_to_be_told(path):
    one, two = Pad(path), Pad(path)
    one.edit(**RING)
    assert tell(two, type="ping")["blocked"]
    assert not tell(one, type="ping")["blocked"]


def test_full_disk_is_told_and_the_next_edit_tries_again(path, monkeypatch):
    pad = Pad(path)

    def full(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files, "write_text_atomically", full)
    pad.edit(**RING)
    assert "Not saved: No space left on device" in pad.state["word"]
    assert pad.drawing.shapes
    monkeypatch.undo()
    pad.edit(op="move", id="a", by=[5, 0])
    assert pad.state["word"] == "Saved in job.json."


def test_rest_of_the_job_can_be_changed(path):
    pad = Pad(path)
    assert pad.change_job(patch__margin=28) is None, "nothing drawn yet, but kept"
    with pytest.raises(JobRefused, match="margin"):
        pad.change_job(patch__margin=-1)
    pad.edit(**RING)
    assert pad.job.patch.margin == 28
    assert pad.change_job(patch__margin=30).patch.margin == 30
    assert file.read(path)["patch"] == {"margin": 30}
    with pytest.raises(JobRefused):
        pad.change_job(patch__margin=-1)
    pad.edit(op="move", id="a", by=[5, 0])
    assert file.read(path)["patch"] == {"margin": 30}


def test_untrusted_notebooks_show_a_still_picture(path):
    pad = Pad(
        path, overlays=[{"kind": "cut_line", "rings": [[[0, 0], [9, 0], [0, 9]]], "label": "Cut"}]
    )
    pad.edit(**RING)
    data, _ = pad._repr_mimebundle_()
    assert data["text/plain"] == repr(pad) == 'Pad("job.json", units="mm")'
    still = Image.open(io.BytesIO(base64.b64decode(data["image/png"])))
    assert still.size == (600, 384)
    assert len(still.convert("RGB").getcolors(100_000)) > 20


def test_photo_is_kept_with_the_job(path, tmp_path):
    Image.new("RGB", (600, 400)).save(tmp_path / "sill.png")
    pad = Pad(path, photo=tmp_path / "sill.png")
    assert pad.photo_place["mm_per_px"] == 1.0
    tell(pad, type="calibrate", points=[[0, 0], [600, 0]], distance="12 in")
    assert Pad(path).photo_place["mm_per_px"] == pytest.approx(304.8 / 600)
    state = tell(pad, type="calibrate", points=[[0, 0], [1, 0]], distance="12 in")
    assert "8 px apart" in state["refused"]
    tell(pad, type="photo")
    assert pad.photo is None and pad.photo_bytes == b""


def test_a_photo_is_seen_before_it_is_searched_for_cards(path, monkeypatch):
    buffer, seen = io.BytesIO(), []
    Image.new("RGB", (600, 400)).save(buffer, "PNG")
    pad = Pad(path)

    def search(photo):
        seen.append((len(pad.photo_bytes) > 0, pad.photo_place["looking"], pad.photo_place["word"]))
        return photos.by_its_card(photo)

    monkeypatch.setattr(photo_under, "by_its_card", search)
    tell(pad, [buffer.getvalue()], type="photo", name="sill.png", **{"from": [4000, 3000]})
    assert seen == [(True, True, "Looking for a measuring card …")]
    assert not pad.photo_place["looking"]
    assert (
        "Shrunk from 4000 x 3000 to 600 x 400 px. No measuring card seen."
        in pad.photo_place["word"]
    )
    monkeypatch.setattr(photo_under, "by_its_card", lambda photo: 1 / 0)
    before = dict(pad.photo_place)
    state = tell(pad, [buffer.getvalue()], type="photo", name="other.png", **{"from": "no size"})
    assert "ZeroDivisionError" in state["refused"]
    assert pad.photo_place == before and pad.photo.name == "sill.png"


def test_state_is_plain_json(path):
    pad = Pad(path)
    pad.edit(**RING)
    json.dumps(pad.state)
    json.dumps(pad.kinds)


def test_importing_the_pad_loads_no_plotting():
    code = "import sys, sheetkit.widgets; print(*(name in sys.modules for name in ('matplotlib', 'PIL', 'scipy.optimize')))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.split() == ["False"] * 3


def test_the_page_hears_of_the_answer_and_the_edit_before_a_slow_callback(monkeypatch):
    sent = []
    pad = Pad(answer=lambda drawing: setattr(pad, "overlays", [{"kind": "seam", "lines": []}]))
    monkeypatch.setattr(
        Pad,
        "send_state",
        lambda self, key=None: sent.append({key} if isinstance(key, str) else set(key)),
    )
    seen_by_callback = []
    pad.on_change(lambda drawing: seen_by_callback.append(list(sent)))
    pad.edit(op="add", id="a", kind="rust_holed", points=[[0, 0]])
    assert seen_by_callback == [[{"overlays"}, {"state"}]]


HALF = "belt \ud83d"
HUGE = 10**400


@pytest.mark.parametrize(
    "edit",
    [
        {"op": "describe", "id": "m", "name": HALF},
        {"op": "describe", "id": "m", "value": HUGE},
        {"op": "describe", "id": "m", "value": -HUGE},
        {"op": "add", "id": HALF, "kind": "fold", "points": [[0, 0]]},
        {"op": "add", "id": "h", "kind": "fold", "points": [[HUGE, 0]]},
        {"op": "move", "id": "a", "by": [HUGE, 0]},
        {"op": "move_point", "id": "a", "index": 0, "to": [0, -HUGE]},
        {"op": HALF},
    ],
)
def test_what_no_file_can_hold_is_refused_and_the_next_edit_is_kept(path, edit):
    pad = Pad(path)
    pad.edit(**RING)
    pad.edit(op="add", id="m", kind="mounting", points=[[200, 0]])
    before, text = pad.drawing, path.read_bytes()
    state = tell(pad, type="edit", edit=edit)
    assert state["refused"] and state["refused"].isprintable()
    json.dumps(state, ensure_ascii=False).encode()
    assert pad.drawing == before and path.read_bytes() == text
    assert not tell(pad, type="edit", edit={"op": "move", "id": "a", "by": [5, 0]})["refused"]
    assert load(path).rust[0].ring.points[0] == (5, 0)


@pytest.mark.parametrize("client", [HALF, 7, None, "x" * 900])
def test_any_client_hears_an_answer(path, client):
    pad = Pad(path)
    revision = pad.state["revision"]
    pad._receive(pad, {"client": client, "number": HUGE, "type": "ping"}, [])
    assert pad.state["revision"] > revision
    json.dumps(pad.state, ensure_ascii=False).encode()


@pytest.mark.parametrize("buffer", [5, "photo", None, [1], 10**12])
def test_a_photo_that_is_no_bytes_is_refused(path, buffer):
    pad = Pad(path)
    state = tell(pad, [buffer], type="photo", name="x")
    assert pad.photo is None
    assert bool(state["refused"]) == (buffer is not None)


def test_a_save_that_fails_beyond_mending_takes_the_edit_back(path, monkeypatch):
    """Memory and disk agree again, what was undone can still be done again, and the page hears."""
    pad = Pad(path)
    pad.edit(**RING)
    pad.edit(op="move", id="a", by=[5, 0])
    pad.undo()
    before, state = pad.drawing, pad.state

    def broken(*_args, **_kwargs):
        raise RuntimeError("no sheet \ud83d")

    with monkeypatch.context() as patch:
        patch.setattr(files, "write_text_atomically", broken)
        told = tell(pad, type="edit", edit={"op": "move", "id": "a", "by": [9, 0]})
        assert "RuntimeError: no sheet" in told["refused"]
        assert told["shapes"] == state["shapes"] and pad.drawing == before
        with pytest.raises(RuntimeError):
            pad.edit(op="delete", id="a")
    assert tell(pad, type="redo")["shapes"][0]["points"][0] == [5, 0]
    assert load(path).rust[0].ring.points[0] == (5, 0)


def test_a_draft_with_a_number_beyond_all_is_refused_by_name(path):
    pad = Pad(path)
    pad.edit(op="add", id="m", kind="mounting", points=[[200, 0]])
    draft = path.parent / "job.sketch" / "draft.json"
    draft.write_text(draft.read_text().replace("200.0", "1" + "0" * 400))
    with pytest.raises(JobRefused, match=r"draft\.json of job\.json: got other contents"):
        Pad(path)


def test_edits_that_come_out_of_order_are_done_in_the_order_they_were_sent(path):
    """A kernel hands messages to more than one thread: on a busy machine they overtake."""
    pad, edits = Pad(path), [
        {"op": "add", "id": "a", "kind": "rust_holed", "points": [[0, 0]]},
        {"op": "insert", "id": "a", "index": 1, "at": [90, 0]},
        {"op": "insert", "id": "a", "index": 2, "at": [0, 90]},
        {"op": "finish", "id": "a"},
    ]  # fmt: skip
    for number in (1, 4, 3, 2):
        edit = edits[number - 1]
        pad._receive(pad, {"client": "me", "number": number, "type": "edit", "edit": edit}, [])
        expected = {1: 1, 4: 1, 3: 1, 2: 4}[number]
        assert pad.state["acks"]["me"] == expected, "what waits is not acknowledged"
        assert pad.state["refused"] == ""
    assert pad.drawing["a"].done and pad.drawing["a"].points == ((0, 0), (90, 0), (0, 90))


def test_one_page_does_not_wait_for_another(path):
    pad = Pad(path)
    pad._receive(pad, {"client": "one", "number": 2, "type": "ping"}, [])
    assert "one" not in pad.state["acks"]
    assert tell(pad, type="edit", edit=RING)["shapes"]
    pad._receive(pad, {"client": "one", "number": 1, "type": "ping"}, [])
    assert pad.state["acks"]["one"] == 2


def test_a_page_that_lost_count_is_heard_all_the_same(path):
    pad = Pad(path)
    for number in (3, 2, 3 + MOST_HELD):
        pad._receive(pad, {"client": "me", "number": number, "type": "ping"}, [])
    assert pad.state["acks"]["me"] == 3
    pad._receive(pad, {"client": "me", "number": 9 * MOST_HELD, "type": "ping"}, [])
    assert pad.state["acks"]["me"] == 9 * MOST_HELD
    pad._receive(pad, {"client": "me", "number": 5, "type": "edit", "edit": RING}, [])
    assert "a" in pad.drawing
