"""Which rows of the reference tables the code reads, over jobs of every kind; prints the dead ones.

It runs in a process of its own, where every look-up is watched.
"""

import itertools
import json
import sys
from pathlib import Path

from sheetkit.base import tables

read: set[tuple[str, str, str]] = set()
plain_index, plain_numbered = tables._index, tables._numbered


class Watched(dict):
    def __init__(self, table):
        super().__init__(plain_index(table))
        self.table = table

    def get(self, key, default=None):
        read.add((self.table, *key))
        return super().get(key, default)


indices = {table: Watched(table) for table in tables.table_names()}
tables._index = lambda table: indices[table] if table in indices else plain_index(table)


def numbered(table, quantity):
    read.update((table, row.name, quantity) for row in tables.rows(table))
    return plain_numbered(table, quantity)


tables._numbered = numbered

import sheetkit as sk  # noqa: E402
from sheetkit.heat.rules import Rules  # noqa: E402
from sheetkit.repair import rust_extent  # noqa: E402
from sheetkit.repair.left_out import assumed  # noqa: E402
from sheetkit.repair.plan import surroundings  # noqa: E402
from sheetkit.repair.pull import pull  # noqa: E402
from sheetkit.workshop import bottle_and_spool, compare, shopping, starter_kit  # noqa: E402

for module in [m for name, m in sys.modules.items() if name.startswith("sheetkit")]:
    for thing in vars(module).values():
        if hasattr(thing, "cache_clear"):
            thing.cache_clear()  # what was read as the modules were loaded is read again

RUST = [{"ring": [[300, 300], [500, 300], [500, 420], [300, 420]], "grade": "pitted"}]
PANEL = {
    "outline": [[0, 0], [1000, 0], [1000, 800], [0, 800]],
    "protect": [{"name": "wiring", "at": [520, 430]}],
    "mountings": [{"name": "belt", "at": [600, 300]}],
}


def job(process, joint, **parts):
    data = {
        "format": "sheetkit-job/1",
        "sheet": {"thickness": 1.0} | parts.get("sheet", {}),
        "surroundings": parts.get("surroundings", {}),
        "panel": PANEL,
        "rust": RUST,
        "patch": {"joint": joint} | parts.get("patch", {}),
        "weld": {"process": process} | parts.get("weld", {}),
        "shop": parts.get("shop", {}),
    }
    return sk.Job.from_data(data)


def results():
    for process, joint in itertools.product(("135", "136", "114", "141"), ("butt", "lap", "plug")):
        yield sk.estimate(job(process, joint))
        for role in ("skin", "structural"):
            yield sk.estimate(job(process, joint, sheet={"role": role, "back_access": False}))
    for position, skill in (("vertical", "first"), ("overhead", "trade")):
        shop = {"skill": skill}
        yield sk.estimate(job("135", "butt", sheet={"position": position}, shop=shop))
    for coating in ("bare", "zinc"):
        yield sk.estimate(job("135", "butt", sheet={"coating": coating}))
    for air in ("draught", "wind"):
        yield sk.estimate(job("135", "butt", surroundings={"air": air}))
    for process, group in (("135", "M20"), ("135", "C1"), ("136", "M20"), ("141", "I1")):
        yield sk.estimate(job(process, "butt", weld={"gas": group}))
    yield sk.estimate(job("135", "butt", patch={"gap": 2}, weld={"current": 60}))
    lip = {"edge": [[0, 0], [1000, 0]], "width": 15}
    yield sk.estimate(job("135", "butt", patch={"lips": [lip]}))
    for wire in (0.5, 0.6, 0.8, 0.9, 1.0, 1.2, 1.4, 1.6):
        yield sk.estimate(job("135", "butt", weld={"fill": "dots", "wire": wire}))


for result in results():
    result.cautions()
    surroundings(result.job).sides  # noqa: B018
    assumed(result)
    shopping.shopping_list(result)
    if result.usable_left_l is not None:
        bottle_and_spool.bottles_for(result)
compare.whole_panel(result.job)
shopping.stock_for([result])
rust_extent.with_extent(result, draws=100)
Rules()
pull(sk.estimate(job("135", "butt")))
for gauge in range(10, 29):
    job("135", "butt", sheet={"thickness": f"{gauge} gauge"})
starter_kit.kits()

WHOLE = {"real_gas", "lens_shades", "sheet_thicknesses"}
"""Tables that are gone through from end to end."""
CODE = "".join(file.read_text("utf-8") for file in Path(sk.__file__).parent.rglob("*.py"))
"""A limit whose name stands in the code is read where no job of these leads: in plans, in logs."""
ORIGINS = {"hours_per_metre"}
"""Rows of "labour" that the labour steps were shared out from."""
dead = [
    f"{row.table}: {row.name}, {row.quantity}"
    for table in tables.table_names()
    if table not in WHOLE
    for row in tables.rows(table)
    if (row.table, row.name, row.quantity) not in read
    and not row.name.startswith("check ")  # shown by starter_kit.checks
    and not (row.table == "limits" and f'"{row.name}"' in CODE)
    and not (row.table == "labour" and row.quantity in ORIGINS)
]
print(json.dumps(dead))
