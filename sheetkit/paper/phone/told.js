// What is said of a reading.

import { degrees } from "../../base/words.js";

const AFTER = {
  "half used": "A second reading that agrees shortens the waits further.",
  "too cool": "The sheet is too cool there to tell more; the waits stay.",
  slip: "That is far off and was not used; check the thermometer and the spot.",
  "below air": "A sheet is no colder than the air: this was not used.",
};

/** Say what a reading did and what to do next; `start` is the next start, `now` when it was read. */
export function toldOf({ reading, ratio, expected_c }, { measured, now, start, plan, unit }) {
  const words = [`${degrees(measured, unit)} where ${degrees(expected_c, unit)} was expected.`];
  if (reading === "below air") words.push(`The air is taken for ${degrees(plan.ambient_c, unit)}.`);
  if (AFTER[reading]) words.push(AFTER[reading]);
  const used = reading === "used" || reading === "half used";
  if (reading === "used" && Math.abs(ratio - 1) > 0.03) words.push(`The waits to come are ${ratio > 1 ? "longer" : "shorter"} now.`);
  if (ratio < 1 && used) words.push("Infrared reads low on bright steel: touch it to be sure.");
  if (measured > plan.limit_c) words.push("Wait for the countdown, then measure again.");
  else if (reading === "slip" || reading === "below air") words.push("Measure again before you weld.");
  else if (start <= now + 5) words.push("Weld it, then press that it is in.");
  else words.push("Heat is still on its way there: wait for the countdown.");
  return words.join(" ");
}
