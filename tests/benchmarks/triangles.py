"""A curved seam by scikit-fem: triangles that follow it, doubled nodes for the kerf."""

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as spl
import shapely


class Triangles:
    """Linear triangles on rays from inside a star-shaped ring; nodes on it are doubled until welded.

    sheet : SheetModel of a box with one ring for a seam; rays : nodes along the seam
    layers : (inside, outside) rows of triangles, narrow beside the seam
    """

    def __init__(self, sheet, *, rays=300, layers=(14, 22)):
        import skfem
        from skfem.helpers import dot, grad

        self.seam = sheet.piece.seams[0]
        steel, losses = sheet.piece.steel, sheet.piece.losses
        t = sheet.piece.thickness_mm
        k, c = steel.conductivity_w_mk / 1000 * t, steel.heat_capacity_j_mm3k * t
        film = losses.faces * 1e-6
        self.s = self.seam.length * np.arange(rays) / rays
        on = shapely.get_coordinates(shapely.line_interpolate_point(self.seam, self.s))
        centre = np.asarray(shapely.Polygon(self.seam).representative_point().coords[0])
        west, south, east, north = sheet.piece.panel.bounds
        way = on - centre
        with np.errstate(divide="ignore"):
            far = np.minimum(
                np.where(
                    way[:, 0] > 0, (east - centre[0]) / way[:, 0], (west - centre[0]) / way[:, 0]
                ),
                np.where(
                    way[:, 1] > 0, (north - centre[1]) / way[:, 1], (south - centre[1]) / way[:, 1]
                ),
            )

        def grow(count):
            return np.cumsum(np.geomspace(1, 12, count)) / np.geomspace(1, 12, count).sum()

        rows = [on - grow(layers[0])[n] * way for n in range(layers[0] - 1)][::-1]
        rows += [on, on]
        rows += [on + (grow(layers[1])[n] * (far - 1))[:, None] * way for n in range(layers[1])]
        corners = np.array([[west, south], [east, south], [east, north], [west, north]])
        p = np.concatenate([[centre], *rows])
        inner = len(rows) - layers[1] - 2

        def node(row, ray):
            return 1 + row * rays + np.asarray(ray) % rays

        ray, cells = np.arange(rays), []
        cells.append(np.stack([np.zeros(rays, int), node(0, ray), node(0, ray + 1)]))
        for row in range(len(rows) - 1):
            if row == inner:  # between the two rows on the seam there is no sheet
                continue
            a, b, d, e = (
                node(row, ray),
                node(row, ray + 1),
                node(row + 1, ray),
                node(row + 1, ray + 1),
            )
            cells += [np.stack([a, d, e]), np.stack([a, e, b])]
        last = len(rows) - 1
        for corner in corners:  # the box's corners, beyond the rays beside them
            angle = np.arctan2(*(p[node(last, ray)] - centre).T[::-1])
            at = np.arctan2(*(corner - centre)[::-1])
            n = int(np.argmin((at - angle) % (2 * np.pi)))
            if np.hypot(*(p[node(last, n)] - corner)) > 1e-6:
                p = np.vstack([p, corner])
                cells.append(
                    np.array([[node(last, n)], [len(p) - 1], [node(last, n + 1)]]).astype(int)
                )
        self.inner, self.outer = node(inner, ray), node(inner + 1, ray)
        self.p = p.T
        tri = np.concatenate(cells, axis=1)
        x, y = self.p[:, tri]
        flip = (x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0]) < 0
        tri[1, flip], tri[2, flip] = tri[2, flip], tri[1, flip].copy()
        mesh = skfem.MeshTri(np.ascontiguousarray(self.p), np.ascontiguousarray(tri))
        basis = skfem.Basis(mesh, skfem.ElementTriP1())
        self.mass = skfem.BilinearForm(lambda u, v, w: c * u * v).assemble(basis)
        self.stiff = skfem.BilinearForm(
            lambda u, v, w: k * dot(grad(u), grad(v)) + film * u * v
        ).assemble(basis)
        self.joined = np.zeros(rays, bool)
        for weld in sheet.tacks:
            self.join(weld)

    def along(self, points):
        """Return where points lie along the seam, mm."""
        return shapely.line_locate_point(self.seam, shapely.points(points))

    def join(self, weld):
        """Weld the nodes of the seam along a weld together."""
        here = self.along(weld.at(np.linspace(0, 1, 60)))
        nearest = np.round(here / self.seam.length * len(self.s)).astype(int) % len(self.s)
        self.joined[nearest] = True

    def reduced(self):
        """Return the matrix that ties the welded twins together."""
        nodes = self.p.shape[1]
        to = np.arange(nodes)
        to[self.inner[self.joined]] = self.outer[self.joined]
        kept, number = np.unique(to, return_inverse=True)
        return sp.csr_matrix((np.ones(nodes), (np.arange(nodes), number)), (nodes, kept.size))

    def load(self, weld, begin, end):
        """Return nodal heat (J) of the part begin..end (shares) of a weld, half on each side."""
        s = (
            self.along(weld.at(begin + (end - begin) * (np.arange(40) + 0.5) / 40))
            / self.seam.length
        )
        at = s * len(self.s)
        n = np.floor(at).astype(int) % len(self.s)
        u, after = at - np.floor(at), (n + 1) % len(self.s)
        load = np.zeros(self.p.shape[1])
        for side in (self.inner, self.outer):
            np.add.at(load, side[n], (1 - u) * weld.energy_j * (end - begin) / 80)
            np.add.at(load, side[after], u * weld.energy_j * (end - begin) / 80)
        return load

    def readings(self, steps):
        """Return the highest rise along each stitch just before it starts, K."""
        gamma = 1 - 1 / np.sqrt(2)
        tie = self.reduced()
        small, known, found, value = np.zeros(tie.shape[1]), {}, [], None
        mass, stiff = (tie.T @ m @ tie for m in (self.mass, self.stiff))
        for begin, end, weld, share in steps:
            if weld is not None and share[0] == 0:
                value = tie @ small
                s = self.along(weld.at(np.linspace(0, 1, 21))) / self.seam.length * len(self.s)
                ring = np.arange(len(self.s) + 1)
                found.append(
                    max(
                        np.interp(s, ring, np.append(value[side], value[side[0]])).max()
                        for side in (self.inner, self.outer)
                    )
                )
                self.join(weld)
                tie = self.reduced()
                weight = np.asarray(tie.sum(axis=0)).ravel()
                small, known = (tie.T @ value) / weight, {}
                mass, stiff = (tie.T @ m @ tie for m in (self.mass, self.stiff))
            dt = end - begin
            key = round(dt, 9)
            if key not in known:
                known[key] = spl.splu((mass + gamma * dt * stiff).tocsc())
            power = tie.T @ self.load(weld, *share) / dt if weld is not None else 0.0
            first = known[key].solve(power - stiff @ small)
            second = known[key].solve(power - stiff @ (small + (1 - gamma) * dt * first))
            small = small + dt * ((1 - gamma) * first + gamma * second)
        return np.array(found)
