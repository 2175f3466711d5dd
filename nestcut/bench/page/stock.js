// What the yard sells and what lies in the shed.
import { button, el, entry, field } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
import { editor, openEditor } from "/page/shed.js";
import { W } from "/page/words.js";

const KEYS = ["name", "material", "thickness", "length", "width", "price", "count"];

function plainValue(key, value) {
  if (key === "price" && /^\d+([.,]\d+)?$/.test(value)) return Number(value.replace(",", "."));
  if (key === "count" && /^\d+$/.test(value)) return Number(value);
  return value;
}

function cell(desk, raw, path, key, label) {
  const set = (value) => value === "" ? key in raw && desk.edit("remove", { path: [...path, key] }, label) : desk.edit("set", { path: [...path, key], value: plainValue(key, value) }, label);
  return el("td", { "data-head": W.stock[key] }, entry(raw[key], set, { "aria-label": label, "data-key": [...path, key].join(" ") }));
}

function table(caption, keys, rows, more) {
  return el("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": caption }, el("table", { class: "form" }, el("thead", {}, el("tr", {}, keys.map((k) => el("th", { scope: "col", class: k }, W.stock[k])), more ? el("th", { scope: "col" }, more) : null, el("th", { scope: "col" }, W.stock.remove))), el("tbody", {}, rows)));
}

export function stock(desk) {
  const t = W.stock, { view } = desk.now, w = view.written, saw = w.saw ?? {};
  const ofSaw = (key, words) => field(words, entry(saw[key], (v) => v && desk.edit("set", { path: ["saw", key], value: v }, words), { "data-key": "saw " + key }));
  const sheets = (w.sheet ?? []).map((raw, k) => el("tr", {}, KEYS.map((key) => cell(desk, raw, ["sheet", k], key, `${t[key]}, ${raw.name ?? k + 1}`)),
    el("td", {}, shaped(desk, raw, k)), el("td", {}, button(t.remove, () => desk.edit("remove", { path: ["sheet", k] }, `${t.remove} ${raw.name}`), { "aria-label": `${t.remove} ${raw.name}` }))));
  return [
    el("h2", {}, t.head), findingsOf(desk, (f) => f.blocking && (["sheet", "board"].includes(f.table?.[0]) || f.where.startsWith("saw"))),
    Array.isArray(w.saw) ? null : el("div", { class: "row" }, ofSaw("kerf", t.kerf), ofSaw("gap", t.gap)), el("p", { class: "quiet" }, t.measure),
    el("h3", {}, t.sheets), table(t.sheets, KEYS, sheets, W.shed.head),
    editor(desk),
    button(t.add, () => desk.edit("add", { kind: "sheet", values: newSheet(view) }, t.add)),
    el("h3", {}, t.boards), boards(desk, w.board ?? []),
    el("div", { class: "row" }, button(t.addBoard, () => desk.edit("add", { kind: "board", values: newBoard(view) }, t.addBoard)), button(t.next, () => desk.go("joints"), { class: "main" })),
  ];
}

function shaped(desk, raw, k) {
  const sheet = desk.now.view.sheets.find((s) => s.name === raw.name);
  return sheet ? button(W.shed.draw, () => openEditor(desk, k, sheet), { "aria-label": `${W.shed.draw}: ${raw.name}` }) : null;
}

function boards(desk, list) {
  const t = W.stock;
  return list.map((raw, k) => el("section", { class: "card" }, el("h3", {}, String(raw.name ?? "")),
    el("div", { class: "row" }, ["name", "material", "thickness", "width"].map((key) => field(t[key], entry(raw[key], (v) => v && desk.edit("set", { path: ["board", k, key], value: v }, `${raw.name}, ${t[key]}`), { "data-key": `board ${k} ${key}` }))),
      button(t.remove, () => desk.edit("remove", { path: ["board", k] }, `${t.remove} ${raw.name}`), { "aria-label": `${t.remove} ${raw.name}` })),
    table(`${t.lengths}, ${raw.name}`, ["length", "price", "count"], (Array.isArray(raw.lengths) ? raw.lengths : []).map((row, i) => el("tr", {}, ["length", "price", "count"].map((key) => cell(desk, row, ["board", k, "lengths", i], key, `${t[key]}, ${raw.name} ${i + 1}`)),
      el("td", {}, button(t.remove, () => desk.edit("remove", { path: ["board", k, "lengths", i] }, `${t.remove} ${row.length}`), { "aria-label": `${t.remove} ${row.length}` })))))));
}

const newSheet = (view) => view.units === "inch" ? { name: "new sheet", material: "ply", thickness: "1/4in", length: "8ft", width: "4ft", price: 0 } : { name: "new sheet", material: "ply", thickness: "6 mm", length: "2440 mm", width: "1220 mm", price: 0 };
const newBoard = (view) => view.units === "inch" ? { name: "new board", material: "fir", thickness: "3/4in", width: "3-1/2in", lengths: [{ length: "8ft", price: 0 }] } : { name: "new board", material: "fir", thickness: "19 mm", width: "90 mm", lengths: [{ length: "2.4 m", price: 0 }] };
