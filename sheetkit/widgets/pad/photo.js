// The photo under the drawing: choosing a file, two points or four corners to scale it by.

import { distance, lengthText, rounded } from "./geometry.js";
import { htmlNode } from "../elements.js";
import { growing, proposalForm } from "./grow.js";
import { row } from "./panels.js";

const MOST_BYTES = 8_000_000;
const EXAMPLES = {
  mm: { width: "297 mm", height: "210 mm", distance: "500 mm" },
  in: { width: "11 in", height: "8 1/2 in", distance: "20 in" },
};
const CORNERS = ["lower left", "lower right", "upper right", "upper left"];

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

/** Read the trait's bytes into an address the svg can show; frees the one before. */
export function readPhoto(pad) {
  if (pad.photoUrl) URL.revokeObjectURL(pad.photoUrl);
  const bytes = pad.model.get("photo_bytes");
  pad.photoUrl = bytes?.byteLength ? URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" })) : "";
}

async function shrunk(file) {
  const bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, TOLD.photo_px / Math.max(bitmap.width, bitmap.height));
  const canvas = new OffscreenCanvas(Math.round(bitmap.width * scale), Math.round(bitmap.height * scale));
  canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  return canvas.convertToBlob({ type: "image/jpeg", quality: 0.9 });
}

async function sendPhoto(pad, file) {
  if (!file) return;
  let blob = file;
  try {
    if (file.size > MOST_BYTES) {
      blob = await shrunk(file);
      pad.say(`The photo was shrunk in the page from ${(file.size / 1e6).toFixed(1)} MB to ${(blob.size / 1e6).toFixed(1)} MB.`);
    }
    pad.send({ type: "photo", name: file.name }, [await blob.arrayBuffer()]);
    pad.fitNext = true;
  } catch {
    pad.say(`${file.name} can't be read as a photo. Save it as JPEG, smaller.`, true);
  }
}

function marksNeeded(pad) {
  return pad.tool === "corners" ? 4 : 2;
}

export function measuring(pad) {
  return pad.tool === "two_points" || pad.tool === "corners";
}

/** Put a mark where the user pointed; a mark near it is moved instead. */
export function putMark(pad, point, reach) {
  const place = pad.model.get("photo_place");
  const needed = marksNeeded(pad);
  const px = toPhoto(place, point);
  const near = pad.marks.findIndex((mark) => distance(fromPhoto(place, mark), point) < reach);
  if (near >= 0 && pad.marks.length === needed) pad.marks[near] = px;
  else if (pad.marks.length < needed) pad.marks.push(px);
  else {
    const far = pad.marks.map((mark) => distance(mark, px));
    pad.marks[far.indexOf(Math.min(...far))] = px;
  }
  pad.say(markWord(pad));
  pad.redraw();
}

function markWord(pad) {
  const n = pad.marks.length;
  if (pad.tool === "corners") {
    return n < 4 ? `Corner ${n + 1} of 4: mark the ${CORNERS[n]} corner of the rectangle.` : "Four corners. Type the rectangle's width and height, then Apply.";
  }
  return n < 2 ? `Point ${n + 1} of 2: mark a point whose distance to the other you know.` : "Two points. Type their distance, then Apply.";
}

function start(pad, tool) {
  pad.marks = [];
  pad.setTool(tool);
  pad.say(markWord(pad));
  pad.svg.focus();
}

/** Draw the photo controls for what can be done now. */
export function photoPanel(pad) {
  const place = pad.model.get("photo_place");
  const has = Boolean(place?.size_px);
  const box = pad.controls.photo;
  const key = JSON.stringify([has, place?.word, pad.tool, pad.locked(), growing(pad) && pad.model.get("proposal"), pad.units]);
  if (box.dataset.key === key) {
    const apply = box.querySelector("button[type=submit]");
    if (apply) apply.disabled = !ready(pad); // the boxes stay, so that one being typed in keeps its focus
    return;
  }
  const typed = Object.fromEntries([...box.querySelectorAll("input[name]")].map((i) => [i.name, i.value]));
  box.dataset.key = key;
  const off = pad.locked();
  const file = htmlNode("input", { type: "file", accept: "image/jpeg,image/png", class: "skp-file", "aria-label": "Photo file", disabled: off,
    onchange: (e) => sendPhoto(pad, e.target.files[0]) });
  const parts = [htmlNode("label", { class: "skp-button" }, has ? "Other photo…" : "Lay a photo under…", file)];
  if (has) {
    const press = (text, tool) => htmlNode("button", { type: "button", disabled: off, "aria-pressed": String(pad.tool === tool), onclick: () => start(pad, tool) }, text);
    parts.push(
      htmlNode("button", { type: "button", disabled: off, onclick: () => { pad.marks = []; pad.send({ type: "photo" }); } }, "Remove photo"),
      press("Two points", "two_points"), press("Four corners", "corners"),
      htmlNode("button", { type: "button", disabled: off || !place.scaled, title: "Propose the rust's outline by its colour", "aria-pressed": String(growing(pad)), onclick: () => pad.setTool(growing(pad) ? "edit" : "grow") }, "By colour"),
      htmlNode("p", { class: place.scaled ? "skp-scale" : "skp-scale skp-fault" }, place.word),
    );
  }
  else parts.push(cardButton(pad));
  if (has && growing(pad)) parts.push(proposalForm(pad));
  if (measuring(pad)) parts.push(measureForm(pad, typed));
  box.replaceChildren(...parts);
}

/** The measuring card to print; Python sends it when it is asked for. */
function cardButton(pad) {
  const paper = htmlNode("select", { "aria-label": "Paper of the card" }, htmlNode("option", { value: "a4" }, "A4"), htmlNode("option", { value: "letter" }, "Letter"));
  return htmlNode("div", { class: "skp-card" }, htmlNode("p", { class: "skp-none" }, "Print a measuring card and lay it by the rust: the photo is then true to scale by itself."),
    paper, htmlNode("button", { type: "button", disabled: pad.locked(), onclick: () => pad.send({ type: "cards", paper: paper.value }) }, "Measuring card (PDF)"));
}

/** Offer what Python sent as a file to keep. */
export function keepFile(message, buffers) {
  if (message?.type !== "cards") return;
  const view = buffers[0];
  const url = URL.createObjectURL(new Blob([view.buffer ? view : new Uint8Array(view)], { type: "application/pdf" }));
  htmlNode("a", { href: url, download: message.name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** Whether all points are marked and Python listens. */
function ready(pad) {
  return pad.marks.length === marksNeeded(pad) && !pad.locked();
}

/** Sheets of paper as they may lie in the photo; choosing one types its size. */
function paperRow(pad, form) {
  const names = { a4: "A4", letter: "Letter" };
  const lying = Object.entries(TOLD.papers).flatMap(([key, [short, long]]) => [
    [`${names[key]}, long side across`, long, short], [`${names[key]}, long side up`, short, long]]);
  const choose = htmlNode("select", { name: "paper", onchange: () => {
    const size = lying[Number(choose.value)];
    if (!size) return;
    form.elements.width.value = lengthText(size[1], pad.units);
    form.elements.height.value = lengthText(size[2], pad.units);
  } }, htmlNode("option", { value: "" }, "another size"), ...lying.map(([label], n) => htmlNode("option", { value: String(n) }, label)));
  return row("Paper", choose);
}

function measureForm(pad, typed) {
  const fields = pad.tool === "corners" ? [["width", "Width"], ["height", "Height"]] : [["distance", "Distance"]];
  const form = htmlNode("form", {
    class: "skp-form",
    onsubmit: (event) => {
      event.preventDefault();
      const values = Object.fromEntries(fields.map(([name]) => [name, form.elements[name].value]));
      const place = pad.model.get("photo_place");
      pad.send({
        type: pad.tool === "corners" ? "rectify" : "calibrate", points: structuredClone(pad.marks),
        click_px: Math.max(0.5, TOLD.click_px / (place.mm_per_px * pad.view.scale)), ...values, sure: Boolean(form.elements.sure?.checked),
      });
      pad.fitNext = true;
    },
  });
  if (pad.tool === "corners") form.append(paperRow(pad, form));
  for (const [name, label] of fields) {
    form.append(row(label, htmlNode("input", { name, type: "text", inputmode: "decimal", required: true, value: typed[name] ?? "", placeholder: EXAMPLES[pad.units][name] })));
  }
  if (pad.tool === "corners") {
    form.append(htmlNode("label", { class: "skp-check", title: "Take the size even if the picture seems to show another" },
      htmlNode("input", { type: "checkbox", name: "sure" }), "As typed"));
  }
  form.append(
    htmlNode("button", { type: "submit", disabled: !ready(pad) }, "Apply"),
    htmlNode("button", { type: "button", onclick: () => { pad.marks = []; pad.setTool("edit"); } }, "Cancel"),
  );
  return form;
}
