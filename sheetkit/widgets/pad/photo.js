// The photo under the drawing: choosing a file, two points or four corners to scale it by.

import { lengthText } from "./geometry.js";
import { htmlNode } from "../elements.js";
import { growing, proposalForm } from "./grow.js";
import { markWord, marksNeeded, measuring } from "./marks.js";
import { row, textInput } from "./panels.js";

const MOST_BYTES = 8_000_000;
const EXAMPLES = {
  mm: { width: "297 mm", height: "210 mm", distance: "500 mm" },
  in: { width: "11 in", height: "8 1/2 in", distance: "20 in" },
};

/** Read the trait's bytes into an address the svg can show; frees the one before. */
export function readPhoto(pad) {
  if (pad.photoUrl) URL.revokeObjectURL(pad.photoUrl);
  const bytes = pad.model.get("photo_bytes");
  pad.photoUrl = bytes?.byteLength ? URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" })) : "";
}

/** Read the other flats' pictures into addresses, the ones before freed. */
export function readFlats(pad) {
  for (const { url } of pad.flatUrls ?? []) URL.revokeObjectURL(url);
  pad.flatUrls = (pad.model.get("flat_photos") ?? []).map(({ flat, bytes, ...place }) => ({ flat, place, url: URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" })) }));
}

/** Take the photo that Python tells of; picture and place come together, and each tells of itself. */
export function takePhoto(pad) {
  if (pad.photoCame) return;
  pad.photoCame = true;
  queueMicrotask(() => {
    pad.photoCame = false;
    readPhoto(pad);
    readFlats(pad);
    [pad.marks, pad.held] = [[], null];
    if (measuring(pad)) pad.setTool(pad.shapes.length ? "edit" : pad.handTool());
    const place = pad.model.get("photo_place");
    if (place.word) pad.say(place.word, !place.scaled && !place.looking);
    pad.showAll();
  });
}

/** A picture's size as it is looked at, without decoding it. */
async function sizeOf(file) {
  const image = new Image();
  image.src = URL.createObjectURL(file);
  try {
    await new Promise((done, fail) => { image.onload = done; image.onerror = fail; });
    return [image.naturalWidth, image.naturalHeight];
  } finally {
    URL.revokeObjectURL(image.src);
  }
}

/** A photo larger than the pad shows, made smaller where it is: less to send, and no wait. */
async function shrunk(file) {
  const from = await sizeOf(file);
  const scale = TOLD.photo_px / Math.max(...from);
  if (scale >= 1) return { blob: file };
  const [width, height] = from.map((side) => Math.max(1, Math.round(side * scale)));
  const small = await createImageBitmap(file, { imageOrientation: "from-image", resizeWidth: width, resizeHeight: height, resizeQuality: "high" });
  const canvas = new OffscreenCanvas(width, height);
  const paper = canvas.getContext("2d");
  paper.fillStyle = "white"; // where the picture is clear
  paper.fillRect(0, 0, width, height);
  paper.drawImage(small, 0, 0);
  small.close();
  return { blob: await canvas.convertToBlob({ type: "image/jpeg", quality: 0.9 }), from };
}

async function sendPhoto(pad, file) {
  if (!file) return;
  pad.say(`Reading ${file.name} …`);
  // what the page can't read Python refuses in words
  const { blob, from } = await shrunk(file).catch(() => ({ blob: file }));
  if (blob.size > MOST_BYTES) return pad.say(`${file.name} can't be read as a photo. Save it as JPEG, smaller.`, true);
  pad.send({ type: "photo", name: file.name, from }, [await blob.arrayBuffer()]);
  pad.fitNext = true;
}

function start(pad, tool) {
  pad.marks = [];
  pad.held = null;
  pad.setTool(tool);
  pad.say(markWord(pad));
  pad.svg.focus();
}

/** Draw the photo controls for what can be done now. */
export function photoPanel(pad) {
  const place = pad.model.get("photo_place");
  const has = Boolean(place?.size_px);
  const box = pad.controls.photo;
  const flats = pad.model.get("photo_flats") ?? [];
  const key = JSON.stringify([has, flats.length, pad.model.get("photo_flat"), place?.at_mm, place?.word, place?.square_mm, pad.tool, pad.locked(), growing(pad) && pad.model.get("proposal"), pad.units]);
  if (box.dataset.key === key) {
    const apply = box.querySelector("button[type=submit]");
    if (apply) apply.disabled = !ready(pad); // the boxes stay, so that one being typed in keeps its focus
    return;
  }
  const typed = Object.fromEntries([...box.querySelectorAll("input[name]")].map((i) => [i.name, i.value]));
  box.dataset.key = key;
  const off = pad.locked() || Boolean(place?.looking);
  const file = htmlNode("input", { type: "file", accept: "image/jpeg,image/png", class: "skp-file", "aria-label": "Photo file", disabled: off,
    onchange: (e) => sendPhoto(pad, e.target.files[0]) });
  box.replaceChildren(...flatChoice(pad, flats, off), htmlNode("label", { class: "skp-button" }, has ? "Other photo…" : "Lay a photo under…", file),
    ...(has ? underParts(pad, place, off) : [cardButton(pad)]), ...(measuring(pad) ? [measureForm(pad, typed)] : []));
}

/** Of a bent panel: whose photo is in hand, the whole sheet's or a flat's. */
function flatChoice(pad, flats, off) {
  if (!flats.length) return [];
  const at = pad.model.get("photo_flat");
  const choose = htmlNode("select", { disabled: off, onchange: () => pad.send({ type: "flat", n: Number(choose.value) }) },
    ...[[0, "the whole sheet"], ...flats.map(({ number }) => [number, `flat ${number}`])].map(([n, words]) => htmlNode("option", { value: n, selected: n === at }, words)));
  return [row("Photo of", choose)];
}

/** Where a flat's photo lies: typed, since its paper or card lay at a place that was measured. */
function placeRows(pad, place, off) {
  const boxes = ["x", "y"].map((name, k) => textInput(lengthText(place.at_mm[k], pad.units), () =>
    pad.send({ type: "place", x: boxes[0].value, y: boxes[1].value })));
  boxes.forEach((box) => { box.disabled = off; });
  return ["across", "up"].map((words, k) => row(`Its corner lies ${words}`, boxes[k]));
}

function scaleClass(place) {
  if (place.looking) return "skp-none";
  return place.scaled ? "skp-scale" : "skp-scale skp-fault";
}

/** What can be done with the photo that lies there. */
function underParts(pad, place, off) {
  const press = (text, tool) => htmlNode("button", { type: "button", disabled: off, "aria-pressed": String(pad.tool === tool), onclick: () => start(pad, tool) }, text);
  const parts = [
    htmlNode("button", { type: "button", disabled: off, onclick: () => { pad.marks = []; pad.send({ type: "photo" }); } }, "Remove photo"),
    press("Two points", "two_points"), press("Four corners", "corners"),
    htmlNode("button", { type: "button", disabled: off || !place.scaled, title: "Propose the rust's outline by its colour", "aria-pressed": String(growing(pad)), onclick: () => pad.setTool(growing(pad) ? "edit" : "grow") }, "By colour"),
    htmlNode("p", { class: scaleClass(place) }, place.word),
  ];
  if (place.square_mm) parts.push(squareRow(pad, place, off));
  if (pad.model.get("photo_flat")) parts.push(...placeRows(pad, place, off));
  if (growing(pad)) parts.push(proposalForm(pad));
  return parts;
}

/** What the card's square measures as printed: the scale follows it. */
function squareRow(pad, place, off) {
  const [low, high] = TOLD.square_range_mm;
  const box = textInput(lengthText(place.square_mm, pad.units), (value) => pad.send({ type: "square", square: value }));
  Object.assign(box, { name: "square", inputMode: "decimal", disabled: off });
  box.title = `What the square printed on the card measures, ${lengthText(low, pad.units)} to ${lengthText(high, pad.units)}`;
  return row("Card's square measures", box);
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
