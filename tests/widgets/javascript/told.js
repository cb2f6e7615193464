// What the page has from Python, for tests that run without a page.
import { readFileSync } from "node:fs";

const told = JSON.parse(readFileSync(process.env.SHEETKIT_TOLD, "utf-8"));

globalThis.TOLD = told.limits;
globalThis.AGAIN = "run the cell again";
export const kinds = told.kinds;
export const cases = told.cases;
export const turns = told.turns;
