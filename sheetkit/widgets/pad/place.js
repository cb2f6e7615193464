// Where the photo lies under the drawing.

import { rounded } from "./geometry.js";

/** Drawing point (mm) -> photo pixel, and back. */
export function toPhoto(place, point) {
  return [
    (point[0] - place.origin_mm[0]) / place.mm_per_px,
    place.size_px[1] - (point[1] - place.origin_mm[1]) / place.mm_per_px,
  ];
}

export function fromPhoto(place, px) {
  return [
    rounded(place.origin_mm[0] + px[0] * place.mm_per_px),
    rounded(place.origin_mm[1] + (place.size_px[1] - px[1]) * place.mm_per_px),
  ];
}
