"""The customer's copy: sums by hand, to the cent; what stands on it and what doesn't."""

import datetime
import random
import re
import sys
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from reading import overlapping, pages

import sheetkit as sk
from sheetkit import command_line
from sheetkit.base import money
from sheetkit.base.errors import SheetkitError
from sheetkit.paper import html, quote, reckoning, sums, write
from sheetkit.paper.blocks import Ticks
from sheetkit.paper.flow import flowed
from sheetkit.paper.page import pdf

sys.path.append(str(Path(__file__).parents[1] / "fuzz"))
import random_jobs

OWN_PRICES = dict.fromkeys(
    ("wire_spool", "gas", "cutting_disc", "flap_disc", "seam_sealer", "epoxy_primer", "strip_disc",
     "cavity_wax", "respirator_filter", "nitrile_gloves", "sheet"), 20.0,
)  # fmt: skip


def cents(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.01"))


def printed(result, folder, paper="a4"):
    """The customer's copy as pypdf reads it, page by page."""
    body = list(quote.quote(result, display="mm"))
    found = flowed(body, paper=paper, title="t", kind="Estimate")
    (folder / "q.pdf").write_bytes(pdf(found, "t"))
    return [" ".join(page.extract_text().split()) for page in pages(folder / "q.pdf")]


@pytest.mark.parametrize(
    ("shop", "over"),
    [
        ({"quote": "estimate", "tolerance": 15}, Decimal("0.15")),
        ({"quote": "fixed price", "tolerance": 15}, Decimal(0)),
    ],
)
def test_work_stops_at_the_sum_with_tax_and_tolerance(job, shop, over):
    """A fixed price has no tolerance, whatever the shop's is."""
    total = sums.totals(sk.estimate(job(shop={"tax": 20, **shop})))
    assert total.net == total.gross - total.tax > 0
    assert float(total.tax) == pytest.approx(0.2 * float(total.net), abs=0.0051)
    assert float(total.tolerance) == pytest.approx(float(over * total.gross), abs=0.0051)
    assert total.stop == total.gross + total.tolerance


def test_the_shops_own_limit_wins_over_an_estimate_and_not_over_a_price(job):
    shop = {"stop_limit": 777}
    assert sums.totals(sk.estimate(job(shop=shop))).stop == cents(Decimal(777))
    total = sums.totals(sk.estimate(job(shop=shop | {"quote": "fixed price"})))
    assert total.stop == total.gross


def read_sums(result):
    """Return (what -> amount as printed, "h × rate" as printed) of the customer's copy."""
    text = html.html([quote.amounts_table(result)], title="", kind="")
    rows = re.findall(r"<td[^>]*>([^<]*)</td><td[^>]*>([^<]*)</td><td[^>]*>([^<]*)</td>", text)
    return {what: (amount, how) for what, amount, how in rows}


def adds_up(result) -> None:
    """Check a customer's copy with nothing but what is printed on it."""
    rows = read_sums(result)

    def amount(what):
        return Decimal(rows[what][0].replace(",", ""))

    currency = result.job.shop.currency
    places = Decimal(1).scaleb(-money.decimals(currency))
    hours, rate = re.match(r"([\d.]+) h × ([\d,.]+) ", rows["Labour"][1]).groups()
    labour = Decimal(hours) * Decimal(rate.replace(",", ""))
    assert amount("Labour") == labour.quantize(places, "ROUND_HALF_UP")
    net = amount("Labour") + amount("Sheet metal for the patches") + amount(quote.USED_UP)
    if "Tax" in rows:
        assert amount("Sum before tax") == net
        percent = Decimal(rows["Tax"][1].removesuffix(" %"))
        assert amount("Tax") == (net * percent / 100).quantize(places, "ROUND_HALF_UP")
        assert amount("Total with tax") == net + amount("Tax")
    else:
        assert amount("Total, tax not included") == net
    for words, _ in rows.values():
        assert re.fullmatch(r"\d{1,3}(,\d{3})*(\.\d+)?", words), words
        assert len(words.partition(".")[2]) == money.decimals(currency)


@pytest.mark.parametrize("seed", range(6))
def test_random_jobs_add_up_as_printed(seed):
    """Whatever rate, tax, prices and currency: hours, as printed, times the rate, as printed."""
    rng, done = random.Random(f"sums {seed}"), 0
    while done < 4:
        data = random_jobs.job_data(rng)
        data["shop"] |= {"currency": rng.choice(("USD", "JPY", "KWD", "GBP"))}
        try:
            result = sk.estimate(sk.Job.from_data(data))
        except SheetkitError:
            continue
        adds_up(result)
        done += 1


def test_the_share_of_jobs_that_reach_the_stop_is_counted_on_the_draws(job):
    result = sk.estimate(job(shop={"tolerance": 15, "tax": 8}))
    stop = float(sums.totals(result).stop)
    share = 100 * np.mean(np.asarray(result.drawn["cost"]) > stop)
    rows = {row[0]: row for row in quote.terms_table(result, "mm").rows}
    assert f"About {share:.0f} in 100" in rows["We stop and ask at"][2]
    low, high = (np.quantile(result.drawn["cost"], q) for q in (0.1, 0.9))
    assert rows["Likely range"][1] == f"{low:.0f} to {high:.0f} USD"
    assert 5 < share < 60


def test_inches_price_a_further_foot(job):
    result = sk.estimate(job())

    def price(display):
        (row,) = (
            r for r in quote.terms_table(result, display).rows if r[0].startswith("A further")
        )
        return row[0], float(row[1].removesuffix(" USD").replace(",", ""))

    (metre, per_metre), (foot, per_foot) = price("mm"), price("in")
    assert (metre, foot) == ("A further metre", "A further foot")
    assert per_foot == pytest.approx(0.3048 * per_metre, abs=0.01)


@pytest.mark.parametrize(
    ("rate", "words"),
    [(48, "48 USD/h"), (61.5, "61.50 USD/h"), (1045, "1,045 USD/h"), (9.999, "9.999 USD/h")],
)
def test_the_rate_is_shown_as_it_is_multiplied(job, rate, words):
    assert sums.rate_words(sk.estimate(job(shop={"labour_rate": rate}))) == words


def test_a_fixed_price_holds_no_uncertainty(job, tmp_path):
    text = " ".join(
        printed(sk.estimate(job(shop={"quote": "fixed price", "stop_limit": 999})), tmp_path)
    )
    assert "Fixed price:" in text and "Hidden rust" in text
    for absent in ("Likely range", "stop and ask", "999", "in 100", "(10 %"):
        assert absent not in text, absent


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_two_pages_with_everything_to_fill_in_and_no_machine_words(job, tmp_path, paper):
    shop = {"name": "Invented Panels", "tax": 19, "valid_days": 14}
    result = sk.estimate(
        job(shop=shop | {"date": "2031-01-30"}, customer="A. Person", vehicle="invented van")
    )
    first, second = printed(result, tmp_path, paper)
    for blank in ("Address", "Phone, e-mail", "Shop reg. no.", "Plate", "VIN", "Odometer", "Finished by",
                  "Old parts back?", "new ☐ used", "2031-01-30; good until 2031-02-13", "Invented Panels",
                  "A. Person", "invented van", "Signature", "Copy received".lower(), "Deposit"):  # fmt: skip
        assert blank in first, blank
    for column in (
        "Date",
        "Time",
        "Who spoke",
        "Phone or address used",
        "New sum",
        "Signed",
        "as it came",
    ):
        assert column in second, column
    for word in ("explain", "draws", "guess", "derived", "_h", "wire_", "Rests on", "/ 1000"):
        assert word not in first + second, word
    assert all(overlapping(tmp_path / "q.pdf", n) == [] for n in (1, 2))


def test_boxes_agree_with_what_is_charged(job):
    def ticked(**parts):
        blocks = quote.quote(sk.estimate(job(**parts)), display="mm")
        return next(block.ticked for block in blocks if isinstance(block, Ticks))

    usual = ticked()
    assert any("sealed" in words for words in usual) and not any("top coat" in w for w in usual)
    closed = ticked(sheet={"thickness": 1.0, "back_access": False})
    assert {w for w in usual if "back of the seam" in w} and not {
        w for w in closed if "back of" in w
    }
    free = dict.fromkeys(("seam_sealer", "epoxy_primer", "cavity_wax", "weld_through_primer"), 0)
    assert not any("sealed" in words for words in ticked(shop={"prices": free}))


def test_prices_of_the_tables_are_not_handed_out_in_another_currency(job):
    def told(**shop):
        return quote.draft_words(sk.estimate(job(shop=shop)))

    assert told() == [] and told(currency="$") == []
    (words,) = told(currency="EUR", labour_rate=50, prices={"gas": 30})
    assert "not converted to EUR" in words and "labour" not in words and "gas" not in words
    assert "sheet metal" in words and "sealer" in words
    assert told(currency="EUR", labour_rate=50, prices=OWN_PRICES) == []
    assert "labour" in told(currency="EUR", prices=OWN_PRICES)[0]
    foreign = sk.estimate(job(shop={"currency": "EUR"}))
    page = html.html(list(quote.quote(foreign, display="mm")), title="", kind="")
    assert "DRAFT, NOT TO BE HANDED OUT" in page


def test_the_shops_copy_holds_every_line_and_its_reckoning(job):
    result = sk.estimate(job(shop={"tax": 10}))
    table = reckoning.reckoned_table(result)
    amounts = [Decimal(str(row[1].value)) for row in table.rows]
    *lines, net, tax, gross = amounts
    assert sum(lines) == net and net + tax == gross == sums.totals(result).gross
    assert all(row[2] and row[3] for row in table.rows)
    page = html.html(list(reckoning.reckoning(result)), title="", kind="")
    assert "Where each amount comes from" in page and "draws" in page


def test_the_day_is_the_one_asked_for(job, capsys, tmp_path, monkeypatch):
    """A reprint with the first day's date is good no longer; without one it is today's."""
    dated = sk.estimate(job(shop={"date": "2031-01-30"}))
    assert "2031-01-30; good until 2031-03-01" in html.html(
        list(quote.quote(dated, display="mm")), title="", kind=""
    )
    today = datetime.date.today().isoformat()
    assert today in html.html(
        list(quote.quote(sk.estimate(job()), display="mm")), title="", kind=""
    )
    with pytest.raises(SheetkitError, match=r"shop\.date: .*2026-11-26"):
        job(shop={"date": "30.1.2031"})
    seen = []

    def stub(result, *_, **__):
        seen.append(result.job.shop.date)
        return dict.fromkeys(write.FILES, b"")

    monkeypatch.setattr(write, "rendered", stub)
    sk.save(job(), tmp_path / "job.json")
    asked = ["sheets", str(tmp_path / "job.json"), "--out", str(tmp_path / "out"), "--date"]
    assert command_line.main([*asked, "2031-01-30"]) == 0 and seen == ["2031-01-30"]
    assert command_line.main([*asked, "2031-02-30"]) == 1
    assert "2026-11-26" in capsys.readouterr().err


def test_what_the_job_knows_of_the_parties_is_filled_in(job, tmp_path):
    shop = {"address": "1 Made-up Way", "phone": "555 0100", "registration": "R-77"}
    known = {
        "plate": "XX 00 XX",
        "vin": "0" * 17,
        "odometer": "123,456 km",
        "contact": "2 Nowhere St",
    }
    first, _ = printed(sk.estimate(job(shop=shop, **known)), tmp_path)
    for words in (*shop.values(), *known.values()):
        assert words in first, words


@pytest.mark.parametrize(
    ("amount", "currency", "words"),
    [(1062.925, "USD", "1,062.93"), (1062.5, "JPY", "1,063"), (0.0005, "KWD", "0.001"),
     (1234567, "¥", "1,234,567"), (999.994, "zł", "999.99"), (12, "jpy", "12")],
)  # fmt: skip
def test_money_has_its_currencys_decimals(amount, currency, words):
    assert money.digits(amount, currency) == words
