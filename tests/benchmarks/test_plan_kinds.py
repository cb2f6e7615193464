"""Processor time and memory of plans along curved seams: one, two, near an edge, by a fuel line.

Every kind in turn, three times over, so that what else the computer does
falls on all alike; the middle of each is told, models apart and included.
"""

import resource
import statistics
import sys
import time

import shapely
from shapely import LineString
from test_planner import ring, runs_on

from sheetkit.heat.grid import GridChoice
from sheetkit.heat.rules import Rules
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.workpiece import Workpiece
from sheetkit.sequence.places import CoolPlace
from sheetkit.sequence.plan import plan_sequence
from sheetkit.sequence.planner import SearchChoice

ROUNDS = 3
MOST_S, MOST_MB = 6.0, 400


def curved(x, y, width, height, radius=60.0):
    """Return a rounded ring of some 300 corners."""
    box = shapely.box(x, y, x + width, y + height)
    return LineString(box.buffer(-radius).buffer(radius, quad_segs=75).exterior.coords)


def along(seams, counts):
    """Return tacks, two for three stitches, and stitches on each seam."""
    pairs = list(enumerate(zip(seams, counts, strict=True)))
    tacks = [run for _, (seam, count) in pairs for run in runs_on(seam, round(count * 0.65), 5)]
    return tacks, [run for _, (seam, count) in pairs for run in runs_on(seam, count, 24)]


LINE = CoolPlace("fuel line", LineString([(-60, -40), (430, -40)]), 80.0)
ONE = curved(0, 0, 370, 240)
KINDS = {
    "one seam": (None, [ONE], [44], ()),
    "two seams": (shapely.box(-150, -150, 620, 380),
                  [curved(0, 0, 200, 230), curved(260, 0, 210, 230)], [22, 22], ()),
    "12 mm from an edge": (shapely.box(-12, -150, 520, 400), [ONE], [44], ()),
    "by a fuel line": (None, [ONE], [44], (LINE,)),
}  # fmt: skip


def test_plans_along_curved_seams_of_every_kind():
    plan_sequence(Workpiece(None, [ring(60, 60)], 1.0, stitches=runs_on(ring(60, 60), 12)),
                  choice=SearchChoice(effort=0.02))  # fmt: skip
    taken: dict[str, list[tuple[float, float]]] = {name: [] for name in KINDS}
    told = {}
    for _ in range(ROUNDS):
        for name, (panel, seams, counts, protect) in KINDS.items():
            assert sum(len(seam.coords) for seam in seams) >= 300
            tacks, stitches = along(seams, counts)
            piece = Workpiece(panel, seams, 1.0, tacks, stitches)
            begin = time.process_time()
            for part in (1.0, 2.0, 0.5):
                SheetModel(piece, GridChoice(cell_mm=4.0 * part))
            built = time.process_time()
            told[name] = plan = plan_sequence(piece, protect, rules=Rules(60.0))
            taken[name].append((built - begin, time.process_time() - built))
            assert plan.verified_excess_c <= 1 and plan.gain >= 1
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    if sys.platform == "darwin":
        memory_mb /= 1024
    print(f"\nmost memory {memory_mb:.0f} MB")
    for name, rounds in taken.items():
        models_s, plan_s = (statistics.median(part) for part in zip(*rounds, strict=True))
        print(f"{name:20s} models alone {models_s:.2f} s, plan with its models {plan_s:.2f} s, "
              f"fill {told[name].total_s:.0f} s, at least {told[name].least_total_s:.0f} s")  # fmt: skip
        assert plan_s <= MOST_S, name
    assert memory_mb <= MOST_MB
