"""A kernel at work on a drawing and a log that another one works on too, until it is killed.

Run as a program, it prints one line of JSON before and after whatever it does:
what is in the pipe when it is killed stays there.  Each edit of the drawing makes a
drawing that there never was before, so that every save is a step from one to the next.
"""

import hashlib
import json
import os
import random
import sys
from pathlib import Path

from sheetkit.base import lock
from sheetkit.base.errors import SheetkitError
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.shape_kinds import KINDS
from sheetkit.widgets import Pad
from sheetkit.workshop import log

MOST_SHAPES = 12
RUST = [[0, 0], [90, 0], [90, 60], [0, 60]]


def mark(drawing: Drawing) -> str:
    """Return what a drawing says, short; a value left out is its kind's usual one."""
    shapes = sorted(
        (s.kind, s.points, s.done, s.name, KINDS[s.kind].default if s.value is None else s.value)
        for s in drawing.shapes
    )
    text = json.dumps(json.loads(json.dumps(shapes), parse_int=float))  # 300 is 300.0
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def tell(**what) -> None:
    """Write a line in one piece: it is told whole or not at all."""
    os.write(1, (json.dumps(what) + "\n").encode())


class Kernel:
    """One kernel: its pad, and what it does next."""

    def __init__(self, folder: Path, name: str):
        self.folder, self.name = folder, name
        self.rng = random.Random(name)
        self.pad = Pad(folder / "job.json")
        self.sent = self.made = 0
        self.newest = ""
        """The shape changed last since the drawing was loaded: the newest there is."""
        tell(did="opened", state=mark(self.pad.drawing))

    def page(self, **content) -> dict:
        """Have the page send something; return what it is told."""
        self.sent += 1
        self.pad._receive(self.pad, {"client": "page", "number": self.sent, **content}, [])
        return self.pad.state

    def spot(self) -> list[float]:
        return [round(self.rng.uniform(-5000, 5000), 4) for _ in range(2)]

    def next_edit(self) -> tuple[str, dict]:
        """Return a shape and an edit of it whose outcome there never was."""
        shapes, choice = self.pad.drawing.shapes, self.rng.random()
        rust = [s.id for s in shapes if s.kind == "rust_holed"]
        others = [s for s in shapes if s.id not in (self.newest, *rust[:1])]
        if len(shapes) > MOST_SHAPES and self.newest and others:
            gone = self.rng.choice(others).id
            return self.newest, {"op": "delete", "id": gone}
        if shapes and choice < 0.4:
            moved = self.rng.choice(shapes)
            by = [there - here for there, here in zip(self.spot(), moved.points[0], strict=True)]
            return moved.id, {"op": "move", "id": moved.id, "by": by}
        self.made += 1
        new = {"op": "add", "id": f"{self.name}-{self.made}"}
        if not rust or choice < 0.55:
            x, y = self.spot()
            ring = [[x + a, y + b] for a, b in RUST]
            return new["id"], {**new, "kind": "rust_holed", "points": ring, "done": True}
        if choice < 0.7:  # not fit for the job yet: it waits in the draft
            return new["id"], {**new, "kind": "panel_hole", "points": [self.spot()]}
        return new["id"], {**new, "kind": "mounting", "points": [self.spot()]}

    def draw(self) -> None:
        """Do one edit; when another kernel was quicker, load its drawing."""
        shape, edit = self.next_edit()
        before, after = mark(self.pad.drawing), self.pad.drawing.edited(edit)
        step = {"before": before, "after": mark(after)}
        tell(did="draws", **step)
        told = self.page(type="edit", edit=edit)
        if told["blocked"]:
            kept = mark(self.pad.drawing) == step["after"]
            tell(did="refused", **step, words=told["blocked"], kept=kept)
            self.page(type="load_newer")
            self.newest = ""
            tell(did="opened", state=mark(self.pad.drawing))
            return
        saved = told["word"].startswith(("Saved in job.json.", "Kept as a draft;"))
        words = f"{told['word']} {told['refused']}".strip()
        tell(did="saved" if saved and not told["refused"] else "trouble", **step, words=words)
        self.newest = shape

    def write_down(self) -> None:
        """Add one entry to the log."""
        self.made += 1
        note = f'row {self.made}, "as told"' + "\nsecond line" * (self.made % 3 == 0)
        entry = log.Entry(
            "job.json", f"2024-05-{self.made % 28 + 1:02}",
            {"welding_h": round(self.rng.uniform(0.01, 100), 9)}, note, f"{self.name}-{self.made}",
        )  # fmt: skip
        row = [entry.entry, entry.date, entry.measured["welding_h"], note]
        tell(did="logs", row=row)
        try:
            log.add(self.folder / "log.csv", entry)
        except SheetkitError as error:
            tell(did="not logged", row=row, words=str(error))
        else:
            tell(did="logged", row=row)

    def work(self) -> None:
        """Draw and write, until killed."""
        while True:
            self.draw() if self.rng.random() < 0.6 else self.write_down()


if __name__ == "__main__":
    lock.WAIT_S = 600.0  # on a slow disk the other one takes its time
    Kernel(Path(sys.argv[1]), sys.argv[2]).work()
