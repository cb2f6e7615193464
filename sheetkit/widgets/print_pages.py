"""Buttons that write a job's pages and show what they look like."""

from __future__ import annotations

import base64
from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Protocol, runtime_checkable

import ipywidgets as ipw

from ..base.errors import Fault, JobRefused, SheetkitError
from ..repair.estimate import Estimate, estimate
from ..sequence.plan import SequencePlan
from . import cards
from .files import FileLinks
from .plans import Plans

FOLDER = "pages"
_PICTURE = "the first template page, the last page of the map and the first page of the quote"


@runtime_checkable
class OnBench(Protocol):
    """What a bench has for its pages."""

    result: Estimate | None
    plans: Plans


class Pages(ipw.VBox):
    """A folder, a paper size, and two buttons: show a preview, write the pages.

    The order is planned once for a job, in the background, with a bar and a
    button that stops it; as long as sheet, drawing and welds stay, it is kept.

    Parameters
    ----------
    result : Bench, Estimate, or a callable that gives one
        A bench's last result is printed, and both share their plans, so that both reckon
        the same hours.  A callable is asked at every press.
    order : SequencePlan, optional
        The order of this result; default one is planned.
    plans : Plans, optional
        Where plans are kept; default a bench's own, so that none is made twice.

    Attributes
    ----------
    job_path : the job's file, if there is one: photos beside it stand on the pages
    """

    def __init__(
        self,
        result: OnBench | Estimate | Callable[[], Estimate | None],
        order: SequencePlan | None = None,
        *,
        plans: Plans | None = None,
    ):
        self._source = result
        self._kept_in: Path | None = None
        self.job_path: Path | None = None
        own = result.plans if isinstance(result, OnBench) else Plans()
        self.plans = plans or own
        first = self.result
        if order and first:
            self.plans.keep(first.job, order)
        self.folder = ipw.Text(value=FOLDER, description="Folder")
        self.paper = ipw.Dropdown(options=[("A4", "a4"), ("Letter", "letter")], description="Paper")
        self.kind = ipw.Dropdown(
            options=["estimate", "fixed price"],
            value=first.job.shop.quote if first else "estimate",
            description="Quote",
        )
        self.overwrite = ipw.Checkbox(
            value=False,
            description="replace files of the same names",
            indent=False,
            layout=ipw.Layout(width="auto"),
        )
        self.show = ipw.Button(description="Show a preview", icon="eye")
        self.write = ipw.Button(description="Write the pages", icon="print", button_style="primary")
        self.progress = ipw.VBox()
        self.message = ipw.HTML(layout=ipw.Layout(min_height="28px"))
        self.picture, self.links = ipw.HTML(), FileLinks()
        self.show.on_click(lambda _: self._pressed(self._show))
        self.write.on_click(lambda _: self._pressed(self._write))
        row = {"flex_flow": "row wrap"}
        super().__init__(
            [
                ipw.HBox([self.folder, self.paper, self.kind], layout=row),
                ipw.HBox([self.show, self.write, self.overwrite], layout=row),
                self.progress,
                self.message,
                self.links,
                self.picture,
            ]
        )

    def __repr__(self) -> str:
        result = self.result
        return f"Pages({result.job.title!r})" if result else "Pages()"

    @property
    def result(self) -> Estimate | None:
        """The result that would be printed now; None while a bench has none."""
        if isinstance(self._source, OnBench):
            return self._source.result
        return self._source() if callable(self._source) else self._source

    def wait(self) -> None:
        """Return once the order is planned and what was pressed is done; tests need it."""
        self.plans.wait()

    def follow(self) -> None:
        """Offer the kind of quote that the job names now."""
        result = self.result
        if result is not None:
            self.kind.value = result.job.shop.quote

    def keep_in(self, folder: Path | None) -> None:
        """Write into this folder and nowhere else; None: only show previews."""
        if folder is not None:
            self.folder.value = str(folder)
        self.folder.layout.display = "none"
        for part in (self.write, self.overwrite):
            part.layout.display = "none" if folder is None else None
        self._kept_in = folder

    def _asked(self) -> Estimate:
        result = self.result
        if result is None:
            raise JobRefused(
                Fault("pages", "no result", "must have something to print", "draw the rust first")
            )
        if self.kind.value != result.job.shop.quote:
            result = estimate(result.job.changed(shop__quote=self.kind.value))
        return result

    def _pressed(self, action: Callable[[Estimate, SequencePlan], str]) -> None:
        """Do what a button says, after planning the order where there is none for this job."""
        self._busy(True)
        try:
            result = self._asked()
            if action == self._write:
                self._check_folder()
        except SheetkitError as error:
            self._busy(False, cards.faults(error))
            return
        self.plans.planned(
            result, self.progress, lambda plan: self._do(action, result, plan),
            lambda: self._busy(False),
        )  # fmt: skip

    def _do(
        self, action: Callable[[Estimate, SequencePlan], str], result: Estimate, order: SequencePlan
    ) -> None:
        said = ""
        try:
            said = action(result, order)
        except SheetkitError as error:
            said = cards.faults(error)
        except Exception as error:
            # it may run on a thread, which has nobody above it
            said = cards.unexpected(error)
        finally:
            self._busy(False, said)

    def _busy(self, busy: bool, said: str = "") -> None:
        self.message.value = "Working …" if busy else said
        self.show.disabled = self.write.disabled = busy

    def _show(self, result: Estimate, order: SequencePlan) -> str:
        from ..paper.write import preview

        data = base64.b64encode(preview(result, order, paper=self.paper.value)).decode()
        self.picture.value = (
            f'<img alt="{_PICTURE}" '
            f'style="max-width:100%;border:1px solid #999" src="data:image/png;base64,{data}">'
        )
        return f"Side by side: {_PICTURE}."

    def _check_folder(self) -> None:
        """Refuse before the planning what would be refused after it."""
        from ..paper.write import FILES, check_folder

        check_folder(self._folder(), FILES, overwrite=self.overwrite.value)

    def _folder(self) -> str:
        if self._kept_in is not None:
            return str(self._kept_in)
        return self.folder.value.strip() or FOLDER

    def _write(self, result: Estimate, order: SequencePlan) -> str:
        from ..paper.job_photos import JobPhotos, photos_beside
        from ..paper.write import write_sheets

        photos = JobPhotos() if self.job_path is None else photos_beside(self.job_path)
        files = write_sheets(
            result,
            order,
            self._folder(),
            paper=self.paper.value,
            photos=photos,
            overwrite=self.overwrite.value,
        )
        self._show(result, order)
        self.links.show(files)
        left_out = "".join(f"Without a photo: {escape(words)}<br>" for words in photos.refused)
        if self._kept_in is not None:
            return f"{left_out}Written; each opens from here:"
        return f"{left_out}Written into <b>{escape(str(files[0].parent.resolve()))}</b>:"
