"""No small file eats the machine: what is too much is refused before it is looked at closer."""

import json
import math
import random
import re

import pytest
from measuring import measured

from sheetkit import Job, JobRefused, SheetkitError, estimate
from sheetkit.job import bounds, file

RING = [[0, 0], [100, 0], [100, 60], [0, 60]]


def refusal(data) -> list[str]:
    with pytest.raises(JobRefused) as refused:
        Job.from_data(data)
    return [str(fault) for fault in refused.value.faults]


def test_one_ring_more_than_a_job_holds_is_told(job_data):
    """No part of the job is faulty but their number."""
    rust = [{"ring": [[x, y] for x, y in RING]} for _ in range(501)]
    assert refusal(job_data(rust=rust)) == [
        "rust: got 501 entries; must have at most 500; leave out some"
    ]


@pytest.mark.parametrize(
    ("part", "name", "entry", "most"),
    [
        ("panel", "holes", RING, 200),
        ("panel", "mountings", {"name": "x", "at": [0, 0]}, 100),
        ("panel", "protect", {"name": "x", "at": [0, 0]}, 100),
        ("patch", "folds", {"line": [[0, 0], [9, 0]], "angle": 90}, 50),
        ("shop", "sheet_stock", [1000, 500], 50),
        ("shop", "exclusions", "x", 30),
    ],
)
def test_every_list_has_its_most(job_data, part, name, entry, most):
    (told,) = refusal(job_data(**{part: {name: [entry] * (most + 1)}}))
    assert (
        told == f"{part}.{name}: got {most + 1} entries; must have at most {most}; leave out some"
    )


def test_every_list_of_a_job_has_a_most():
    """Else a small file could make it as long as it likes."""
    ahead, lists = [("", Job)], 0
    while ahead:
        where, model = ahead.pop()
        for name, info in model.model_fields.items():
            text = str(info.annotation)
            if "..." in text.replace("tuple[tuple[float, float], ...]", "") or "dict[" in text:
                lists += 1
                assert any(hasattr(mark, "max_length") for mark in info.metadata), f"{where}{name}"
            ahead += [(f"{where}{name}.", inner) for inner in bounds.models_in(info.annotation)]
    assert lists == 17


def test_points_of_all_rings_together_have_their_most(job_data):
    at = [2 * math.pi * i / 15_000 for i in range(15_000)]
    ring = [[round(500 * math.cos(a), 3), round(500 * math.sin(a), 3)] for a in at]
    rust = [{"ring": [[x + 1100 * n, y] for x, y in ring]} for n in range(7)]
    (told,) = refusal(job_data(rust=rust))
    assert told.startswith("job: got 105000 points in all; must have at most 100000; leave out")


def test_a_ring_has_its_most(job_data):
    at = [2 * math.pi * i / 20_001 for i in range(20_001)]
    (told,) = refusal(
        job_data(rust=[{"ring": [[500 * math.cos(a), 500 * math.sin(a)] for a in at]}])
    )
    assert told.startswith("rust[0].ring: got 20001 points; must have at most 20000 points")


def test_faults_are_told_as_far_as_one_reads_and_the_rest_counted(job_data):
    told = refusal(job_data(rust=[{"ring": RING, "grade": "worn"}] * 180))
    assert len(told) == 101
    assert told[-1] == "job: got 80 more faults; must have none; mend those above first"


def test_unknown_keys_are_named_unless_they_are_legion(job_data):
    assert len(refusal(job_data(**{f"k{n}": 1 for n in range(90)}))) == 90
    sheet = {"thickness": 1} | {f"k{n}": 1 for n in range(150)}
    told = refusal(job_data(sheet=sheet, **{f"k{n}": 1 for n in range(60)}))
    assert len(told) == 1 and told[0].startswith("job: got 210 unknown keys")


def test_data_that_holds_itself_is_refused(job_data):
    loop = []
    loop.append(loop)
    assert refusal(job_data(notes=loop))


@pytest.mark.parametrize("money", [True, False])
def test_truth_is_no_number(job_data, money):
    for name in ("labour_rate", "tax", "tolerance", "valid_days", "photos", "stop_limit"):
        (told,) = refusal(job_data(shop={name: money}))
        assert told.startswith(f"shop.{name}: got {str(money).lower()}; must be a number")
    (told,) = refusal(job_data(shop={"prices": {"gas": money}}))
    assert told.startswith("shop.prices.gas: got")


# Bombs: each a small file, run in a process of its own whose memory and time are measured ---

MB = 1_000_000
RUST = ',"rust":[{"ring":[[0,0],[100,0],[100,60],[0,60]]}]'
HEAD = '{"format":"sheetkit-job/1","sheet":{"thickness":1}'
SIZE = file.LARGEST_BYTES - 1000
BOMBS = {
    "empty lists": lambda: HEAD + ',"rust":[' + "[]," * (SIZE // 3) + "[]]}",
    "empty objects": lambda: HEAD + ',"rust":[' + "{}," * (SIZE // 3) + "{}]}",
    "objects of one key": lambda: HEAD + ',"rust":[' + '{"":1},' * (SIZE // 7) + "{}]}",
    "short texts": lambda: HEAD + RUST + ',"x":[' + '"ab",' * (SIZE // 5) + "1]}",
    "numbers": lambda: HEAD + RUST + ',"x":[' + "1.5," * (SIZE // 4) + "1]}",
    "many keys": lambda: (
        HEAD + RUST + "," + ",".join(f'"{n:x}":1' for n in range(SIZE // 12)) + "}"
    ),
    "one key many times": lambda: HEAD + RUST + ',"a":1' * (SIZE // 6) + "}",
    "one text": lambda: HEAD + RUST + ',"title":"' + "a" * SIZE + '"}',
    "one text with a far letter": lambda: HEAD + RUST + ',"title":"\U0001f600' + "a" * SIZE + '"}',
    "just under the most lists": lambda: HEAD + ',"rust":[' + "[]," * 499_000 + "[]]}",
    "just under the most objects": lambda: HEAD + ',"rust":[' + "{}," * 19_000 + "{}]}",
    "just under the most keys": lambda: (
        HEAD + RUST + "," + ",".join(f'"{n:x}":1' for n in range(199_000)) + "}"
    ),
    "points in words": lambda: (
        HEAD + ',"rust":[{"ring":[' + '["1 in","2 ft"],' * 90_000 + "[0,0]]}]}"
    ),
    "points of three": lambda: HEAD + ',"rust":[{"ring":[' + "[1,2,3]," * 90_000 + "[0,0]]}]}",
    "rings of nonsense": lambda: json.dumps(
        {
            "format": "sheetkit-job/1",
            "sheet": {"thickness": 1},
            "rust": [{"ring": [[None]] * 190}] * 500,
        }
    ),
}
CHECK = "from sheetkit.__main__ import main; code = main(['check', sys.argv[1]])"


@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_is_refused_in_a_few_words(tmp_path, name):
    """600 MB at most; 2 s of processor time a MB, and 10 s for starting on a slow machine."""
    path = tmp_path / "bomb.json"
    path.write_text(BOMBS[name](), encoding="utf-8")
    size = path.stat().st_size
    assert size <= file.LARGEST_BYTES
    done = measured(CHECK, path)
    assert done.code == 1 and 0 < len(done.errors) <= bounds.MOST_FAULTS + 1
    assert all(": got " in line and len(line) < 700 for line in done.errors)
    assert done.seconds < 10 + 2 * size / MB, f"{done.seconds:.1f} s"
    assert done.memory_mb < 600, f"{done.memory_mb:.0f} MB"


def teeth(many, pitch, left, low, high):
    """Return the teeth of a comb, from left to right."""
    for number in range(many):
        x = left + number * pitch
        yield from ([x, high], [x + 0.4 * pitch, high], [x + 0.4 * pitch, low], [x + pitch, low])


def spikes(many):
    """Return a ring that runs in and out at random, far."""
    chance = random.Random(5)
    for number in range(many):
        far, at = chance.uniform(4000, 8000), 2 * math.pi * number / many
        yield [far * math.cos(at), far * math.sin(at)]


def round_holes(many):
    for number in range(many):
        x, y = 650 * (number % 15) - 4700, 650 * (number // 15) - 4700
        yield [[x + 20 * math.cos(a / 9), y + 20 * math.sin(a / 9)] for a in range(56)]


SQUARE = [[-5000, -5000], [5000, -5000], [5000, 5000], [-5000, 5000]]
COMB = [*teeth(490, 2.1, -500, -300, 500), [529, -1000], [-500, -1000]]


def combs_crossed():
    """Two combs of thin teeth over one another: in each gap of one all teeth of the other."""
    one = [*teeth(74, 4.2, -200, -300, 500), [110.8, -400], [-200, -400]]
    return [{"ring": one}, {"ring": [[y, x] for x, y in one]}]


def test_outlines_that_cross_without_end_are_refused(job_data):
    (told,) = refusal(job_data(rust=combs_crossed()))
    assert told.startswith("job: got outlines that cross one another more than 20000 times")


def test_outlines_that_cross_as_drawn_ones_do_are_taken(job_data):
    """A hundred and forty round spots in a row, each over the next four."""
    at = [2 * math.pi * i / 60 for i in range(60)]
    spots = [[[9 * n + 20 * math.cos(a), 20 * math.sin(a)] for a in at] for n in range(140)]
    assert Job.from_data(job_data(rust=[{"ring": spot} for spot in spots]))


def test_turns_of_all_rings_together_have_their_most(job_data):
    combs = [
        [*teeth(98, 2.1, x, y, y + 500), [x + 206, y - 50], [x, y - 50]]
        for x in range(0, 15_000, 1500) for y in range(0, 4000, 800)
    ]  # fmt: skip
    (told,) = refusal(job_data(rust=[{"ring": comb} for comb in combs]))
    assert re.match(r"job: got outlines that turn through \d{4,5} right angles, 2 mm deep", told)
    assert Job.from_data(job_data(rust=[{"ring": comb} for comb in combs[:1]]))


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"weld": {"stitch": 3}}, "weld.stitch"),
        ({"weld": {"stitch": 500, "tack": 5}}, "weld.tack"),
        (
            {"weld": {"plug_pitch": 10, "plug_hole": 3}, "patch": {"joint": "plug"}},
            "weld.plug_pitch",
        ),
    ],
)
def test_welds_of_all_seams_together_have_their_most(job_data, change, field):
    """None of thirty seams has too many by itself."""
    rust = [
        {"ring": [[1400 * n, y] for y in (0, 7000)] + [[1400 * n + 300, 3000]]} for n in range(28)
    ]
    rust = [{"ring": [[x - 19_600, y] for x, y in one["ring"]]} for one in rust]
    with pytest.raises(JobRefused, match=rf"^{field}: got more than 20000 tacks and welds in all"):
        estimate(Job.from_data(job_data(rust=rust, **change)))


WIDE = {"margin": 0.5, "joint": "lap", "overlap": 100, "corner_radius": 200, "web": 200}


def jagged(x, y, many, near, far):
    """Return a ring about a point that runs in and out at random."""
    chance = random.Random(5)
    at = [2 * math.pi * number / many for number in range(many)]
    reach = [chance.uniform(near, far) for _ in at]
    return [
        [round(x + r * math.cos(a), 3), round(y + r * math.sin(a), 3)]
        for r, a in zip(reach, at, strict=True)
    ]


def spots(many, apart, points, near, far):
    side = math.ceil(math.sqrt(many))
    return [
        {"ring": jagged(apart * (n % side - side / 2), apart * (n // side - side / 2), points, near, far)}
        for n in range(many)
    ]  # fmt: skip


def zigzag(y):
    up = [[36 * n - 5400, y + 9000 * (n % 2)] for n in range(149)]
    return {"ring": up + [[x, y + 4] for x, y in up][::-1]}


SHAPES = {
    "a comb cut through": lambda: {
        "panel": {"outline": COMB},
        "rust": [{"ring": [[-400, -400], [400, -400], [400, 180], [-400, 180]]}],
    },
    "a ring of spikes with wide corners": lambda: {
        "rust": [{"ring": list(spikes(1990))}],
        "patch": WIDE,
    },
    "as many spikes as are taken, with wide corners": lambda: {
        "rust": spots(1, 5200, 298, 300, 2500),
        "patch": WIDE,
    },
    "thin zigzags with wide corners": lambda: {
        "rust": [zigzag(-4400)],
        "patch": WIDE,
    },
    "fine spots that grow together": lambda: {"rust": spots(140, 61, 190, 10, 10)},
    "rings of wiggles, none of them deep": lambda: {
        "rust": spots(4, 7000, 20_000, 3000, 3001.9),
        "patch": {"margin": 0.5, "web": 0.1, "corner_radius": 0.2},
    },
    "a cut along a panel's edge of wiggles": lambda: {
        "panel": {"outline": jagged(0, 0, 20_000, 17_000, 17_001.9)},
        "rust": [{"ring": jagged(0, 0, 20_000, 16_990, 16_990)}],
        "patch": {"margin": 5, "web": 200, "corner_radius": 200},
    },
    "combs over one another": lambda: {"rust": combs_crossed(), "patch": {"margin": 0, "web": 0}},
    "rust over the edge of every hole": lambda: {
        "panel": {"outline": SQUARE, "holes": list(round_holes(70))},
        "rust": [{"ring": [[x, y + 30] for x, y in ring]} for ring in round_holes(70)],
    },
}


@pytest.fixture(scope="module")
def plain_s(tmp_path_factory):
    """The processor time of a check of one plain patch: half a second on a usual machine, s."""
    path = tmp_path_factory.mktemp("plain") / "plain.json"
    path.write_text(HEAD + RUST + "}")
    return min(measured(CHECK, path).seconds for _ in range(3))


@pytest.mark.parametrize("name", SHAPES)
def test_shapes_made_to_be_slow_are_worked_out_or_refused(tmp_path, job_data, plain_s, name):
    """2 s of processor time, or 2 s a MB, where a plain job takes half a second, and 600 MB.

    A busy machine may take half as much again: its other work takes turns in one cache.
    """
    path = tmp_path / "slow.json"
    path.write_text(json.dumps(job_data(**SHAPES[name]())))
    most = 1.5 * 4 * plain_s * max(1.0, path.stat().st_size / MB)
    done = measured(CHECK, path)
    assert done.code in (0, 1)
    assert all(": got " in line and len(line) < 700 for line in done.errors)
    assert done.seconds < most, f"{done.seconds:.1f} s, plain {plain_s:.2f} s"
    assert done.memory_mb < 600, f"{done.memory_mb:.0f} MB"


def test_a_text_of_too_many_parts_is_named():
    with pytest.raises(SheetkitError, match="more than 500000 lists"):
        file.parse_text("[" * 600_000)


@pytest.mark.filterwarnings("error")
def test_points_beyond_all_numbers_are_refused_without_a_warning(job_data):
    far = [[0, 0], [1.7e308, 0], [0, 1.7e308]]
    with pytest.raises(JobRefused):
        Job.from_data(job_data(drawn_in="in", rust=[{"ring": far}]))
