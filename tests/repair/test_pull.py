"""What a job's seam pulls: what moves it, what it is told, and what it leaves open."""

import pytest
import shapely

import sheetkit as sk
from sheetkit.repair.plan import with_plan
from sheetkit.repair.pull import across, force, gap_left, pull

RING = [[300, 300], [420, 300], [420, 380], [300, 380]]
OUTLINE = [[0, 0], [700, 0], [700, 600], [0, 600]]


def job(**parts):
    data = {
        "format": "sheetkit-job/1",
        "sheet": {"thickness": 1.0},
        "panel": {"outline": OUTLINE, "edges": "held"} | parts.pop("panel", {}),
        "rust": [{"ring": RING}],
    }
    return sk.Job.from_data(data | parts)


def likely(one):
    return pull(sk.estimate(one)).index.likely


@pytest.fixture(scope="module")
def usual():
    result = sk.estimate(job())
    return result, pull(result)


def test_force_strip_and_stretch_by_hand(usual):
    result, found = usual
    heat = 1000 * result.values["heat_input_kj_per_mm"]
    assert found.along_kn.likely == pytest.approx(0.2 * heat)
    assert found.strip_mm.likely == pytest.approx(0.2 * heat * 1000 / 200)
    assert found.stretch_mm_per_m.likely == pytest.approx(1e6 * 0.2 * heat / (210_000 * 25))
    assert found.strip_mm.low < found.strip_mm.likely < found.strip_mm.high
    assert found.along_kn.low < 0.18 * heat and found.along_kn.high > 0.235 * heat


def test_crosswise_forms_stand_side_by_side(usual):
    result, found = usual
    area, gap = result.values["section_mm2"], result.values["gap_mm"]
    printed = dict(found.across_mm)
    assert printed["0.1 Aw / t"].likely == pytest.approx(0.1 * area)
    assert printed["0.2 Aw / t + 0.05 d"].low == pytest.approx(0.18 * area + 0.05 * gap)
    assert printed["0.2 Aw / t + 0.05 d"].high == pytest.approx(0.2 * area + 0.05 * gap)
    heat = result.values["heat_input_kj_per_mm"]
    assert printed["alpha Q / (rho c t)"].likely == pytest.approx(1.2e-2 * heat / 4.71e-3)
    left = found.gap_left_mm
    assert left.high == gap and left.low == pytest.approx(
        gap - max(one.high for one in printed.values())
    )
    lap = sk.estimate(job(patch={"joint": "lap"}))
    assert [name for name, _ in across(lap)] == ["alpha Q / (rho c t)"] and gap_left(lap) is None


def test_what_pulls_less(usual):
    _, found = usual
    base = found.index.likely
    assert likely(job(weld={"travel": "600 mm/min"})) < base  # quicker
    assert likely(job(weld={"current": 40})) < base
    assert likely(job(patch={"margin": 12})) < base  # smaller
    two = {"stiff": [{"line": [[0, y], [700, y]]} for y in (270, 410)]}
    assert likely(job(panel=two)) < base
    swage = {"swages": [{"line": [[0, 340], [700, 340]], "width": 20, "depth": 5}]}
    fold = {"stiff": [{"line": [[0, 340], [700, 340]]}]}
    assert likely(job(panel=fold)) < likely(job(panel=swage)) < base
    hot = job(sheet={"thickness": 1.5}, weld={"current": 55, "voltage": 16, "travel": 350})
    cool = job(sheet={"thickness": 1.0}, weld={"current": 55, "voltage": 16, "travel": 350})
    assert likely(hot) < likely(cool)  # the same heat in thicker sheet


def test_dots_pull_by_their_heat():
    ways = [sk.estimate(job(weld={"fill": fill})) for fill in ("stitch", "dots")]
    pulls = [force(result)[0].likely for result in ways]
    heats = [result.values["heat_input_kj_per_mm"] for result in ways]
    assert pulls[0] / pulls[1] == pytest.approx(heats[0] / heats[1])


def test_half_the_seam_welded_pulls_half():
    skin = {"thickness": 1.0, "role": "skin"}
    whole, half = (
        sk.estimate(job(sheet=skin, weld={"stitch": 20, "spacing": gap})) for gap in (0, 20)
    )
    share = half.values["welded_length_mm"] / half.values["seam_length_mm"]
    assert share < 0.8
    assert force(half)[0].likely == pytest.approx(share * force(whole)[0].likely)


def test_no_order_of_welds_is_in_it(usual):
    result, _ = usual
    names = set(force.__code__.co_names) | set(pull.__code__.co_names)
    assert not names & {"order", "tack_order", "plan"}
    order = sk.plan(result)
    assert pull(with_plan(result, order)).index == pull(result).index


def test_what_nobody_described_widens_the_range(usual):
    _, said = usual
    silent = pull(sk.estimate(job(panel={"edges": None})))
    assert said.assumed == () and silent.assumed == ("panel.edges",)
    assert silent.index.likely == pytest.approx(said.index.likely)
    assert silent.index.high > said.index.high
    bare = sk.Job.from_data({"format": "sheetkit-job/1", "sheet": {"thickness": 1.0},
                             "rust": [{"ring": RING}]})  # fmt: skip
    found = pull(sk.estimate(bare))
    assert found.assumed == ("panel.outline",)
    cut = sk.estimate(bare).patches[0].cut_line
    assert found.piece.sheet.bounds[0] == pytest.approx(cut.bounds[0] - 250)


def test_a_bent_panels_bends_and_a_patchs_folds_are_stiff():
    fold = {"folds": [{"line": [[250, 340], [470, 340]], "angle": 90}]}
    found = pull(sk.estimate(job(patch=fold)))
    assert [one.name for one in found.piece.stiff] == ["fold 1"]
    assert found.index.likely < likely(job())
    assert found.flat_mm < pull(sk.estimate(job())).flat_mm


def test_stopped_and_refused():
    result = sk.estimate(job())
    assert pull(result, stop=lambda: True) is None
    told = []
    assert pull(result, progress=lambda what, done, of: told.append((done, of))) is not None
    assert told[0][0] == 0 and told[-1][0] < told[-1][1]
    with pytest.raises(sk.JobRefused, match=r"panel\.edges"):
        job(panel={"edges": "glued"})
    with pytest.raises(sk.JobRefused, match=r"panel\.stiff\[0\]\.line"):
        job(panel={"stiff": [{"line": [[0, 0]]}]})
    assert shapely.Polygon(OUTLINE).equals(pull(result).piece.sheet)


def test_hammering_a_hotter_seam_takes_longer_within_the_dressings_own_range():
    def dressed(**parts):
        values = sk.estimate(job(**parts)).values
        return values["planishing_factor"], values["dressing_h"]

    usual = sk.estimate(job()).values
    volts, amps, led = (usual[n] for n in ("voltage_v", "current_a", "travel_mm_min"))
    same = {"current": amps, "voltage": volts, "travel": led}
    assert dressed() == pytest.approx(dressed(weld=same)) and dressed()[0] == 1.0
    hot = dressed(weld=same | {"travel": led / 1.5})
    assert hot[0] == pytest.approx(1 + 0.3 * 0.5) and hot[1] == pytest.approx(1.15 * dressed()[1])
    cold = dressed(weld=same | {"travel": led * 1.25})
    assert cold[0] == pytest.approx(1 - 0.3 * 0.2)
    assert dressed(weld=same | {"travel": led / 6})[0] == pytest.approx(1.05 / 0.6)  # floor, high
    row = sk.estimate(job(weld=same | {"travel": led / 1.5})).inputs["planishing_factor"]
    assert (row.low, row.high) == pytest.approx((1.05, 1.25)) and row.status == "guess"
    for parts in ({"patch": {"joint": "lap"}}, {"sheet": {"thickness": 1.0, "back_access": False}}):
        assert dressed(weld=same | {"travel": led / 1.5}, **parts)[0] == 1.0
