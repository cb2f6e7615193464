"""What a seam's shrinkage leaves in the sheet, against closed forms worked out here."""

import numpy as np
import pytest
import shapely
from shapely import LineString, Point

from sheetkit.base.steel import POISSON, YOUNG_MPA
from sheetkit.pull.membrane import Membrane
from sheetkit.pull.mesh import meshed

FORCE_N, T, R, OUTER, STRIP = 20_000.0, 1.0, 60.0, 240.0, 16.0
ALONG = LineString([(0, 50), (600, 50)])
ROUND = LineString(Point(0, 0).buffer(R, quad_segs=64).exterior.coords)
KAPPA = (OUTER**2 + R**2) / (OUTER**2 - R**2) + POISSON


@pytest.fixture(scope="module")
def strip():
    """A strip 600 mm long and 100 mm wide with a seam along its middle."""
    mesh = meshed(shapely.box(0, 0, 600, 100), [ALONG], size_mm=4.0)
    return mesh, Membrane(mesh, T).pulled_along([ALONG], FORCE_N, STRIP)


@pytest.fixture(scope="module")
def ring():
    """A round patch in a round panel."""
    mesh = meshed(Point(0, 0).buffer(OUTER, quad_segs=64), [ROUND], size_mm=3.0)
    return mesh, Membrane(mesh, T)


def within(mesh, radius):
    return np.linalg.norm(mesh.points[mesh.triangles].mean(axis=1), axis=1) < radius


def test_far_from_its_ends_a_strip_is_squeezed_evenly(strip):
    mesh, stress = strip
    middle = mesh.points[mesh.triangles].mean(axis=1)
    middle = (np.abs(middle[:, 0] - 300) < 120) & (np.abs(middle[:, 1] - 50) > STRIP / 2 + 8)
    nx, ny, nxy = stress.force_n_mm[middle].T
    assert nx == pytest.approx(-FORCE_N / 100, rel=0.04)
    assert nx.mean() == pytest.approx(-FORCE_N / 100, rel=0.01)
    assert np.abs(ny).max() < 0.03 * FORCE_N / 100 and np.abs(nxy).max() < 0.03 * FORCE_N / 100


def test_its_middle_gets_shorter_by_force_over_stiffness(strip):
    mesh, stress = strip
    chain = mesh.chains[0]
    x, moved = mesh.points[chain][:, 0], stress.moved_mm[chain][:, 0]
    shorter = np.interp(200, x, moved) - np.interp(400, x, moved)
    assert shorter == pytest.approx(FORCE_N * 200 / (YOUNG_MPA * 100 * T), rel=0.01)


def test_what_holds_itself_does_no_work(strip, ring):
    """The stress is in balance, so its energy is what the free strains lack: both sums agree."""
    round_mesh, membrane = ring
    pulled = membrane.pulled_along([ROUND], FORCE_N, STRIP)
    for mesh, stress in (strip, (round_mesh, pulled)):
        whole = np.einsum("ek,ek,e->", stress.force_n_mm, stress.free_strain, mesh.areas)
        nx, ny, nxy = stress.force_n_mm.T
        squares = (nx**2 + ny**2 - 2 * POISSON * nx * ny + 2 * (1 + POISSON) * nxy**2) * mesh.areas
        assert squares.sum() / (YOUNG_MPA * T) == pytest.approx(-whole, rel=1e-6)


def test_a_ring_squeezes_its_patch(ring):
    mesh, membrane = ring
    stress = membrane.pulled_along([ROUND], FORCE_N, STRIP)
    inside = FORCE_N / R * KAPPA / (KAPPA + 1 - POISSON)
    nx, ny, nxy = stress.force_n_mm[within(mesh, 0.7 * R)].T
    assert nx == pytest.approx(-inside, rel=0.02) and ny == pytest.approx(-inside, rel=0.02)
    assert np.abs(nxy).max() < 0.02 * inside
    # outside the sum of both stresses is the same everywhere
    outside = ~within(mesh, 1.3 * R)
    both = -2 * (FORCE_N / R - inside) * R**2 / (OUTER**2 - R**2)
    found = stress.force_n_mm[outside][:, :2].sum(axis=1)
    assert np.average(found, weights=mesh.areas[outside]) == pytest.approx(both, rel=0.05)


def test_drawn_together_across_it_stretches_its_patch(ring):
    mesh, membrane = ring
    stress = membrane.pulled_across(mesh.chains, 0.2)
    stretched = 0.2 * YOUNG_MPA * T / (R * (KAPPA + 1 - POISSON))
    nx, ny, _ = stress.force_n_mm[within(mesh, 0.7 * R)].T
    assert nx == pytest.approx(stretched, rel=0.03) and ny == pytest.approx(stretched, rel=0.03)


def test_a_body_takes_its_part():
    """A strip between two walls of given give: the pull is shared by stiffness."""
    mesh = meshed(shapely.box(0, 0, 600, 100), [ALONG], size_mm=4.0)
    ends = mesh.points[mesh.sides[mesh.rim]].mean(axis=1)[:, 0]
    held = mesh.rim[(ends < 1) | (ends > 599)]
    stress = Membrane(mesh, T, held, 150.0).pulled_along([ALONG], FORCE_N, STRIP)
    middle = mesh.points[mesh.triangles].mean(axis=1)
    middle = (np.abs(middle[:, 0] - 300) < 120) & (np.abs(middle[:, 1] - 50) > STRIP / 2 + 8)
    # springs of 150 mm of sheet at both ends, in a row with the strip's 600 mm
    share = (2 * 150) / (600 + 2 * 150)
    assert stress.force_n_mm[middle][:, 0].mean() == pytest.approx(-FORCE_N / 100 * share, rel=0.04)
