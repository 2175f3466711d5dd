// Parts and tables from numbers: forms made from the register of all keys of a job file.
import { fetched } from "/page/api.js";
import { button, choice, el, entry, field } from "/page/dom.js";
import { W } from "/page/words.js";

let forms = null, asking = false;
const draft = { kind: "rectangle", name: "", thickness: "", values: {} };
const FORM = "shape:", PLAIN = new Set(["notches", "holes", "corners", "kind"]);

export function formsOf(desk) {
  if (!forms && !asking) {
    asking = true;
    fetched("forms").then((told) => { forms = told; }).finally(() => { asking = false; desk.draw(); });
  }
  return forms;
}

// A bare number counts in the unit that the page writes lengths in, unless the job says another.
export function measured(view, words) {
  const w = words.trim();
  if (!view || view.written.job?.unit || !/^-?(\d+([.,]\d+)?|\d+[ -]\d+\/\d+|\d+\/\d+)$/.test(w)) return w;
  return view.units === "inch" ? `${w}in` : `${w} mm`;
}
// Lengths one after the other: apart by semicolons, or by commas where those can't be decimal ones.
export const lengthsOf = (view, words) => words.split(view?.units === "inch" ? /[;,\n]/ : /[;\n]|(?<!\d),|,(?!\d{1,3}(?!\d))/).map((w) => measured(view, w)).filter(Boolean);
// A price alone or with the job's own currency; whatever else stays as typed, for the check to refuse.
export function inMoney(view, words) {
  const w = words.trim(), own = String(view?.written.job?.currency ?? "").toLowerCase(), low = w.toLowerCase();
  const bare = own && low.startsWith(own) ? w.slice(own.length) : own && low.endsWith(own) ? w.slice(0, -own.length) : w;
  return /^\d+([.,]\d{1,2})?$/.test(bare.trim()) ? Number(bare.trim().replace(",", ".")) : w;
}

// Words as they are typed, to what a job file has there.
export function asValue(key, words, view) {
  const items = words.split(/[;\n]|,(?=\s|-|\d{2,}|["'])/).map((w) => w.trim()).filter(Boolean);
  const number = (w) => /^-?\d+([.,]\d+)?$/.test(w) ? Number(w.replace(",", ".")) : w;
  switch (key.what) {
    case "length": case "length, may be negative": return measured(view, words);
    case "list of lengths": return lengthsOf(view, words);
    case "price": return inMoney(view, words);
    case "list of words": case "list of stations' names or lengths": return items;
    case "list of points": return words.split(/\n|;/).map((line) => line.split(",").map((w) => w.trim()).filter(Boolean).map((w) => measured(view, w))).filter((p) => p.length);
    case "point [x, y]": return words.split(",").map((w) => measured(view, w));
    case "whole number": case "number": case "degrees": return number(words.trim());
    default: return words.trim();
  }
}

// An example as one types it: without the key, brackets and quotes of the file.
export const bare = (example) => /[{}]/.test(example) ? "" : example.replace(/^[\w ]+=\s*/, "").replace(/^\[|\]$/g, "").replace(/"/g, "");
const isLong = (key) => ["table as printed", "list of points"].includes(key.what);

export function ask(key, value, onchange, id) {
  const hint = { title: key.says, "aria-description": key.says, "data-key": id, placeholder: bare(key.usual ?? key.example ?? "") };
  if (key.choices.length) return field(label(key), choice(value ?? "", [["", W.parts.usual], ...key.choices.map((c) => [c, c])], onchange, label(key)));
  if (!isLong(key)) return field(label(key), entry(value, onchange, hint));
  const area = el("textarea", { class: "short", value: value ?? "", spellcheck: "false", ...hint });
  area.addEventListener("change", () => onchange(area.value));
  return field(label(key), area);
}
export const label = (key) => key.name.replace(/_/g, " ") + (key.needed ? " *" : "");

export function numberForm(desk) {
  const t = W.numbers, all = formsOf(desk);
  if (!all) return null;
  const kinds = Object.keys(all).filter((k) => k.startsWith(FORM)).map((k) => k.slice(FORM.length));
  const table = all[FORM + draft.kind], keys = table.keys.filter((k) => !PLAIN.has(k.name) && !k.table);
  const set = (key) => (v) => { if (v === "") delete draft.values[key.name]; else draft.values[key.name] = v; };
  const needed = keys.filter((k) => k.needed), others = keys.filter((k) => !k.needed);
  const shown = (list) => el("div", { class: "fields" }, list.map((key) => ask(key, draft.values[key.name], set(key), `form ${key.name}`)));
  return el("section", { class: "card" }, el("h3", {}, W.parts.kind),
    el("div", { class: "row" }, field(t.figure, choice(draft.kind, kinds.map((k) => [k, k]), (v) => { draft.kind = v; draft.values = {}; desk.draw(); })),
      field(W.parts.name, entry(draft.name, (v) => { draft.name = v; }, { "data-key": "form name" })),
      field(W.parts.thickness, entry(draft.thickness, (v) => { draft.thickness = v; }, { "data-key": "form thickness", placeholder: desk.now.view.sheets[0]?.thickness ?? "" }))),
    el("p", { class: "quiet" }, table.says), shown(needed.length ? needed : others.slice(0, 4)),
    el("details", {}, el("summary", {}, t.more), shown(needed.length ? others : others.slice(4))),
    el("div", { class: "row" }, button(W.parts.add, () => add(desk, keys))));
}

async function add(desk, keys) {
  const { view } = desk.now, shape = { kind: draft.kind };
  for (const key of keys) if (key.name in draft.values) shape[key.name] = asValue(key, String(draft.values[key.name]), "unit" in draft.values ? null : view);
  const taken = new Set((view.written.part ?? []).map((p) => p.name)), usual = draft.name || draft.kind;
  let name = usual, n = 1;
  while (taken.has(name)) name = `${usual} ${++n}`;
  const thickness = measured(view, draft.thickness) || view.sheets[0]?.thickness || (view.units === "inch" ? "1/4in" : "6 mm");
  if (await desk.edit("add", { kind: "part", values: { name, thickness, shape } }, `${W.parts.add}: ${name}`)) Object.assign(draft, { name: "", values: {} });
}

// The table of offsets as it is printed or pasted, and the lines drawn from it.
export function offsetsForm(desk) {
  const t = W.numbers, all = formsOf(desk), { view } = desk.now;
  if (!all) return null;
  const raw = view.written.offsets ?? {}, keys = all.offsets.keys.filter((k) => !k.table);
  const set = (key) => (v) => {
    const path = ["offsets", key.name];
    if (v.trim() === "") return key.name in raw && desk.edit("remove", { path }, `${t.offsets}, ${label(key)}`);
    return desk.edit("set", { path, value: asValue(key, v, desk.now.view) }, `${t.offsets}, ${label(key)}`);
  };
  const as = (v) => Array.isArray(v) ? v.join("; ") : v;
  return el("details", { class: "card", open: "table" in raw }, el("summary", {}, t.offsets), el("p", { class: "quiet" }, all.offsets.says),
    el("div", { class: "fields" }, keys.map((key) => ask(key, as(raw[key.name]), set(key), `offsets ${key.name}`))));
}

const shown = { digest: "", list: [], asking: false };
export function understoodPictures(desk, wanted) {
  const digest = desk.now.job.digest;
  if (shown.digest !== digest && !shown.asking) {
    shown.asking = true;
    fetched("shown").then((list) => Object.assign(shown, { digest, list })).finally(() => { shown.asking = false; desk.draw(); });
  }
  return shown.list.filter((f) => f.name.startsWith(wanted)).map((f) => el("figure", { class: "card" }, el("figcaption", {}, f.title),
    el("img", { class: "picture", alt: f.title, src: `/shown/${encodeURIComponent(f.name)}?${shown.digest}` })));
}
