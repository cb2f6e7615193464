"""Cost of a job in a batch against its bare geometry, in one run: python -m pytest tests/benchmarks -s."""

import random
import time
from pathlib import Path

from shapely import LineString

import sheetkit as sk
from sheetkit.geometry import cut_line, seam
from sheetkit.geometry import patch as patching
from sheetkit.geometry.fold import Fold, developed
from sheetkit.workshop import many

DATA = Path(__file__).parents[2] / "data"
JOBS, BATCH = 10_000, 250


def mixed(count: int) -> list[sk.Job]:
    """The demo jobs, each with its margin drawn anew; shapes read before the clock starts."""
    bases = [sk.load(DATA / f"{name}.json") for name in ("trunk_floor", "footwell", "wheel_arch")]
    draw = random.Random(1)
    made = []
    for i in range(count):
        job = bases[i % 3].changed(patch__margin=f"{draw.uniform(25, 40):.2f} mm")
        job.rust_shape, job.panel_shape  # noqa: B018
        made.append(job)
    return made


def bare_shapes(job: sk.Job) -> float:
    """The shapes of a job straight by shapely: cuts, patches, seams, cover, folds, blanks."""
    choice, panel = job.patch, job.panel_shape
    joint = {"joint": choice.joint, "gap": job.gap, "overlap": choice.overlap, "panel": panel}
    folds = [Fold((f.line[0], f.line[-1]), f.angle, f.radius) for f in choice.folds]
    total = 0.0
    cuts = cut_line.cut_lines(
        job.rust_shape, margin=choice.margin, shape=choice.shape, corner_radius=choice.corner_radius,
        web=choice.web, panel=panel,
    )  # fmt: skip
    cut_line.covers(cuts, job.rust_shape, choice.margin, panel)
    for cut in cuts:
        piece = patching.pieces(cut, **joint)[0]
        total += sum(run.length for run in seam.seam_runs(cut, **joint))
        mine = [f for f in folds if LineString(f.line).intersects(piece)]
        patching.blank_size(developed(piece, mine, job.sheet.thickness)[0] if mine else piece)
    return total


def test_a_batched_job_costs_at_most_half_more_than_its_shapes():
    jobs = mixed(JOBS)
    many.rows(jobs[:BATCH])
    bare = batched = 0.0
    # turn and turn about, in processor time, so that a busy machine slows both alike
    for start in range(0, JOBS, BATCH):
        part = jobs[start : start + BATCH]
        t0 = time.process_time()
        seams = [bare_shapes(job) for job in part]
        t1 = time.process_time()
        rows = many.rows(part)
        t2 = time.process_time()
        bare, batched = bare + t1 - t0, batched + t2 - t1
        assert all(abs(r["seam_m"] - s / 1000) < 1e-9 for r, s in zip(rows, seams, strict=True))
    print(
        f"{JOBS} jobs: {1000 * bare / JOBS:.2f} ms of shapes, {1000 * batched / JOBS:.2f} ms with all "
        f"figures and ranges: {batched / bare:.2f} times"
    )
    assert batched <= 1.5 * bare
