"""Each reader gets mutants of sound documents and wild input: it reads or refuses in words."""

import json
import random
from dataclasses import replace

import numpy as np
import pytest
from guard import COUNT, check_faults, read, watched
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from mutants import ODD_TEXTS, ODD_VALUES, data, odd, raw, text

from sheetkit import Job, load
from sheetkit.base import units
from sheetkit.base.errors import SheetkitError
from sheetkit.geometry import offset
from sheetkit.geometry.ring import SMALLEST_AREA_MM2, Ring
from sheetkit.job import file
from sheetkit.sequence.shop_heat import ShopHeat
from sheetkit.workshop import heat_log
from sheetkit.workshop import log as job_log

calm = settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=list(HealthCheck),
)
QUANTITIES = (
    *("25 mm", "1 1/2 in", "-3/8 in", "0.8 mm", "25 ft^3/h", "10 l/min", "60 degC", "140 °F"),
    *("125 in/min", "150 bar", "2200 psi", "90 deg", "18 gauge", "16 MSG", "1e3 mm", '3"', "5 kg"),
)
LOG = [
    "entry,date,job,access_h,welding_h,wire_g,pressure_before_bar,pressure_after_bar,note",
    'a1,2024-05-01,floor.json,1,1.5,20,150,120,"said ""ok"", twice"',
    "a2,2024-05-02,wing.json,,0.5,,,,",
    "a3,2024-05-03,sill.json,2,3,40,120,90,é",
]


@pytest.fixture(scope="module")
def documents(demo):
    return [demo(name) for name in ("trunk_floor", "footwell", "wheel_arch")]


def test_job_loader(documents, tmp_path):
    rng, path, sound = random.Random(1), tmp_path / "job.json", 0
    texts = [json.dumps(document) for document in documents]
    with watched(tmp_path):
        for _ in range(COUNT):
            kind, which = rng.random(), rng.randrange(len(texts))
            if kind < 0.5:
                made = read(Job.from_data, data(rng, documents[which]))
            elif kind < 0.8:
                plain = read(file.parse_text, text(rng, texts[which]))
                made = None if plain is None else read(Job.from_data, plain)
            else:
                path.write_bytes(raw(rng, texts[which].encode()))
                made = read(load, path)
            sound += made is not None
    assert 0 < sound < COUNT


def test_units():
    rng, numbers = random.Random(2), 0
    with watched("none"):
        for _ in range(COUNT):
            value = text(rng, rng.choice(QUANTITIES)) if rng.random() < 0.85 else odd(rng)
            number = read(units.parse, value, rng.choice(list(units.INTERNAL)), field="x")
            numbers += number is not None
            assert number is None or np.isfinite(number)
            if isinstance(value, str):
                assert units.gauge(value) is None or units.gauge(value).isdigit()
    assert 0 < numbers < COUNT


def ring(rng: random.Random):
    """Return a ring: random, on a coarse grid (so it touches itself), or with odd points."""
    size = rng.choice((0, 1, 2, 3, 4, 5, 8, 20, 60))
    reach = 10.0 ** rng.randint(-4, 5)
    points = [[rng.uniform(-reach, reach), rng.uniform(-reach, reach)] for _ in range(size)]
    if rng.random() < 0.4:
        points = [[round(6 * x / reach) * 10, round(6 * y / reach) * 10] for x, y in points]
    elif rng.random() < 0.4:
        turn = 2 * np.pi / max(size, 1)
        points = [[50 * np.cos(i * turn), 40 * np.sin(i * turn)] for i in range(size)]
    for _ in range(rng.choice((0, 0, 1, 2))):
        if points:
            at = rng.randrange(len(points))
            points.insert(at, rng.choice((points[at], points[0], odd(rng), [odd(rng), 1.0])))
    return points if rng.random() < 0.95 else odd(rng)


def test_ring_cleaner():
    rng, sound = random.Random(3), 0
    with watched("none"):
        for _ in range(COUNT):
            points = ring(rng)
            made = read(Ring.drawn, points)
            if made is not None:
                sound += 1
                shape = made.polygon
                assert shape.is_valid and shape.exterior.is_ccw
                assert shape.area >= SMALLEST_AREA_MM2
                assert offset.closed(shape, 5).is_valid and offset.opened(shape, 5).is_valid
    assert 0 < sound < COUNT


def test_log_reader(tmp_path):
    rng, path, used = random.Random(4), tmp_path / "log.csv", 0
    entry = job_log.Entry("last.json", "2024-06-01", {"welding_h": 1.0}, entry="last")
    whole = "\n".join(LOG) + "\n"
    with watched(tmp_path):
        for number in range(COUNT):
            if rng.random() < 0.6:
                content = text(rng, whole).encode(errors="surrogatepass")
            else:
                content = raw(rng, whole.encode())
            path.write_bytes(content)
            log = read(job_log.read_log, path)
            used += len(log.entries)
            for aside in log.set_aside:
                check_faults(aside.faults)
            if number % 20 == 0:
                read(job_log.add, path, entry)
                now = path.read_bytes()
                assert now == content or b"last.json" in now
    assert used > 0


@calm
@given(st.one_of(st.text(max_size=200), st.sampled_from(ODD_TEXTS)))
def test_any_text_as_a_job(words):
    read(file.parse_text, words)


@calm
@given(st.lists(st.lists(st.floats() | st.integers() | st.none(), max_size=3), max_size=8))
def test_any_lists_as_a_ring(points):
    read(Ring.drawn, points)


UNIT = st.sampled_from(["mm", "in", "ft", "h", "°C", "kg", "23", "3", '"', "cfh"])


@calm
@given(st.lists(UNIT, min_size=1, max_size=6), st.sampled_from(["*", "^", "/", "**", " ", "·"]))
def test_any_chain_of_units(names, sign):
    read(units.parse, "1 " + sign.join(names), "length", field="x")


@calm
@given(st.lists(st.lists(st.text(max_size=12), max_size=10), max_size=6))
def test_any_cells_as_a_log(tmp_path_factory, rows):
    path = tmp_path_factory.getbasetemp() / "any.csv"
    head = LOG[0] + "\n"
    path.write_bytes((head + "\n".join(map(",".join, rows))).encode(errors="replace"))
    for aside in read(job_log.read_log, path).set_aside:
        check_faults(aside.faults)


# What the fuzzing found -------------------------------------------------------------------


@pytest.mark.parametrize("unit", ["mm*3^3^33333", "mm*2^333333", "mm*(3^3^3^3^3)", "mm^3^3"])
def test_a_power_of_a_power_is_refused_before_it_is_worked_out(unit):
    with pytest.raises(SheetkitError, match="ends in a unit"):
        units.parse(f"1 {unit}", "length", field="x")


@pytest.mark.parametrize("points", [[[10**400, 0], [1, 1], [2, 0]], None, [[1, 2], [3]]])
def test_what_is_no_ring_is_refused(points):
    with pytest.raises(SheetkitError, match="list of"):
        Ring.drawn(points)


def test_forty_thousand_keys_are_read_in_one_pass():
    many = ",".join(f'"k{i}":1' for i in range(40_000))
    assert len(read(file.parse_text, "{" + many + "}")) == 40_000


@pytest.mark.parametrize(
    "words", ['{"%s":1,"%s":1}' % (("a" * 5000,) * 2), "[%s]" % ("NaN," * 999 + "1")]
)
def test_long_keys_and_many_nans_make_short_faults(words):
    with pytest.raises(SheetkitError) as refused:
        file.parse_text('{"x":' + words + "}")
    check_faults(refused.value.faults)
    assert len(refused.value.faults) <= file.MOST_FAULTS


def test_a_hostile_name_of_a_price_is_shown_short(job_data):
    with pytest.raises(SheetkitError) as refused:
        Job.from_data(job_data(shop={"prices": {"a\nb" * 500: -1}}))
    check_faults(refused.value.faults)


def test_a_cell_too_long_for_csv_is_set_aside_and_the_rest_is_read(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(f"{LOG[0]}\nx,{'9' * 200_000}\n{LOG[1]}\n")
    log = job_log.read_log(path)
    assert [entry.entry for entry in log.entries] == ["a1"]
    assert "csv row" in str(log.set_aside[0])


def test_a_log_in_another_encoding_is_not_added_to(tmp_path):
    path = tmp_path / "log.csv"
    content = LOG[0].encode() + b"\n\xff\xfe\n"
    path.write_bytes(content)
    with pytest.raises(SheetkitError, match="not UTF-8"):
        job_log.add(path, job_log.Entry("a.json", "2024-01-01", {"welding_h": 1}))
    assert path.read_bytes() == content


@pytest.mark.parametrize("value", [10**400, ODD_VALUES[8]])
def test_an_hour_beyond_counting_is_refused(tmp_path, value):
    with pytest.raises(SheetkitError, match="welding_h"):
        job_log.add(tmp_path / "l.csv", job_log.Entry("a.json", "2024-01-01", {"welding_h": value}))


def test_a_folder_is_no_log(tmp_path):
    with pytest.raises(SheetkitError, match="can't be read"):
        job_log.read_log(tmp_path)


def test_heat_log_reader(tmp_path):
    rng, path, used = random.Random(14), tmp_path / "heat.csv", 0
    cells = {"entry": "h1", "date": "2024-05-01", "job": "a.json", "heat_ratio": 1.2, "readings": 3,
             "heat_spread": 0.05, "loss_ratio": 0.6, "loss_spread": 0.1, "together": 0.8}  # fmt: skip
    row = ",".join(str(cells.get(name, "")) for name in heat_log.COLUMNS)
    whole = f"{','.join(heat_log.COLUMNS)}\n{row}\n{row.replace('h1', 'h2')}\n"
    entry = heat_log.HeatEntry("last.json", "2024-06-01", ShopHeat(), entry="last")
    entry = replace(entry, heat=replace(entry.heat, readings=1))
    with watched(tmp_path):
        for number in range(COUNT):
            content = raw(rng, whole.encode())
            if rng.random() < 0.6:
                content = text(rng, whole).encode(errors="surrogatepass")
            path.write_bytes(content)
            log = read(heat_log.read_heat_log, path)
            used += len(log.entries)
            for aside in log.set_aside:
                check_faults(aside.faults)
            assert 0.3 < log.own.heat < 3 and 0.1 < log.own.loss < 5
            if number % 20 == 0:
                read(heat_log.keep, path, entry)
                now = path.read_bytes()
                assert now == content or b"last.json" in now
    assert used > 0
