// Time plans again as the page does: plans and cases come as JSON, the answers go out as JSON.
import { readFileSync } from "node:fs";
import { keeper, paced } from "../../../sheetkit/paper/phone/pace.js";
import { sheetOf } from "../../../sheetkit/paper/phone/march.js";
import { unpacked } from "../../../sheetkit/paper/phone/unpack.js";

const { plan, sheet: data, cases } = JSON.parse(readFileSync(process.argv[2], "utf-8"));
const sheet = sheetOf(data, await unpacked(data));
const kept = keeper();
const answers = cases.map((one) => {
  let next = null;
  const run = paced(plan, sheet, kept, { ...one, first: (found) => { next ??= found.start; } });
  for (;;) {
    const { done, value } = run.next();
    if (done) return { ...value, next };
  }
});
process.stdout.write(JSON.stringify(answers));
