// What the yard sells and what lies in the shed.
import { button, el, entry, field, written } from "/page/dom.js";
import { findingsOf, hasField, isOf, isOfStock } from "/page/findings.js";
import { inMoney, measured } from "/page/numbers.js";
import { editor, openEditor } from "/page/shed.js";
import { W } from "/page/words.js";

const KEYS = ["name", "material", "thickness", "length", "width", "price", "count"];
const LENGTHS = new Set(["thickness", "length", "width"]);

function asWritten(view, key, value) {
  if (key === "price") return inMoney(view, value);
  if (key === "count" && /^\d+$/.test(value)) return Number(value);
  return LENGTHS.has(key) ? measured(view, value) : value;
}

// One field of a table of the job; what is emptied is taken out.
function cell(desk, raw, path, key, of, keeps) {
  const what = W.stock[key], said = `${what}, ${of}`;
  const set = (value) => value === "" ? !keeps && key in raw && desk.edit("remove", { path: [...path, key] }, said) : desk.edit("set", { path: [...path, key], value: asWritten(desk.now.view, key, value) }, said);
  const inch = desk.now.view.units === "inch", such = { thickness: inch ? "3/4in" : "18 mm", length: inch ? "8ft" : "2440 mm", width: inch ? "4ft" : "1220 mm", material: "ply" };
  return field(what, written(raw[key], set, { "aria-label": said, "data-key": [...path, key].join(" "), placeholder: raw[key] === "" && such[key] ? `${W.parts.such} ${such[key]}` : "" }));
}
const remove = (desk, path, name, words = W.stock.remove) => button(words, () => desk.edit("remove", { path }, `${W.stock.remove} ${name}`), { "aria-label": `${words} ${name}` });

export function stock(desk) {
  const t = W.stock, { view } = desk.now, w = view.written, saw = w.saw ?? {};
  const ofSaw = (key, words) => field(words, written(saw[key], (v) => v && desk.edit("set", { path: ["saw", key], value: measured(view, v) }, words), { "data-key": "saw " + key }));
  const carded = (f) => ["sheet", "board"].some((table) => (w[table] ?? []).some((_, k) => isOf(desk, f, table, k)));
  return [
    el("h2", {}, t.head), view.findings.some((f) => f.blocking && isOfStock(desk, f) && !carded(f) && hasField(f, ["kerf"])) ? el("p", { class: "finding blocking" }, t.kerfAsked) : null,
    el("div", { "data-place": "saw" }, findingsOf(desk, (f) => f.blocking && isOfStock(desk, f) && !carded(f) && !hasField(f, ["kerf"]), true)),
    el("div", { class: "row" }, Array.isArray(w.saw) ? null : [ofSaw("kerf", t.kerf), ofSaw("gap", t.gap)],
      field(t.currency, entry(w.job?.currency, (v) => v === "" ? "currency" in (w.job ?? {}) && desk.edit("remove", { path: ["job", "currency"] }, t.currency) : desk.edit("set", { path: ["job", "currency"], value: v }, t.currency), { "data-key": "job currency", placeholder: "EUR" }))),
    el("p", { class: "quiet" }, t.measure),
    el("h3", {}, t.sheets), el("div", { class: "cards" }, (w.sheet ?? []).map((raw, k) => sheet(desk, raw, k))),
    editor(desk),
    desk.now.files.books.length ? el("div", { class: "row" }, button(t.fromShed, async () => { const told = await desk.act("take-stock"); if (told) desk.say(`${t.fromShed}: ${told.taken}`); }), el("span", { class: "quiet" }, t.fromShedHow)) : null,
    button(t.add, () => desk.edit("add", { kind: "sheet", values: newSheet() }, t.add)),
    el("h3", {}, t.boards), el("div", { class: "cards" }, (w.board ?? []).map((raw, k) => board(desk, raw, k))),
    button(t.addBoard, () => desk.edit("add", { kind: "board", values: newBoard() }, t.addBoard)),
    el("div", { class: "row" }, button(t.next, () => desk.go("joints"), { class: "main" })),
  ];
}

// What a card's own fields are still asked for, in words.
function open(desk, table, k) {
  const t = W.stock, asked = KEYS.filter((key) => desk.now.view.findings.some((f) => f.blocking && isOf(desk, f, table, k) && hasField(f, [key])));
  return asked.length ? el("p", { class: "finding blocking" }, `${t.asked} ${asked.map((key) => t[key]).join(", ")}`) : null;
}

function sheet(desk, raw, k) {
  const t = W.stock, name = String(raw.name ?? k + 1), { view } = desk.now, had = view.sheets.find((s) => s.name === raw.name);
  const twin = had && view.sheets.find((s) => s.name !== had.name && s.count === null && had.count === null && s.material === had.material && s.thickness === had.thickness && s.size === had.size);
  const usual = "thickness" in raw ? null : view.written.job?.thickness, silent = !("thickness" in raw) && !usual;
  return el("section", { class: "card", "data-place": `sheet ${k}` }, el("h4", {}, name), had ? el("p", { class: "quiet" }, `${had.size}, ${had.thickness} ${had.material}`) : null,
    silent ? el("p", { class: "finding blocking" }, t.silent) : null, usual ? el("p", { class: "quiet" }, `${t.asJob} ${usual}`) : null, twin ? el("p", { class: "finding" }, `${t.twice} ${twin.name}.`) : null, findingsOf(desk, (f) => f.blocking && isOf(desk, f, "sheet", k) && !hasField(f, KEYS)), open(desk, "sheet", k),
    el("div", { class: "fields" }, KEYS.map((key) => cell(desk, raw, ["sheet", k], key, name))),
    el("div", { class: "row" }, shaped(desk, raw, k), remove(desk, ["sheet", k], name)));
}

function shaped(desk, raw, k) {
  const sheet = desk.now.view.sheets.find((s) => s.name === raw.name);
  return sheet ? button(W.shed.draw, () => openEditor(desk, k, sheet), { "aria-label": `${W.shed.draw}: ${raw.name}` }) : null;
}

function board(desk, raw, k) {
  const t = W.stock, name = String(raw.name ?? k + 1), lengths = Array.isArray(raw.lengths) ? raw.lengths : [];
  return el("section", { class: "card", "data-place": `board ${k}` }, el("h4", {}, name), findingsOf(desk, (f) => f.blocking && isOf(desk, f, "board", k) && !hasField(f, KEYS)), open(desk, "board", k),
    el("div", { class: "fields" }, ["name", "material", "thickness", "width"].map((key) => cell(desk, raw, ["board", k], key, name, true))),
    el("h5", {}, t.lengths), lengths.map((row, i) => el("div", { class: "row slim" }, ["length", "price", "count"].map((key) => cell(desk, row, ["board", k, "lengths", i], key, `${name} ${i + 1}`)), lengths.length > 1 ? remove(desk, ["board", k, "lengths", i], String(row.length), t.removeLength) : null)),
    el("div", { class: "row" }, button(t.addLength, () => desk.edit("set", { path: ["board", k, "lengths"], value: [...lengths, { length: "" }] }, `${name}: ${t.addLength}`), { "aria-label": `${t.addLength}: ${name}` }), remove(desk, ["board", k], name)));
}

// What only the yard knows is asked, not guessed.
const newSheet = () => ({ name: "new sheet", material: "ply", thickness: "", length: "", width: "" });
const newBoard = () => ({ name: "new board", material: "", thickness: "", width: "", lengths: [{ length: "" }] });
