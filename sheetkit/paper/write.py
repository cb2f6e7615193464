"""The front door to paper: one call writes every page of a job into one folder.

File names are fixed: nothing a user typed becomes part of a path.
"""

from __future__ import annotations

import io
import os
from pathlib import Path
from typing import TypedDict, Unpack

from PIL import Image

from ..base.errors import Fault, SheetkitError, shown
from ..base.folder import check_folder, unwritable, write_into
from ..base.paper_sizes import PAPERS
from ..repair.estimate import Estimate
from ..repair.plan import with_plan
from ..sequence.plan import SequencePlan
from . import cutting_files, html, spreadsheet
from .card_page import cards_pdf
from .flow import flowed
from .job_photos import JobPhotos
from .order_pages import order_file, tacks_file
from .page import pdf, png
from .phone_page import phone_page
from .quote import NO_PHOTOS, day_of, quote, terms_table
from .reckoning import reckoned_table, reckoning
from .stitch_map import map_pages
from .template import SIDES, Printing, template_pages
from .work_sheet import settings_table, shopping_table, worksheet

WORK, QUOTE, RECKONING = "Work sheet", "Estimate", "Shop's copy"
FILES: tuple[str, ...] = (
    "template.pdf",
    "template_mirrored.pdf",
    cutting_files.NOTES,
    "worksheet.pdf",
    "worksheet.html",
    "phone.html",
    "quote.pdf",
    "quote.html",
    "quote_reckoning.pdf",
    "quote_reckoning.html",
    "tables.xlsx",
    "settings.csv",
    "order.csv",
    "tacks.csv",
    "shopping.csv",
    "quote.csv",
    "terms.csv",
    "measuring_cards.pdf",
)
"""What is always there; besides, a DXF and an SVG of each part to cut (see `cutting_files`)."""


class Options(TypedDict, total=False):
    """How the pages are written; what each means stands at `write_sheets`."""

    paper: str
    display: str | None
    front: str | None
    photos: JobPhotos
    grid: bool


def rendered(
    result: Estimate,
    plan: SequencePlan,
    *,
    paper: str = "a4",
    display: str | None = None,
    front: str | None = None,
    photos: JobPhotos = NO_PHOTOS,
    grid: bool = False,
) -> dict[str, bytes]:
    """Return every file's bytes by its name (see `write_sheets`)."""
    faults = []
    if paper not in PAPERS:
        faults.append(
            Fault("paper", shown(paper), "must be a4 or letter", "choose the printer's paper")
        )
    if front is not None and front not in SIDES:
        faults.append(
            Fault("front", shown(front), f"must be one of {', '.join(SIDES)}", "or leave it out")
        )
    if faults:
        raise SheetkitError(faults)
    # the plan's own moves and waits: quote and work sheet reckon the same hours
    result = with_plan(result, plan)
    display = display or result.job.drawn_in
    title = result.job.title or "Untitled job"
    kind = "Fixed price" if result.job.shop.quote == "fixed price" else QUOTE
    work = list(
        worksheet(result, plan, paper=paper, display=display, front=front, photo=photos.under)
    )
    offer = list(quote(result, display=display, photos=photos))
    listed = [
        settings_table(result, display),
        order_file(result, plan, display),
        tacks_file(result, plan),
        shopping_table(result, display),
        reckoned_table(result),
        terms_table(result, display),
    ]
    files = {}
    for name, mirrored in (("template.pdf", False), ("template_mirrored.pdf", True)):
        how = Printing(paper, display, mirrored, front, day_of(result.job), grid)
        files[name] = pdf(template_pages(result, how), title)
    files |= cutting_files.cutting_files(result, display=display)
    documents = (
        ("worksheet", work, WORK),
        ("quote", offer, kind),
        ("quote_reckoning", list(reckoning(result)), RECKONING),
    )
    for name, body, head in documents:
        files[f"{name}.html"] = html.html(body, title=title, kind=head).encode()
        files[f"{name}.pdf"] = pdf(flowed(body, paper=paper, title=title, kind=head), title)
    page = phone_page(result, plan, display=display, front=front)
    files["phone.html"] = page.encode()
    files["tables.xlsx"] = spreadsheet.xlsx(listed, paper=paper)
    for table in listed:
        files[f"{table.name}.csv"] = spreadsheet.csv_text(table).encode()
    files["measuring_cards.pdf"] = cards_pdf(paper)
    return files


def write_sheets(
    result: Estimate,
    plan: SequencePlan,
    folder: str | os.PathLike,
    *,
    overwrite: bool = False,
    **how: Unpack[Options],
) -> list[Path]:
    """Write templates, cutting files, work sheet, quote, tables and cards; return the files.

    Parameters
    ----------
    folder : path
        Made if it isn't there.
    paper : {"a4", "letter"}
    display : {"mm", "in"}, optional
        Units of the words; default those of the drawing.
    front : {"left", "right", "top", "bottom"}, optional
        Where the vehicle's front lies in the drawing; without it there are boxes to tick.
    photos : JobPhotos, optional
        See `job_photos.photos_beside`: on the quote, and faintly under the maps.
    grid : bool
        The drawing's coordinates every 50 mm (2 in) on the patterns.
    overwrite : bool
        Replace files of the same names; without it any one of them is refused.

    Raises
    ------
    SheetkitError
        A file is there already, or the folder can't be written; a full disk leaves no part.
    """
    check_folder(folder, FILES, overwrite=overwrite)
    try:
        files = rendered(result, plan, **how)
    except OSError as error:  # a spreadsheet's parts go through files of their own
        raise unwritable(os.fspath(folder), error.strerror or str(error)) from None
    return write_into(folder, {name: files[name] for name in (*FILES, *files)}, overwrite=overwrite)


def preview(
    result: Estimate, plan: SequencePlan, *, paper: str = "a4", display: str | None = None
) -> bytes:
    """Return the first template page, the last map page and the quote's first, as one PNG."""
    display = display or result.job.drawn_in
    first = next(template_pages(result, Printing(paper, display)))
    last = list(map_pages(result, plan, paper=paper))[-1]
    offer = list(quote(with_plan(result, plan), display=display))
    first_offered, *_ = flowed(
        offer, paper=paper, title=result.job.title or "Untitled job", kind=QUOTE
    )
    pages = (first, last, first_offered)
    pictures = [Image.open(io.BytesIO(png(page, dpi=65))) for page in pages]
    gap = 12
    whole = Image.new(
        "RGB",
        (sum(p.width + gap for p in pictures) - gap, max(p.height for p in pictures)),
        (150, 150, 150),
    )
    at = 0
    for picture in pictures:
        whole.paste(picture, (at, 0))
        at += picture.width + gap
    stream = io.BytesIO()
    whole.save(stream, "PNG")
    return stream.getvalue()
