// What the job took, as a row of the job book's log: asked, judged by the log's own limits, written.

import { button, fold, node } from "./elements.js";

const number = (text) => Number(text.trim().replace(/(\d),(\d)/, "$1.$2"));
const two = (n) => String(n).padStart(2, "0");
export const day = (when) => `${when.getFullYear()}-${two(when.getMonth() + 1)}-${two(when.getDate())}`;

/** A text as a cell of a csv file; no spreadsheet takes it for a formula. */
export function cell(text) {
  const plain = String(text).replace(/\p{Cc}+/gu, " ").trim().replace(/^[=+\-@]+/u, "");
  return /[",;]/.test(plain) ? `"${plain.replaceAll('"', '""')}"` : plain;
}

/** Read one number in the log's unit, or say in words what is wrong with it. */
function valueOf({ label, unit, factor, offset, least, most }, text) {
  const value = (number(text) - offset) / factor;
  const shown = (limit) => `${Number((limit * factor + offset).toPrecision(4))} ${unit}`;
  if (!Number.isFinite(value)) return { fault: `${label}: "${text}" is no number; write it in ${unit}.` };
  if (value < least - 1e-9 || value > most + 1e-9) {
    return { fault: `${label}: ${text} ${unit} can't be; it must be ${shown(least)} to ${shown(most)}. Check the unit.` };
  }
  return { value: String(Number(value.toFixed(4))) };
}

function isDay(text) {
  const when = new Date(`${text}T12:00:00`);
  return /^\d{4}-\d\d-\d\d$/.test(text) && !Number.isNaN(when.getTime()) && day(when) === text;
}

/** Read the typed texts: the row's cells by column, and every fault in words. */
export function rowOf(log, typed) {
  const row = { note: cell(typed.note ?? ""), job: cell(typed.job ?? ""), date: (typed.date ?? "").trim() };
  const faults = [];
  if (!row.job) faults.push("Job: write its file's name or its title, as in your job book.");
  if (!isDay(row.date)) faults.push(`Day: "${row.date}" is none; write it as 2026-05-31.`);
  for (const field of log.fields) {
    const text = typed[field.name] ?? "";
    if (!text.trim()) continue;
    const { value, fault } = valueOf(field, text);
    if (fault) faults.push(fault); else row[field.name] = value;
  }
  if (Number(row.pressure_after_bar) > Number(row.pressure_before_bar)) {
    faults.push("Gauge after: it can't be over the gauge before; swap them.");
  }
  if (!faults.length && !log.fields.some(({ name }) => row[name])) faults.push("Fill in at least one thing that was measured.");
  return { row, faults };
}

/** The row as csv text: its head and itself, a line each. */
export const csvOf = (log, row) => [
  log.columns.join(","), log.columns.map((name) => row[name] ?? "").join(","),
];

/** An entry's own name, so that a file saved again counts once. */
export const entryName = (draw) => `j${Array.from(draw(new Uint8Array(11)), (n) => (n % 16).toString(16)).join("")}`;

/** The form.  `typed()` and `keep(texts)` hold what was typed, `entry()` the entry's name. */
export function logForm(log, { typed, keep, entry }) {
  const said = node("p", { class: "said", "aria-live": "polite" });
  const out = node("textarea", { readonly: true, rows: 4, class: "csv", "aria-label": "the row", hidden: true });
  const boxes = {};
  const asked = (name, label, unit, mode = "decimal") => {
    boxes[name] = node("input", {
      type: "text", inputmode: mode, name, autocomplete: "off",
      oninput: () => keep({ ...typed(), [name]: boxes[name].value }),
    });
    return node("label", { class: "field" }, node("span", {}, unit ? `${label}, ${unit}` : label), boxes[name]);
  };
  const of = (group) => log.fields.filter((field) => field.group === group)
    .map((field) => asked(field.name, field.label, field.unit));
  const written = () => {
    const { row, faults } = rowOf(log, { ...typed() });
    said.textContent = faults.join(" ");
    return faults.length ? null : csvOf(log, { ...row, entry: entry() });
  };
  async function copy() {
    const lines = written();
    if (!lines) return;
    [out.hidden, out.value] = [false, lines.join("\n")];
    out.select();
    try {
      await navigator.clipboard.writeText(lines.join("\n"));
      said.textContent = "Copied: paste it into a file phone_NAME.csv beside your jobs.";
    } catch {
      said.textContent = "Hold a finger on the text to copy it: this browser doesn't let a page do it.";
    }
  }
  function save() {
    const lines = written();
    if (!lines) return;
    const link = node("a", {
      href: URL.createObjectURL(new Blob([`${lines.join("\r\n")}\r\n`], { type: "text/csv" })), download: log.file,
    });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
    said.textContent = `Saved as ${log.file}. Put it beside the jobs in your job book: the book reads it there.`;
  }
  const form = node("div", { class: "log" },
    node("h2", {}, "For the job book"),
    asked("date", "Day", "", "text"), asked("job", "Job, as in your job book: file or title", "", "text"), ...of("clock"),
    fold("More hours", ...of("hours")), fold("Wire, gas, discs", ...of("used")),
    asked("note", "Note", "", "text"),
    button("save", "Save for the job book", save), button("copy", "Copy the row", copy), said, out);
  return {
    node: form,
    show() { for (const [name, box] of Object.entries(boxes)) if (document.activeElement !== box) box.value = typed()[name] ?? ""; },
  };
}
