"""Another way to reckon the heat: two layers on an even grid, forward Euler, scipy's sparse product.

It shares nothing with the solver but the welds' paths, energies and seconds.  Each
sheet has its own temperature; where they lie on each other heat crosses through a
contact coefficient.  A butt joint is two sheets that lie beside each other.
"""

import math

import numpy as np
import scipy.sparse as sp
import shapely


class TwoSheets:
    """A panel and a patch on it (lap, plug) or in it (butt).

    piece : Workpiece with a panel: shapes, steel, losses and contact are taken from it
    joint : "butt", "lap" or "plug"; patch : where a butt joint's patch lies
    """

    def __init__(self, piece, joint, *, patch=None, cell=2.0):
        over, panel = piece.overlap, piece.panel
        hole = patch if over is None else over.hole
        patch = patch if over is None else over.patch
        thickness_mm = piece.thickness_mm if over is None else over.beneath_mm, piece.thickness_mm
        contact = 0.0 if over is None else over.contact_w_m2k
        faces = piece.losses.h_top, piece.losses.h_bottom
        k, c = piece.steel.conductivity_w_mk / 1000, piece.steel.heat_capacity_j_mm3k
        west, south, east, north = panel.bounds
        x = np.arange(west + cell / 2, east, cell)
        y = np.arange(south + cell / 2, north, cell)
        centre = np.stack(np.meshgrid(x, y), axis=-1)
        shapely.prepare(panel)
        on = shapely.contains_xy(panel, centre[..., 0], centre[..., 1])
        beneath = on & ~shapely.contains_xy(hole, centre[..., 0], centre[..., 1])
        above = on & shapely.contains_xy(patch, centre[..., 0], centre[..., 1])
        if joint == "butt":
            beneath &= ~above
        flat = np.arange(on.size).reshape(on.shape)
        self.joint, self.cell, self.k, self.size = joint, cell, k, 2 * on.size
        self.half, self.centre = on.size, centre.reshape(-1, 2)
        self.t = thickness_mm
        area = cell * cell
        self.capacity = np.concatenate([c * area * t * layer.ravel() for t, layer in
                                        zip(thickness_mm, (beneath, above), strict=True)])  # fmt: skip
        links = []
        for base, layer, t in ((0, beneath, thickness_mm[0]), (on.size, above, thickness_mm[1])):
            for a, b in ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[:-1], np.s_[1:])):
                both = layer[a] & layer[b]
                links.append((base + flat[a][both], base + flat[b][both], k * t))
        both = (beneath & above).ravel()
        pair = np.flatnonzero(both)
        links.append((pair, on.size + pair, contact * 1e-6 * area))
        top, bottom = (h * 1e-6 * area for h in faces)
        self.loss = np.concatenate([
            beneath.ravel() * (bottom + top * ~both), above.ravel() * (top + bottom * ~both),
        ])  # fmt: skip
        self.links = {}
        for one, two, g in links:
            if g:
                self.links |= {(int(a), int(b)): g for a, b in zip(one, two, strict=True)}
        self.beneath, self.above = beneath.ravel(), above.ravel()
        self._find_faces(piece.seams, flat)
        self.field = np.zeros(self.size)
        self.clock = 0.0
        self._assemble()

    def _find_faces(self, seams, flat):
        """Find the links of centres that cross a welded line: (patch cell, panel cell, where)."""
        found, where = [], []
        union = shapely.union_all(list(seams))
        near = shapely.distance(shapely.points(self.centre), union) < 2 * self.cell
        near = near.reshape(flat.shape)
        for a, b in ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[:-1], np.s_[1:])):
            some = near[a] & near[b]
            for one, two in zip(flat[a][some], flat[b][some], strict=True):
                if self.above[one] == self.above[two]:
                    continue
                inner, outer = (one, two) if self.above[one] else (two, one)
                if self.beneath[outer]:
                    found.append((inner, outer))
                    where.append(self.centre[[inner, outer]].mean(axis=0))
        self.faces = np.array(found).reshape(-1, 2)
        self.where = np.array(where).reshape(-1, 2)

    def _assemble(self):
        pairs = np.array(list(self.links))
        g = np.fromiter(self.links.values(), float, len(self.links))
        diagonal = self.loss.copy()
        np.add.at(diagonal, pairs[:, 0], g)
        np.add.at(diagonal, pairs[:, 1], g)
        inverse = np.divide(1, self.capacity, out=np.zeros(self.size), where=self.capacity > 0)
        self.inverse = inverse
        matrix = sp.coo_matrix((g, (pairs[:, 0], pairs[:, 1])), (self.size, self.size))
        matrix = matrix + matrix.T - sp.diags(diagonal)
        self.rate = (sp.diags(inverse) @ matrix).tocsr()
        self.dt = 0.9 / float((diagonal * inverse).max())

    def places(self, path):
        """Return (patch cells, panel cells) beside the kerf, or of both sheets at a plug."""
        if self.joint == "plug":
            away = np.hypot(*(self.centre - path.mean(axis=0)).T)
            disc = np.flatnonzero((away < 3.5) & self.above & self.beneath)
            return self.half + disc, disc
        line = shapely.linestrings(path)
        off = shapely.distance(shapely.points(self.where), line)
        mine = np.flatnonzero(off < 0.75 * self.cell)
        along = shapely.line_locate_point(line, shapely.points(self.where[mine]))
        mine = mine[np.argsort(along, kind="stable")]
        return self.half + self.faces[mine, 0], self.faces[mine, 1]

    def close(self, path):
        """Let heat cross where a weld joins the sheets."""
        upper, lower = self.places(path)
        for a, b in zip(upper.tolist(), lower.tolist(), strict=True):
            if self.joint == "butt":
                self.links[(a, b)] = self.k * min(self.t)
            elif self.joint == "plug":
                self.links[(a, b)] = min(self.k * self.cell**2 / np.mean(self.t), 2 * self.k)
            else:
                under = a - self.half
                g = [2 * self.k * t for t in (self.t[1], self.t[0], self.t[0])]
                star = {(0, 1): (a, b), (0, 2): (a, under), (1, 2): (b, under)}
                for (m, n), pair in star.items():
                    key = pair if pair in self.links else pair[::-1]
                    more = self.links.get(key, 0.0) if (m, n) == (0, 2) else 0.0
                    self.links[key] = g[m] * g[n] / sum(g) + more
        self._assemble()

    def march(self, span, *, source=None, read=None):
        """Go on for `span`; return the highest rise of the cells `read`."""
        steps = max(1, math.ceil(span / self.dt))
        dt, top = span / steps, -np.inf
        for n in range(steps):
            change = self.rate @ self.field
            if source is not None:
                source(change, n, steps, dt)
            self.field += dt * change
            if read is not None:
                top = max(top, float(self.field[read].max()))
        self.clock += span
        return top

    def weld(self, run):
        """Weld a run from now on."""
        self.close(run.path)
        upper, lower = self.places(run.path)
        cells = [upper, lower]
        if self.joint == "lap":
            cells.append(upper - self.half)

        def source(change, n, steps, dt):
            if self.joint == "plug":
                part = slice(None)
            else:
                at = int((n + 0.5) / steps * len(upper))
                part = slice(at, at + 1)
            watts = run.energy_j / run.duration_s
            for group in cells:
                some = group[part]
                np.add.at(change, some, watts / len(cells) / len(some) * self.inverse[some])

        self.march(run.duration_s, source=source)

    def replay(self, runs, order, start_s, *, ahead_s=20.0, first=0):
        """Weld in order at given starts; return the highest rise along each from then to later.

        Without its own heat, as the wait rule reads it; NaN before number `first`.
        """
        tops = np.full(len(order), np.nan)
        for n, (weld, start) in enumerate(zip(order, start_s, strict=True)):
            run = runs[weld]
            if start > self.clock + 1e-9:
                self.march(start - self.clock)
            if n >= first:
                read = np.concatenate(self.places(run.path))
                kept, clock = self.field.copy(), self.clock
                now = float(self.field[read].max())
                tops[n] = max(now, self.march(ahead_s, read=read))
                self.field, self.clock = kept, clock
            self.weld(run)
        return tops
