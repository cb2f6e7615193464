"""The customer's copy: what is done, what it costs, what happens if it grows, and where to sign.

It holds what public guidance on repair estimates names, with blanks for what the
job doesn't know.  How each sum came about stands on the shop's copy (`reckoning`).
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from ..base import amounts, money
from ..base.errors import plain
from ..base.showing import Number, counted
from ..base.units import MM_PER_INCH
from ..geometry.patch import blank_size
from ..job.job import Job
from ..repair.estimate import Estimate
from . import patch_picture, sums
from .blocks import Block, Columns, Drawing, Frames, Heading, Paragraph, Table, Ticks
from .job_photos import STAGES, JobPhotos

SMALL_PT = 8.8
TIGHT_MM = 0.6
PICTURE_MM = 30.0
USED_UP = "Wire, gas, discs, sealer, primer, wax, gloves and filters"
EXCLUSIONS = (
    "rust, earlier repairs or damage that show only when the panel is open",
    "new trim, carpets, glass, wiring, fuel or brake parts, if what comes off is worn or breaks",
    "colour matching, and later corrosion elsewhere",
    "fees for inspections, and work an inspector asks for beyond this list",
)
LOG_ROWS = 4
FRAME_MM = 54.0
NO_PHOTOS = JobPhotos()
FOOT_M = float(Decimal(str(MM_PER_INCH)) * 12 / 1000)


def included(result: Estimate) -> list[tuple[str, bool]]:
    """Return what a repair often takes, and whether this one's price holds it."""
    coated = any(x.figure == "coating_cost" and x.amount for x in sums.lines(result))
    back = result.job.sheet.back_access
    return [
        ("trim, battery and control units off and on again", True),
        ("a test weld on the same sheet", True),
        ("welds ground, seam primed and sealed", coated),
        ("back of the seam cleaned, primed and waxed", coated and back),
        ("top coat and colour", False),
        ("disposal of old metal, storage, delivery", False),
    ]


def amounts_table(result: Estimate) -> Table:
    """Return the customer's lines: they add up as printed."""
    currency, total = result.job.shop.currency, sums.totals(result)
    labour, *materials = sums.lines(result)

    def row(words: str, amount: Decimal, how: str = "") -> tuple:
        return words, Number(float(amount), money.digits(amount, currency)), how

    sheet = sum((x.amount for x in materials if x.figure == "sheet_cost"), Decimal(0))
    used_up = sum((x.amount for x in materials), Decimal(0)) - sheet
    worked = f"{sums.hours(result)} h × {sums.rate_words(result)}"
    rows = [
        row(labour.words, labour.amount, worked),
        row("Sheet metal for the patches", sheet, "☐ new  ☐ used"),
        row(USED_UP, used_up, "used up in the work"),
    ]
    if taxed(result):
        rows += [
            row("Sum before tax", total.net),
            row("Tax", total.tax, f"{money.plainly(result.job.shop.tax)} %"),
            row("Total with tax", total.gross),
        ]
    else:
        rows.append(row("Total, tax not included", total.gross))
    heads = ("What", f"Amount, {plain(currency)}", "How")
    return Table("offer", heads, rows, (66, 26, 36), size=9.5, bold_last=True, pad_mm=0.9)


def taxed(result: Estimate) -> bool:
    """Say whether a tax was given, be it none."""
    return result.job.given("shop.tax")


def terms_table(result: Estimate, display: str) -> Table:
    """Return what binds both sides, with the amounts put in."""
    shop, total = result.job.shop, sums.totals(result)
    rows = [] if sums.fixed(result) else list(_uncertain(result))
    here = amounts.show(result.values["seam_length_mm"], "length", units=display)
    long, further = "metre", float(total.extra_metre)
    if display == "in":
        long, further = "foot", FOOT_M * sums.extra_metre(result)
    rows += [
        (
            f"A further {long}",
            money.shown(further, shop.currency),
            f"Of seam, all in, if more rust means more of it (in the total: {here}).",
        ),
        *_hidden(result),
    ]
    return Table(
        "terms",
        ("Term", "This job", "What it means"),
        rows,
        (27, 31, 91),
        size=SMALL_PT,
        pad_mm=TIGHT_MM,
    )


def _uncertain(result: Estimate) -> Iterator[tuple[str, str, str]]:
    """Yield what an estimate says of how far the bill can differ."""
    shop, total, span = result.job.shop, sums.totals(result), result.cost
    low, high = (money.digits(end, shop.currency, about=True) for end in (span.low, span.high))
    over = 100 * result.share_over("cost", float(total.stop))
    by = f" ({shop.tolerance:g} % over the total)" if shop.stop_limit is None else ""
    yield (
        "Likely range",
        f"{low} to {high} {plain(shop.currency)}",
        "Of ten such repairs about one costs less than the first sum and one more than the "
        "second, with nothing hidden.",
    )
    yield (
        "We stop and ask at",
        money.shown(total.stop, shop.currency),
        f"Work stops before the bill passes this sum{by} and goes on only after your word, in "
        f"the log. About {over:.0f} in 100 such repairs get there, with nothing hidden. Your local "
        "law may set a lower one.",
    )


def _hidden(result: Estimate) -> Iterator[tuple[str, str, str]]:
    """Yield what hidden rust alone adds to the sum."""
    found, currency = sums.hidden_rust(result), result.job.shop.currency
    if found is None:
        yield ("Hidden rust alone", "not known", "Comes on top (one shop reports up to 40 %).")
        return
    half, most = (money.digits(sum_, currency, about=True) for sum_ in found[:2])
    yield (
        "Hidden rust alone",
        f"{half} to {most} {plain(currency)} more",
        "Not in the total: rust that shows only when the panel is open. Of ten such repairs about five "
        "add more than the first sum, one more than the second.",
    )


def work_lines(result: Estimate, display: str) -> list[str]:
    """Return in plain words what is done."""
    job = result.job
    size = partial(amounts.show, units=display)
    them = "it" if len(result.patches) == 1 else "them"
    names = {
        "butt": f"Weld {them} in edge to edge, flush with the panel",
        "lap": f"Weld {them} on, lapped over the panel's edge",
        "plug": f"Weld {them} on through holes, lapped over the panel's edge",
    }
    pieces = [
        f"patch {number}: " + " × ".join(size(side, "length") for side in blank_size(patch.blank))
        for number, patch in enumerate(result.patches, 1)
    ]
    shown = pieces[:6] + [f"and {len(pieces) - 6} more"] * (len(pieces) > 6)
    back = "" if job.sheet.back_access else " The back can't be reached by hand."
    return [
        f"1. Cut out the rust shown, with {size(job.patch.margin, 'length')} of sound metal round it.",
        f"2. Make {counted(len(pieces), 'patch', 'patches')} of new "
        f"{size(job.sheet.thickness, 'thickness')} steel sheet ({'; '.join(shown)}).",
        f"3. {names[job.patch.joint]}: {size(result.values['seam_length_mm'], 'length')} of seam.",
        f"4. Grind the welds, prime and seal the seam.{back}",
    ]


def day_of(job: Job) -> datetime.date:
    """Return the day that is printed: the offer's, or today."""
    given = job.shop.date
    return datetime.date.fromisoformat(given) if given else datetime.date.today()


def parties_table(result: Estimate, day: datetime.date, until: datetime.date) -> Table:
    """Return who and what it is about, with blanks for what the job doesn't know."""
    job = result.job

    def one_line(words: str) -> str:
        return " ".join(words.split())[:300]

    shop = job.shop
    rows = [
        ("Shop", one_line(shop.name), "Customer", one_line(job.customer)),
        ("Address", one_line(shop.address), "Address, phone", one_line(job.contact)),
        ("Phone, e-mail", one_line(shop.phone), "", ""),
        ("Shop reg. no.", one_line(shop.registration), "Vehicle", one_line(job.vehicle)),
        ("Offer no.", "", "Plate", one_line(job.plate)),
        ("Date", f"{day.isoformat()}; good until {until.isoformat()}", "VIN", one_line(job.vin)),
        ("Finished by", "", "Odometer", one_line(job.odometer)),
    ]
    return Table(
        "parties", (), rows, (23, 46, 23, 46), size=SMALL_PT, least_mm=5.9, most=2, pad_mm=TIGHT_MM
    )


def quote(result: Estimate, *, display: str, photos: JobPhotos = NO_PHOTOS) -> Iterator[Block]:
    """Yield the customer's copy as blocks."""
    shop, total = result.job.shop, sums.totals(result)
    day = day_of(result.job)
    until = day + datetime.timedelta(days=shop.valid_days)
    for words in draft_words(result):
        yield Paragraph(f"DRAFT, NOT TO BE HANDED OUT: {words}", 11, True)
    yield parties_table(result, day, until)
    word = "Fixed price" if sums.fixed(result) else "Estimate"
    tax = "with tax" if taxed(result) else "tax not included"
    yield Paragraph(f"{word}: {money.shown(total.gross, shop.currency)}, {tax}", 14, True)
    yield Columns(
        [
            Paragraph("\n".join(work_lines(result, display)), 9.5),
        ],
        [
            Drawing(
                partial(patch_picture.draw, result=result, display=display, photo=photos.under),
                PICTURE_MM,
                "the panel with the rust and the patches",
            )
        ],
        0.55,
        PICTURE_MM,
    )
    yield amounts_table(result)
    yield terms_table(result, display)
    boxes = included(result)
    yield Paragraph("In the price (ticked) and not in it (empty):", SMALL_PT, True)
    yield Ticks(
        [words for words, _ in boxes],
        2,
        SMALL_PT,
        frozenset(words for words, held in boxes if held),
    )
    left_out = "; ".join(" ".join(x.split()) for x in (*shop.exclusions, *EXCLUSIONS))
    yield Paragraph(
        f"Not in it either: {left_out}. A weld shrinks as it cools and can leave flat sheet uneven. Where the "
        "part carries load, the maker's repair manual, your inspector, local codes and licensed "
        "practice decide; no outcome of an inspection is promised.",
        8,
    )
    yield Heading("Your go-ahead: fill in and sign before work starts, and keep a copy", 11)
    yield Table(
        "go-ahead",
        ("I ask for this work up to the sum of", "Deposit; how the rest is paid", "Old parts back?", "Date; copy received", "Name, in capitals", "Signature"),
        [[f"☐ {money.shown(total.stop, shop.currency)}\n☐ ____________", "", "☐ yes ☐ no", "", "", ""]], (28, 28, 18, 22, 30, 32), size=8, least_mm=9, pad_mm=TIGHT_MM,
    )  # fmt: skip
    yield Heading("Changes agreed later, by phone too: no change without a line here", 12)
    yield Table(
        "changes",
        ("Date", "Time", "Who spoke", "Phone or address used", "What for", "New sum", "Signed"),
        [[""] * 7 for _ in range(LOG_ROWS)], (15, 11, 20, 26, 30, 18, 18), size=SMALL_PT,
        least_mm=11,
    )  # fmt: skip
    if shop.photos:
        yield Heading("Photos", 12)
        yield Frames(
            [
                f"{n + 1}: {STAGES[n] if n < len(STAGES) else '____________'}, date ______"
                for n in range(shop.photos)
            ],
            FRAME_MM,
            [photos.stages.get(stage) for stage in STAGES],
        )


def draft_words(result: Estimate) -> list[str]:
    """Return why this can't be handed out yet: prices of the tables are in one currency."""
    found, currency = sums.not_in_currency(result), plain(result.job.shop.currency)
    if not found:
        return []
    return [
        f"{', '.join(found)}: still at the tables' prices, which are in {money.PRICED_IN} and are not "
        f"converted to {currency}. Give your own prices in the job (rate and prices of the shop)."
    ]
