"""Random jobs that a welder could draw: every joint, process, thickness, position and extent."""

import math
import random

GASES = {"135": ["M20", "M21", "M21-ArC-18", "C1"], "136": ["M21", "C1"], "114": [], "141": ["I1"]}
TINY = (0, 1e-9, 1e-5, 0.01, 0.3)
PRICED = ("gas", "sheet", "wire_spool", "flap_disc", "filler_rod", "whole_panel")
SHEETS = (0.4, 0.6, 0.8, 0.9, 1.0, 1.2, 1.5, 2.0, 3.0, 4.0, "18 gauge", "1/16 in")


def length(rng: random.Random, *most: float) -> float:
    """Return a length that is tiny, or up to one of `most`, mm."""
    return rng.choice((rng.choice(TINY), *(rng.uniform(0, one) for one in most)))


def box(width: float, height: float) -> list:
    return [(-width, -height), (width, -height), (width, height), (-width, height)]


def around(rng: random.Random, count: int, least: float) -> list:
    """Return a star-shaped ring of reach 1."""
    turns = sorted(rng.uniform(0, 2 * math.pi) for _ in range(count))
    reach = [rng.uniform(least, 1) for _ in turns]
    return [(r * math.cos(a), r * math.sin(a)) for r, a in zip(reach, turns, strict=True)]


def outline(rng: random.Random) -> list:
    """Return a ring of reach about 1: jagged, a box, a thin crack, a hook, or finely drawn."""
    kind, arm = rng.randrange(5), rng.uniform(0.1, 0.4)
    if kind == 0:
        return around(rng, rng.randint(3, 40), 0.4)
    if kind == 1:
        return box(rng.uniform(0.1, 1), rng.uniform(0.1, 1))
    if kind == 2:
        return box(1, rng.uniform(0.005, 0.05))
    if kind == 3:
        hook = [(-1, -1), (1, -1), (1, arm - 1), (arm - 1, arm - 1)]
        return [*hook, (arm - 1, 1 - arm), (1, 1 - arm), (1, 1), (-1, 1)]
    count = rng.choice((60, 200, 800))
    waves, wide = rng.randint(2, 7), rng.uniform(0, 0.25)
    turns = [2 * math.pi * n / count for n in range(count)]
    reach = [0.7 + wide * math.sin(waves * a) + rng.uniform(-0.05, 0.05) for a in turns]
    return [(r * math.cos(a), r * math.sin(a)) for r, a in zip(reach, turns, strict=True)]


def ring(rng: random.Random, at: tuple, reach: float) -> list:
    """Return a ring about a point, turned anyhow, to a thousandth of a millimetre."""
    turn = rng.choice((0.0, rng.uniform(0, 2 * math.pi)))
    cosine, sine = reach * math.cos(turn), reach * math.sin(turn)
    return [
        [round(at[0] + x * cosine - y * sine, 3), round(at[1] + x * sine + y * cosine, 3)]
        for x, y in outline(rng)
    ]


def some(rng: random.Random, share: float, fields: dict) -> dict:
    """Return the fields that are given: each with a chance of `share`."""
    return {name: give() for name, give in fields.items() if rng.random() < share}


def panel(rng: random.Random, width: float, height: float) -> dict:
    """Return a panel with what is in it and near it, or none that was drawn."""
    if rng.random() < 0.3:
        return {}
    corners = [[0, 0], [width, 0], [width, height], [0, height]]
    if rng.random() < 0.3:
        corners[1:2] = [[width * 0.6, 0], [width * 0.6, height * 0.3], [width, height * 0.3]]

    def inside() -> tuple:
        return rng.uniform(0.2, 0.8) * width, rng.uniform(0.4, 0.8) * height

    def anywhere() -> list:
        return [rng.uniform(-0.1, 1.1) * width, rng.uniform(-0.1, 1.1) * height]

    def cool() -> dict:
        where = {"at": anywhere()} if rng.random() < 0.5 else {"line": [anywhere(), anywhere()]}
        name = rng.choice(("fuel line", "wiring", "brake line", ""))
        return {"name": name, **where, **some(rng, 0.5, {"limit": lambda: rng.uniform(25, 400)})}

    def several(give) -> list:
        return [give() for _ in range(rng.randint(1, 3))]

    return {"outline": corners} | some(
        rng,
        0.3,
        {
            "holes": lambda: several(lambda: ring(rng, inside(), rng.uniform(5, 60))),
            "protect": lambda: several(cool),
            "mountings": lambda: several(lambda: {"name": "belt", "at": anywhere()}),
        },
    )


def patch(rng: random.Random, width: float, height: float) -> dict:
    def folds() -> list:
        y = rng.uniform(0, height)
        line = [[0, y], [width, y + rng.uniform(-50, 50)]]
        angle = rng.uniform(1, 170)
        toward = (None, "face", "back")[int(angle) % 3]
        return [{"line": line, "angle": angle, "radius": rng.uniform(1, 5), "toward": toward}]

    return some(rng, 0.25, {"folds": folds}) | some(
        rng,
        0.4,
        {
            "margin": lambda: length(rng, 60, 200),
            "shape": lambda: rng.choice(("follow", "hull", "box")),
            "corner_radius": lambda: length(rng, 60, 200),
            "gap": lambda: length(rng, 3, 10),
            "overlap": lambda: rng.uniform(3, 100),
            "web": lambda: length(rng, 200),
        },
    )


def bent(rng: random.Random, data: dict, width: float) -> None:
    """Make a job's panel one with bends that rise and fall along x, its patch one with a lip."""
    count, drawn = rng.randint(1, 4), "outline" in data["panel"]
    before = 0.0 if drawn else 300.0
    each = (width + 100 + 2 * before) / (count + 1)
    at, heading, points = (0.0, 0.0), 0.0, [[0.0, 0.0]]
    for _ in range(count + 1):
        at = at[0] + each * math.cos(heading), at[1] + each * math.sin(heading)
        points.append(list(at))
        heading = 0.0 if heading else rng.choice((-1, 1)) * rng.uniform(0.1, 1.7)
    data["panel"]["profile"] = {
        "points": points,
        "radii": [rng.uniform(1, 12) for _ in range(count)],
        "start": -before,
        "face": rng.choice(("left", "right")),
        "measured": rng.choice(("outside", "face", "back", "inside", "tape")),
    } | some(
        rng,
        0.5,
        {
            "k": lambda: rng.uniform(0.25, 0.5),
            "closed": lambda: [rng.random() < 0.5 for _ in range(count + 1)],
            "positions": lambda: [
                rng.choice(("flat", "vertical", "overhead")) for _ in range(count + 1)
            ],
        },
    )
    data["patch"].pop("folds", None)
    if drawn and rng.random() < 0.5:
        outline = data["panel"]["outline"]
        data["patch"]["lips"] = [
            {"edge": [start, end], "width": rng.uniform(25, 60), "toward": "back"}
            for start, end in zip(outline, [*outline[1:], outline[0]], strict=True)
        ]
    if data["patch"]["joint"] != "butt" and rng.random() < 0.5:
        data["patch"]["joggle"] = {"on": rng.choice(("panel", "patch")), "run": rng.uniform(12, 30)}


def weld(rng: random.Random, process: str, role: str) -> dict:
    gas = GASES[process]
    given = some(
        rng,
        0.2,
        {
            "wire": lambda: rng.uniform(0.5, 3.2),
            "current": lambda: rng.uniform(5, 400),
            "voltage": lambda: rng.uniform(5, 40),
            "travel": lambda: rng.uniform(20, 3000),
            "stitch": lambda: rng.uniform(3, 500),
            "tack": lambda: rng.uniform(5, 1000),
            "interpass_limit": lambda: rng.uniform(30, 300),
            "pre_flow": lambda: rng.uniform(0, 10),
            "post_flow": lambda: rng.uniform(0, 60),
            "plug_pitch": lambda: rng.uniform(26, 500),
            **({"gas": lambda: rng.choice(gas), "flow": lambda: rng.uniform(0, 40)} if gas else {}),
            **({"spacing": lambda: rng.uniform(0, 500)} if role == "skin" else {}),
        },
    )
    fills = ["stitch"] if process == "141" else ["stitch", "dots"]
    return given | {"process": process, "fill": rng.choice(fills)}


def shop(rng: random.Random) -> dict:
    def cylinder() -> dict:
        return {"water_volume": rng.uniform(0.2, 200), "pressure": rng.uniform(0, 300)}

    return some(
        rng,
        0.4,
        {
            "labour_rate": lambda: rng.choice((0, rng.uniform(0, 300))),
            "skill": lambda: rng.choice(("first", "practised", "trade")),
            "tax": lambda: rng.uniform(0, 100),
            "spool": lambda: rng.uniform(50, 50_000),
            "cylinder": cylinder,
            "prices": lambda: {rng.choice(PRICED): rng.uniform(0, 90)},
        },
    )


def job_data(rng: random.Random) -> dict:
    """Return the data of a job; most are valid, the others are refused in words."""
    width, height = rng.uniform(200, 2000), rng.uniform(200, 2000)
    reach = [10 ** rng.uniform(0.5, 2.3) for _ in range(rng.randint(1, 4))]
    process, joint = rng.choice(list(GASES)), rng.choice(("butt", "lap", "plug"))
    sheet = {
        "thickness": rng.choice((rng.choice(SHEETS), round(rng.uniform(0.4, 4), 2))),
        "position": rng.choice(("flat", "vertical", "overhead")),
        "role": rng.choice(("skin", "floor", "structural")),
    } | some(
        rng,
        0.4,
        {
            "coating": lambda: rng.choice(("bare", "zinc", "painted")),
            "back_access": lambda: rng.random() < 0.5,
            "beneath": lambda: rng.uniform(0.4, 6),
        },
    )

    def place(far: float, side: float) -> float:
        return rng.uniform(min(far, side / 2), max(side - far, side / 2))

    data = {
        "format": "sheetkit-job/1",
        "title": "drawn at random",
        "sheet": sheet,
        "panel": panel(rng, width, height),
        "rust": [
            {
                "ring": ring(rng, (place(far, width), place(far, height)), far),
                "grade": rng.choice(("holed", "pitted")),
            }
            for far in reach
        ],
        "patch": patch(rng, width, height) | {"joint": joint},
        "weld": weld(rng, process, sheet["role"]),
        "shop": shop(rng),
    }
    if joint == "plug" and rng.random() < 0.3:
        data["weld"]["plug_hole"] = rng.uniform(3, 13)
        data["patch"]["overlap"] = rng.uniform(15.1, 100)
    if rng.random() < 0.2:  # drawn last, so that the other jobs are those they were
        bent(rng, data, width)
    return data
