"""Speed, as ratios between programs in one run on one machine."""

import time

import adi
import cases
import numpy as np
import pytest

from sheetkit.heat import placing
from sheetkit.heat.sheet_model import SheetModel, kernels


def shortest(work, repeats):
    """Return the shortest wall time of `work`, s, and its last result."""
    best = np.inf
    for _ in range(repeats):
        begin = time.perf_counter()
        result = work()
        best = min(best, time.perf_counter() - begin)
    return best, result


def medians(rounds, **works):
    """Return the median processor time of each piece of work, s, one after the other in turn."""
    taken = {name: [] for name in works}
    for _ in range(rounds):
        for name, work in works.items():
            begin = time.process_time()
            work()
            taken[name].append(time.process_time() - begin)
    return {name: float(np.median(times)) for name, times in taken.items()}


def told(what, found):
    """Print and return how many times longer another program takes: solving, with building."""
    solve = found["theirs"] / found["ours"]
    whole = (found["theirs"] + found["they_build"]) / (found["ours"] + found["we_build"])
    print(
        f"\n{what}: sheetkit builds in {1000 * found['we_build']:.1f} ms and solves in "
        f"{1000 * found['ours']:.2f} ms, the other {1000 * found['they_build']:.0f} and "
        f"{1000 * found['theirs']:.0f} ms: {solve:.0f} times, {whole:.0f} times with building"
    )
    return solve, whole


def build_six():
    """Build the 6-stitch case at 4 mm graded, from nothing."""
    placing._tracks.cache_clear()
    return cases.model(4.0)


def solver_of(sheet):
    """Return a function that marches the 6-stitch case."""
    first, state = len(cases.TACKS), cases.tacked(sheet)

    def run():
        timing = sheet.play(first + np.arange(6), cases.STARTS, state=state)
        sheet.cool(timing.state, cases.UNTIL - timing.state.clock)

    run()
    return run


def test_two_hundred_times_scikit_fem():
    """Bilinear elements on the same lines and in the same steps."""
    pytest.importorskip("skfem")
    found = medians(
        3, we_build=build_six, ours=solver_of(build_six()),
        they_build=lambda: cases.FiniteElements(4.0),
        theirs=lambda: cases.FiniteElements(4.0).solve(cases.growing_steps(), lambda *_: None),
    )  # fmt: skip
    found["theirs"] -= found["they_build"]
    solve, whole = told("scikit-fem, box seam", found)
    assert solve >= 200 and whole >= 50


@pytest.mark.parametrize("kind", ["wide", "edge", "protected"])
def test_a_seam_of_300_vertices_against_scikit_fem_at_the_same_error(kind):
    """The coarsest triangles, of four choices, whose error is no larger than sheetkit's."""
    pytest.importorskip("skfem")
    from triangles import Triangles

    def build():
        placing._tracks.cache_clear()
        return SheetModel(cases.curved(kind))

    sheet = build()
    welds = list(zip(sheet.stitches, cases.CURVED_STARTS, strict=True))
    until = float(cases.CURVED_STARTS[-1] + 3)

    def steps(*sizes):
        return cases.growing_steps(*sizes, welds=welds, until=until)

    fine = Triangles(sheet, rays=400, layers=(18, 28)).readings(steps(0.3, 1.2, 6.0))

    def error(readings):
        return float(np.sqrt(np.mean((readings - fine)[1:] ** 2)))

    ours = error(cases.curved_readings(sheet))
    choice = {"rays": 300, "layers": (14, 22)}
    for rays, layers in ((150, (10, 14)), (100, (8, 10)), (75, (6, 8))):
        theirs = error(Triangles(sheet, rays=rays, layers=layers).readings(steps()))
        if theirs > ours:
            break
        choice = {"rays": rays, "layers": layers}
    mesh = [Triangles(sheet, **choice)]

    def build_theirs():
        mesh[0] = Triangles(sheet, **choice)

    found = medians(
        3, we_build=build, ours=lambda: cases.curved_readings(sheet), they_build=build_theirs,
        theirs=lambda: mesh[0].readings(steps()),
    )  # fmt: skip
    solve, whole = told(f"scikit-fem, curved, {kind}, {choice['rays']} rays, {ours:.2f} K", found)
    assert ours < 1.5 and solve >= 100 and whole >= 20


def test_a_thousand_times_fipy():
    """Implicit cells on the same lines and in the same steps; kerf faces get coefficient 0."""
    fipy = pytest.importorskip("fipy")
    built = time.process_time()
    x, y = cases.lines(4.0)
    mesh = fipy.Grid2D(dx=np.diff(x), dy=np.diff(y)) + [[x[0]], [y[0]]]
    faces = np.array(mesh.faceCenters)
    x0, y0, x1, y1 = cases.PATCH
    s = np.full(faces.shape[1], np.nan)
    for n, (fx, fy) in enumerate(faces.T):
        for along, length, on in (
            (fx - x0, 0, np.isclose(fy, y0)), (fy - y0, 100, np.isclose(fx, x1)),
            (x1 - fx, 180, np.isclose(fy, y1)), (y1 - fy, 280, np.isclose(fx, x0)),
        ):  # fmt: skip
            if on and x0 - 1e-9 <= fx <= x1 + 1e-9 and y0 - 1e-9 <= fy <= y1 + 1e-9:
                s[n] = length + along
    conduct = fipy.FaceVariable(mesh=mesh, value=np.where(np.isnan(s), cases.K, 0.0))
    rise = fipy.CellVariable(mesh=mesh, value=0.0, hasOld=True)
    source = fipy.CellVariable(mesh=mesh, value=0.0)
    term = fipy.TransientTerm(cases.CAPACITY) == (
        fipy.DiffusionTerm(coeff=conduct) - fipy.ImplicitSourceTerm(cases.FILM) + source
    )
    import shapely

    cells = np.array(mesh.cellCenters)

    def close(weld):
        a, b = sorted(shapely.line_locate_point(cases.SEAM, shapely.points(weld.path)))
        conduct.value = np.where((s >= a) & (s <= b), cases.K, conduct.value)

    for tack in cases.TACKS:
        close(tack)
    begin = time.process_time()
    for start, end, weld, share in cases.growing_steps():
        heat = np.zeros(cells.shape[1])
        if weld is not None:
            if share[0] == 0:
                close(weld)
            middle = weld.at(np.array([np.mean(share)]))[0]
            near = np.argsort(np.hypot(*(cells - middle[:, None])))[:2]
            heat[near] = weld.energy_j * (share[1] - share[0]) / 2 / (end - start)
        source.value = heat / np.array(mesh.cellVolumes)
        rise.updateOld()
        term.solve(var=rise, dt=end - start)
    found = {"theirs": time.process_time() - begin, "they_build": begin - built}
    held = float((np.array(rise.value) * np.array(mesh.cellVolumes)).sum()) * cases.CAPACITY
    assert 0.1 * 12_000 < held < 0.9 * 12_000
    found |= medians(9, we_build=build_six, ours=solver_of(build_six()))
    solve, whole = told("FiPy, box seam", found)
    assert solve >= 500 and whole >= 50


def test_half_of_the_triad_bandwidth():
    """A stage reads six arrays and writes one; against a = b + s c of the same bytes in all."""
    import numba

    kernel = kernels().flow
    kernel_stage = kernel.stage
    shape = adi.hour()[0].grid.shape
    rng = np.random.default_rng(1)
    older, last, rate, east, north, inverse = (
        rng.random(shape, dtype=np.float32) for _ in range(6)
    )
    five = np.array([0.9, -0.1, 0.01, 0.02, 0.9], np.float32)
    arrays = (older, last, rate, east, north, inverse)

    @numba.njit
    def stages(a, b, c, d, e, f, five, count):
        for _ in range(count):
            kernel_stage(a, b, c, d, e, f, five[0], five[1], five[2], five[3], five[4])

    @numba.njit(fastmath=True)
    def triad(a, b, c, factor, count):
        for _ in range(count):
            for n in range(a.size):
                a[n] = b[n] + factor * c[n]

    size = 6 * shape[0] * shape[1] // 3
    a, b, c = (rng.random(size, dtype=np.float32) for _ in range(3))
    triad(a, b, c, np.float32(0.5), 1)
    stages(*arrays, five, 1)
    seconds, _ = shortest(lambda: stages(*arrays, five, 200), 30)
    ours = 7 * 4 * older.size * 200 / seconds
    seconds, _ = shortest(lambda: triad(a, b, c, np.float32(0.5), 200), 30)
    theirs = 3 * 4 * size * 200 / seconds
    print(f"\nstage {ours / 1e9:.0f} GB/s, triad {theirs / 1e9:.0f} GB/s: {ours / theirs:.2f}")
    assert ours >= 0.5 * theirs


def test_an_hour_with_sixty_stitches_against_adi_in_numpy():
    """Under a tenth of the wall time of alternating directions in numpy at no larger error.

    The alternating-direction run takes the longest even step whose error at
    the next start isn't above sheetkit's; both against steps of 0.05 s or so.
    """
    sheet, order, starts = adi.hour()
    sheet.play(order, starts)
    ours, timing = shortest(lambda: sheet.play(order, starts), 3)
    reference = adi.own_readings(sheet, order, starts, steps=(0.1, 1.05, 1.0))
    own_error = np.sqrt(np.mean((adi.own_readings(sheet, order, starts) - reference) ** 2))
    for step in (16.0, 8.0, 4.0, 2.0, 1.0, 0.5, 0.25):
        begin = time.perf_counter()
        readings = adi.march(sheet, order, starts, step)
        theirs = time.perf_counter() - begin
        error = np.sqrt(np.mean((readings - reference) ** 2))
        print(f"\nADI step {step} s: {theirs:.2f} s, error {error:.3f} K (own {own_error:.3f} K)")
        if error <= own_error or (theirs > 40 * ours and error <= 3 * own_error):
            break
    print(f"sheetkit {1000 * ours:.0f} ms, ADI {theirs:.2f} s: {theirs / ours:.0f} times")
    assert timing.end_s > 3000
    assert ours < theirs / 10
