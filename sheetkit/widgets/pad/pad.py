"""The drawing pad: draw the rust-out with mouse, pen, finger or keys, and keep it in a job file.

The page edits at once and tells Python; Python applies the same edit to its
own drawing, judges it, writes it to disk, and echoes all with a revision
number.  The echo is what counts.
"""

from __future__ import annotations

import base64
import os
import threading
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

import traitlets

from ...base.errors import Fault, SheetkitError, plain, unquoted
from ...job.job import Job
from ...sketch import photo as photos
from ...sketch import photo_scale, trace
from ...sketch.drawing import Drawing, History
from ...sketch.job_entries import to_plain
from ...sketch.shape_kinds import KINDS
from ...sketch.store import NEW_JOB, Fitted, NewerDrawing, Store, changed_data, fit
from ..bundle import bundle, styles
from . import looks, messages
from .in_order import InOrder
from .photo_under import PhotoUnder
from .still import png


class Pad(PhotoUnder):
    """A pad to draw a repair on, kept in a job file.

    Parameters
    ----------
    job : path, optional
        The job file: loaded if it is there, made once rust is drawn.
        Without it, the drawing lives only as long as the pad.
    units : {"mm", "in"}
        What lengths are shown and typed in.
    grid_mm : float
        Grid step, mm; points snap to it (Alt: not).
    photo : path, optional
        JPEG or PNG to lie under the drawing.
    overlays : list of {"kind", "rings" | "lines", "label"}
        Lines shown over the drawing, mm; kind is "cut_line",
        "patch_outline", "seam", "bend", "bend_zone" or "sheet".
    on_change : callable, optional
        Called with the `Drawing` after each change (see `on_change`).
    answer : callable, optional
        The same, before the change is written: its overlays are seen at once; it must be quick.
    new : mapping, optional
        The data of a job that isn't there yet; default a sheet of 1 mm.
    like : path, optional
        The job file whose drawing, photo and settings a job that isn't there
        yet starts from; nothing is written before the first change.

    Raises
    ------
    JobRefused
        The job file holds no valid job; it is left as it is.
    PhotoRefused
        The photo can't be used.
    """

    _esm = bundle("pad/pad.js", messages.TOLD)
    _css = f"{styles('pad/pad.css')}\n{looks.css()}"

    kinds: traitlets.List[dict] = traitlets.List().tag(sync=True)
    state = traitlets.Dict().tag(sync=True)
    overlays: traitlets.List[dict] = traitlets.List().tag(sync=True)
    units = traitlets.Enum(["mm", "in"], "mm").tag(sync=True)
    grid_mm = traitlets.Float(messages.FIRST_GRID_MM["mm"], min=0.1, max=1000.0).tag(sync=True)
    height_px = traitlets.Int(520, min=240, max=2000).tag(sync=True)
    look = traitlets.Dict().tag(sync=True)  # a shape to bring into the middle

    def __init__(
        self,
        job: str | os.PathLike | None = None,
        *,
        photo: str | os.PathLike | None = None,
        on_change: Callable[[Drawing], Any] | None = None,
        answer: Callable[[Drawing], Any] | None = None,
        new: Mapping | None = None,
        like: str | os.PathLike | None = None,
        **traits: Any,
    ):
        self._lock = threading.RLock()
        self._callbacks: list[Callable[[Drawing], Any]] = [on_change] if on_change else []
        self._answer = answer
        self._store = Store(job, new=new, like=like) if job is not None else None
        self._data = dict(new or NEW_JOB)
        self._history = History(self._store.load() if self._store else None)
        self._fitted = fit(self.drawing, self._store.data if self._store else self._data)
        self._order = InOrder()
        self._blocked = self._trouble = self._refused = ""
        self._starts = {}
        self._read_photos((self._store.like or self._store.path) if self._store else None)
        if photo is not None:
            self._photos[0] = photos.by_its_card(photos.open_photo(photo))
            if job is not None:
                photos.keep(self._photos[0], job)
        if traits.get("units") == "in":
            traits.setdefault("grid_mm", messages.FIRST_GRID_MM["in"])
        super().__init__(**traits)
        self.kinds = [asdict(kind) for kind in KINDS.values()]
        self._show_photo()
        self._follow_section(self.job, self.data)
        self._echo()
        self.on_msg(self._receive)

    @property
    def drawing(self) -> Drawing:
        """The drawing as it is now."""
        return self._history.present

    @property
    def data(self) -> dict:
        """The data of the job file without what is drawn."""
        return dict(self._store.data if self._store else self._data)

    @property
    def job(self) -> Job | None:
        """The job of all sound shapes; None while no rust is drawn or the job has faults."""
        return self._fitted.job

    @property
    def fitted(self) -> Fitted:
        """The job, and the reasons why some shapes are left out of it."""
        return self._fitted

    def on_change(self, callback: Callable[[Drawing], Any]) -> None:
        """Call `callback` with the drawing after each change; what it raises is shown on the pad."""
        self._callbacks.append(callback)

    def edit(self, **edit: Any) -> Drawing:
        """Do one edit (see `drawing.EDITS`), keep it and return the drawing.

        Raises EditRefused with the reason; NewerDrawing if the file was written elsewhere.
        """
        return self._edited(edit)

    def _edited(self, edit: Mapping) -> Drawing:
        with self._lock:
            if self._blocked:
                remedy = "load the newer drawing first"
                raise NewerDrawing(Fault("pad", "an edit", self._blocked, remedy))
            before, drawing = self._history.mark, self.drawing.edited(edit)
            self._history.record(drawing)
            self._changed(before)
        return self.drawing

    def undo(self) -> Drawing:
        """Undo the last change; return the drawing."""
        with self._lock:
            before = self._history.mark
            self._history.undo()
            self._changed(before)
        return self.drawing

    def redo(self) -> Drawing:
        """Do again what was undone; return the drawing."""
        with self._lock:
            before = self._history.mark
            self._history.redo()
            self._changed(before)
        return self.drawing

    def look_at(self, id_: str) -> None:
        """Choose a shape and bring it into the middle of the pad."""
        if id_ in self.drawing:
            self.look = {"n": self.look.get("n", 0) + 1, "id": id_}

    def change_job(self, **changes: Any) -> Job | None:
        """Change what isn't drawn, named as ``patch__margin=30``; None goes back to the default.

        Raises JobRefused with the faults; the job then stays as it was.
        """
        with self._lock:
            self._data = changed_data(self._fitted, self.data, changes)
            if self._store:
                self._store.data = self._data
            self._changed()
        return self.job

    def load_newer(self) -> Drawing:
        """Take the drawing on disk; `undo` brings back the one that was here."""
        with self._lock:
            if self._store:
                self._history.record(self._store.load())
                self._blocked = self._trouble = ""
                self._fitted = fit(self.drawing, self._store.data)
                self._read_photos(self._store.path)
                self._show_photo()
                self._give_answer()
                self._tell()
        return self.drawing

    def set_photo(self, photo: photo_scale.Photo | str | os.PathLike | bytes | None) -> None:
        """Lay a photo under the drawing, or take it away (None)."""
        with self._lock:
            if photo is not None and not isinstance(photo, photo_scale.Photo):
                photo = photos.by_its_card(photos.open_photo(photo))
            photo = self._laid(photo)
            if self._store:
                photos.keep(photo, self._store.path, self.photo_flat)
            self._take_photo(photo)
            if self._store and self._store.like:
                self._changed()

    def _changed(self, before: Any = None) -> None:
        """Keep the present drawing, echo it, and tell those who asked.

        What a full disk can't take stays on the pad, for the next edit to keep.
        After any other failure the history is `before` again: memory and disk agree.
        """
        self._trouble = ""
        self._fitted = fit(self.drawing, self.data)
        self._follow_section(self.job, self.data)
        self._give_answer()  # it is on its way while the disk is still at work
        if self._store:
            try:
                if self._store.like:
                    self._keep_photos(self._store.path)
                self._store.save(self.drawing, fitted=self._fitted)
            except NewerDrawing:
                self._block()
            except OSError as error:
                self._trouble = f"Not saved: {error.strerror or error}. Free the disk or folder."
            except Exception:
                if before is not None:
                    self._history.back_to(before)
                    self._fitted = fit(self.drawing, self.data)
                    self._give_answer()
                raise
        self._tell()

    def _block(self) -> None:
        self._blocked = (
            "Another tab or program wrote a newer drawing of this job. Nothing was overwritten. "
            "Load it to go on; Undo then brings yours back."
        )

    def _give_answer(self) -> None:
        if self._answer:
            self._call(self._answer)

    def _tell(self) -> None:
        """Echo the drawing, then call those who asked."""
        self._echo()
        for callback in list(self._callbacks):
            self._call(callback)

    def _call(self, callback: Callable[[Drawing], Any]) -> None:
        try:
            callback(self.drawing)
        except Exception as error:  # a callback must not take the pad down
            self._trouble = f"{type(error).__name__} in a result: {error}"
            self._echo()

    def _echo(self) -> None:
        self.state = {
            "revision": self.state.get("revision", 0) + 1,
            "acks": dict(self._order.acks),
            "shapes": [to_plain(shape) for shape in self.drawing.shapes],
            "faults": messages.told_faults(self._fitted),
            "can_undo": self._history.can_undo,
            "can_redo": self._history.can_redo,
            "word": self._trouble or messages.kept_word(self._store, self._fitted),
            "blocked": self._blocked,
            "refused": self._refused,
            "title": self._store.path.name if self._store else "",
        }

    def _receive(self, _widget: Any, content: Any, buffers: list) -> None:
        """Do what the page asks, in the order it asked."""
        if not isinstance(content, dict):
            return
        client = plain(str(content.get("client", ""))[:40])
        with self._lock:
            for message in self._order.taken(client, content.get("number", 0), (content, buffers)):
                self._do(*message)

    def _do(self, content: dict, buffers: list) -> None:
        """Do one thing the page asks; whatever is refused is echoed in words."""
        self._refused, revision = "", self.state["revision"]
        try:
            self._act(content, buffers)
        except SheetkitError as error:
            self._refused = str(error)
            self._echo()
        except Exception as error:  # the page waits for an answer to whatever it sent
            self._refused = f"Not done ({unquoted(f'{type(error).__name__}: {error}')})."
            self._echo()
        if self.state["revision"] == revision:
            self._echo()  # a page that hears nothing takes the pad for dead

    def _act(self, content: dict, buffers: list) -> None:
        kind = content.get("type")
        if self._blocked and kind not in ("ping", "load_newer"):
            return
        if kind == "ping":
            if self._store and not self._blocked and self._store.newer:
                self._block()
        elif kind == "load_newer":
            self.load_newer()
        elif kind in ("undo", "redo"):
            self.undo() if kind == "undo" else self.redo()
        elif kind == "edit" and isinstance(content.get("edit"), dict):
            self._edited(messages.typed(content["edit"], self.drawing, self.units))
        elif kind == "stroke":
            self._edited(trace.stroke(self.drawing, **messages.stroke(content)))
        elif kind == "grow":
            self._grow(content)
        elif kind == "cards":
            self._send_cards(content)
        elif kind == "photo":
            self.set_photo(self._searched(messages.sent_photo(content, buffers)))
        elif kind in ("calibrate", "rectify", "square") and self.photo:
            self.set_photo(messages.measured(content, self.photo, self.units))
        elif kind == "flat":
            self._choose_flat(content.get("n"))
        elif kind == "place" and self.photo:
            self.set_photo(self._placed(content, self.units))

    def __repr__(self) -> str:
        job = f'"{self._store.path.name}", ' if self._store else ""
        return f'Pad({job}units="{self.units}")'

    def _repr_mimebundle_(self, **kwargs: Any) -> tuple[dict, dict]:
        data, metadata = super()._repr_mimebundle_(**kwargs) or ({}, {})
        still = png(self.drawing, overlays=self.overlays, units=self.units)
        return data | {"image/png": base64.b64encode(still).decode()}, metadata
