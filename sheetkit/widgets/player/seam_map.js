// The seam drawn to scale, its stitches numbered.

import { svgNode } from "../elements.js";

const READABLE_PX = 11;

/** A finger is this wide, px: whatever lies nearest within half of it is meant. */
export const TARGET_PX = 44;

function distance([x, y], [ax, ay], [bx, by]) {
  const [dx, dy] = [bx - ax, by - ay];
  const along = Math.min(Math.max(((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1), 0), 1);
  return Math.hypot(x - ax - along * dx, y - ay - along * dy);
}

/** The stitch nearest to a point in mm that counts, no further than `reach`; -1 for none. */
export function nearest(stitches, point, reach, counts = () => true) {
  let [found, least] = [-1, reach];
  stitches.forEach(({ path }, n) => {
    if (!counts(n)) return;
    for (let k = 0; k + 1 < path.length; k += 1) {
      const far = distance(point, path[k], path[k + 1]);
      if (far < least) [found, least] = [n, far];
    }
  });
  return found;
}

const points = (path) => path.map(([x, y]) => `${x},${-y}`).join(" ");

// The seam to scale.  `states` of show(): one of "done", "now", "next", "" for each stitch;
// `labels`: the text beside each.
export function seamMap(scene, { size = 1, label = "Map of the stitches" } = {}) {
  const [left, bottom, right, top] = scene.box;
  const width = right - left;
  const height = top - bottom;
  const svg = svgNode("svg", {
    viewBox: `${left} ${-top} ${width} ${height}`, class: "sk-seam", role: "img", "aria-label": label,
  });
  const many = scene.stitches.length;
  const px = Math.max(width, height) / 640;
  // in large print only the next number stands, so it has room
  const text = size > 1 ? 22 * px * size
    : Math.min((many > 70 ? 0.019 : many > 30 ? 0.026 : 0.034) * Math.max(width, height), 9);
  for (const seam of scene.seams) {
    svg.append(svgNode("polyline", { points: points(seam), class: "sk-kerf", "stroke-width": 1.5 * px }));
  }
  const groups = scene.stitches.map((stitch) => {
    const group = svgNode("g", { class: "sk-stitch", "data-stitch": stitch.stitch });
    const plug = stitch.path.every(([x, y]) => x === stitch.path[0][0] && y === stitch.path[0][1]);
    const wide = plug ? 12 : 7;
    const line = { points: points(stitch.path), "stroke-linecap": plug ? "round" : "butt" };
    group.append(
      svgNode("polyline", { ...line, class: "sk-hit", "stroke-width": 34 * px }),
      svgNode("polyline", { ...line, class: "sk-edge", "stroke-width": (wide + 4) * px }),
      svgNode("polyline", { ...line, class: "sk-core", "stroke-width": wide * px }),
    );
    const number = svgNode("text", { "text-anchor": "middle", "dominant-baseline": "central" });
    const ring = svgNode("circle", {
      cx: stitch.at[0], cy: -stitch.at[1], r: 17 * px * size, class: "sk-ring",
      "stroke-width": 4 * px * size,
    });
    group.append(ring, number);
    svg.append(group);
    return { group, number, wide };
  });

  /** Put the numbers beside their stitches, in print of this height, mm; one that has no room is left out. */
  function numbered(high) {
    const taken = [];
    groups.forEach(({ group, number: shown, wide }, n) => {
      const { at, away } = scene.stitches[n];
      // in large print the number stands inside the patch, where there is room for it
      const near = high * 0.95 + wide * px;
      const outs = size > 1 ? [-(high * 0.75 + 17 * px * size)]
        : many > 30 && n % 2 ? [near + high, near, -near] : [near, near + high, -near];
      const places = outs.map((out) => [at[0] + away[0] * out, at[1] + away[1] * out]);
      // two digits are wider than high; where two numbers would meet, the next place is taken
      const free = ([x, y]) => taken.every(([u, v]) => Math.abs(x - u) > 1.35 * high || Math.abs(y - v) > high);
      const found = places.find(free);
      const place = found ?? places[0];
      if (found) taken.push(place);
      const attributes = { x: place[0], y: -place[1], "font-size": high, "stroke-width": high * 0.28 };
      for (const [name, value] of Object.entries(attributes)) shown.setAttribute(name, value);
      group.dataset.crowded = String(!found && size === 1 && high > text);
    });
  }
  numbered(text);
  for (const [x, y] of scene.tacks) {
    svg.append(svgNode("circle", {
      cx: x, cy: -y, r: 2.8 * px, class: "sk-tack", "stroke-width": 1.2 * px,
    }));
  }
  return {
    svg, groups,
    /** The stitch meant by a click: the one pressed by a key or a reader, else the nearest. */
    meant(event, counts) {
      const own = event.target.closest?.(".sk-stitch");
      if (event.detail === 0 && own) return groups.findIndex(({ group }) => group === own);
      const { a, d, e, f } = svg.getScreenCTM(); // drawn straight: nothing is turned
      const at = [(event.clientX - e) / a, -(event.clientY - f) / d];
      return nearest(scene.stitches, at, TARGET_PX / 2 / a, counts);
    },
    /** Keep the numbers large enough to be read where the map is shown so many px wide. */
    fit(wide) {
      if (wide && size === 1) numbered(Math.max(text, (READABLE_PX * width) / wide));
    },
    show(states, labels) {
      groups.forEach(({ group, number }, n) => {
        group.setAttribute("class", `sk-stitch ${states[n] ? `sk-${states[n]}` : ""}`);
        number.textContent = labels[n];
      });
    },
  };
}
