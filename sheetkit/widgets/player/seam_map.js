// The seam drawn to scale, its stitches numbered.

import { svgNode } from "../elements.js";

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
  const taken = [];
  const groups = scene.stitches.map((stitch, n) => {
    const group = svgNode("g", { class: "sk-stitch", "data-stitch": stitch.stitch });
    const plug = stitch.path.every(([x, y]) => x === stitch.path[0][0] && y === stitch.path[0][1]);
    const wide = plug ? 12 : 7;
    const line = { points: points(stitch.path), "stroke-linecap": plug ? "round" : "butt" };
    group.append(
      svgNode("polyline", { ...line, class: "sk-hit", "stroke-width": 34 * px }),
      svgNode("polyline", { ...line, class: "sk-edge", "stroke-width": (wide + 4) * px }),
      svgNode("polyline", { ...line, class: "sk-core", "stroke-width": wide * px }),
    );
    // in large print the number stands inside the patch, where there is room for it
    const near = text * 0.95 + wide * px;
    const outs = size > 1 ? [-(text * 0.75 + 17 * px * size)]
      : many > 30 && n % 2 ? [near + text, near, -near] : [near, near + text, -near];
    const places = outs.map((out) => [stitch.at[0] + stitch.away[0] * out, stitch.at[1] + stitch.away[1] * out]);
    // two digits are wider than high; where two numbers would meet, the next place is taken
    const free = ([x, y]) => taken.every(([u, v]) => Math.abs(x - u) > 1.35 * text || Math.abs(y - v) > text);
    const place = places.find(free) ?? places[0];
    taken.push(place);
    const number = svgNode("text", {
      x: place[0], y: -place[1],
      "font-size": text, "stroke-width": text * 0.28, "text-anchor": "middle",
      "dominant-baseline": "central",
    });
    const ring = svgNode("circle", {
      cx: stitch.at[0], cy: -stitch.at[1], r: 17 * px * size, class: "sk-ring",
      "stroke-width": 4 * px * size,
    });
    group.append(ring, number);
    svg.append(group);
    return { group, number };
  });
  for (const [x, y] of scene.tacks) {
    svg.append(svgNode("circle", {
      cx: x, cy: -y, r: 2.8 * px, class: "sk-tack", "stroke-width": 1.2 * px,
    }));
  }
  return {
    svg, groups,
    show(states, labels) {
      groups.forEach(({ group, number }, n) => {
        group.setAttribute("class", `sk-stitch ${states[n] ? `sk-${states[n]}` : ""}`);
        number.textContent = labels[n];
      });
    },
  };
}
