// Every part with its picture and what is said of it.
import { button, choice, el, entry, field, svg, written } from "/page/dom.js";
import { findingsOf, hasField, isOf } from "/page/findings.js";
import { fitOf } from "/page/joints.js";
import { ask, asValue, formsOf, label, measured, numberForm, offsetsForm, understoodPictures } from "/page/numbers.js";
import { drawnOf, notPart } from "/page/outlines.js";
import { W } from "/page/words.js";

const GRAINS = ["along", "across", "any"];

// The job counts grain by the outline's x; a builder sees the longer side.
export const grainOf = (box) => box[2] - box[0] >= box[3] - box[1] ? "along" : "across";
export const grainWords = (box, grain) => W.parts.grains[grain === "any" ? "any" : grain === grainOf(box) ? "along" : "across"];

const arrowAlong = (x, y, r) => `M${x - r},${y}H${x + r}M${x + r * 0.8},${y - r * 0.12}L${x + r},${y}L${x + r * 0.8},${y + r * 0.12}M${x - r * 0.8},${y - r * 0.12}L${x - r},${y}L${x - r * 0.8},${y + r * 0.12}`;
const arrowUp = (x, y, r) => `M${x},${y - r}V${y + r}M${x - r * 0.12},${y + r * 0.8}L${x},${y + r}L${x + r * 0.12},${y + r * 0.8}M${x - r * 0.12},${y - r * 0.8}L${x},${y - r}L${x + r * 0.12},${y - r * 0.8}`;

export function partPicture(part, grain) {
  const [x0, y0, x1, y1] = part.box, w = x1 - x0, h = y1 - y0, m = Math.max(w, h) * 0.06;
  const cx = (x0 + x1) / 2, cy = (y0 + y1) / 2, r = Math.max(w, h) * 0.22;
  const arrow = grain === "any" ? null : grain === "across" ? arrowUp(cx, cy, Math.min(r, h * 0.4)) : arrowAlong(cx, cy, Math.min(r, w * 0.4));
  return svg("svg", { class: "part", role: "img", "aria-label": `${part.name}, ${part.size}`, viewBox: `${x0 - m} ${-y1 - m} ${w + 2 * m} ${h + 2 * m}` },
    svg("g", { transform: "scale(1,-1)" }, svg("path", { class: "outline", d: part.d }),
      part.marks ? svg("path", { class: "mark", d: part.marks }) : null, arrow ? svg("path", { class: "grain", d: arrow }) : null));
}

export function parts(desk) {
  const t = W.parts, { view } = desk.now, entries = view.written.part ?? [];
  const cards = entries.map((raw, k) => card(desk, raw, k, view.parts.find((p) => p.name === raw.name)));
  const named = new Set(entries.map((p) => p.name));
  const others = view.parts.filter((p) => !named.has(p.name)).map((p) => el("article", { class: "card" }, el("h3", {}, p.name), partPicture(p, p.grain), el("p", {}, `${p.size}, ${p.thickness} ${p.material}`), el("p", { class: "quiet" }, t.fromEntry)));
  const carded = (f) => entries.some((_, k) => isOf(desk, f, "part", k)) || (view.written.rail ?? []).some((_, k) => isOf(desk, f, "rail", k));
  const open = ["part", "rail"].flatMap((table) => (view.written[table] ?? []).map((raw, k) => [table, k, raw.name || String(k + 1)])).filter(([table, k]) => view.findings.some((f) => f.blocking && isOf(desk, f, table, k)));
  return [
    el("h2", {}, t.head), findingsOf(desk, (f) => f.blocking && ["part", "rail"].includes(f.table?.[0]) && !carded(f)),
    open.length ? el("div", { class: "row finding blocking" }, el("strong", {}, t.open), open.map(([table, k, name]) => button(name, () => desk.go("parts", `${table} ${k}`), { "aria-label": `${W.show}: ${name}` }))) : null,
    el("div", { class: "cards" }, cards, others),
    el("h2", {}, t.rails), el("div", { class: "cards" }, (view.written.rail ?? []).map((raw, k) => rail(desk, raw, k))), button(t.addRail, () => addRail(desk)),
    el("h2", {}, t.byNumbers), numberForm(desk), offsetsForm(desk), understoodPictures(desk, "lines"), understoodPictures(desk, "fairness"),
    el("div", { class: "row" }, button(t.next, () => desk.go("stock"), { class: "main" })),
  ];
}

const counted = (key, value) => key === "count" && /^\d+$/.test(value) ? Number(value) : value;
const LENGTHS = new Set(["thickness", "allowance", "length", "planed_from"]);

// Sets a key of a part or rail, or takes it out where nothing is said.
function setter(desk, table, k, raw) {
  return (key, what) => (value) => {
    const path = [table, k, key], words = `${raw.name}, ${what}`;
    if (value === "") return key in raw && desk.edit("remove", { path }, words);
    return desk.edit("set", { path, value: LENGTHS.has(key) ? measured(desk.now.view, value) : counted(key, value) }, words);
  };
}
const options = (list) => Object.entries(list);

// What is typed for a figure, as its own key has it: a bare number counts in the page's unit.
function figured(desk, shape, name, words) {
  const key = formsOf(desk)?.[`shape:${shape.kind}`]?.keys.find((k) => k.name === name);
  return key ? asValue(key, words, "unit" in shape ? null : desk.now.view) : words;
}

// Pairs that may have been meant as pieces: how many pieces they are is said beside.
function pairs(desk, table, k, raw, name) {
  const t = W.parts, n = Number(raw.count);
  if (raw.hand !== "pair" || !(n > 1)) return null;
  return el("div", { class: "row" }, el("span", { class: "quiet" }, `${n} ${t.pairsAre} ${2 * n} ${t.pieces}`),
    n % 2 ? null : button(`${t.meant} ${n / 2}`, () => desk.edit("set", { path: [table, k, "count"], value: n / 2 }, `${name}, ${t.pairs}`), { "aria-label": `${t.meant} ${n / 2}: ${name}` }));
}

export function card(desk, raw, k, part, removes = W.parts.remove) {
  const t = W.parts, name = String(raw.name ?? ""), set = setter(desk, "part", k, raw), drawn = drawnOf(desk, k), shown = part ?? (drawn && { ...drawn, name });
  const text = (key, what, help) => field(what, written(raw[key], set(key, what), { "data-key": `part ${k} ${key}`, title: help, placeholder: part?.[key] ? String(part[key]) : raw[key] === "" ? "" : t.usual }));
  const pick = (key, what, list, help) => field(what, choice(raw[key] ?? "", options(list), set(key, what), null, { title: help, "data-key": `part ${k} ${key}` }));
  const grain = part?.grain ?? raw.grain ?? "along", half = drawn?.half || "drawn_half" in raw && !raw.shape;
  const shape = raw.shape ? Object.keys(raw.shape).filter((key) => ["string", "number"].includes(typeof raw.shape[key]) && key !== "kind").map((key) => field(t[key] ?? key.replace(/_/g, " "), entry(raw.shape[key], (v) => v && desk.edit("set", { path: ["part", k, "shape", key], value: figured(desk, raw.shape, key, v) }, `${name}, ${t[key] ?? key}`), { "data-key": `part ${k} ${key}` }))) : null;
  return el("article", { class: "card", "data-place": `part ${k}` },
    el("h3", {}, name), shown ? partPicture(shown, grain) : null, shown && el("p", {}, shown.size),
    findingsOf(desk, (f) => f.blocking && isOf(desk, f, "part", k) && !hasField(f, ["name", "thickness", "count"]), true),
    el("div", { class: "fields" }, text("name", t.name), text("thickness", t.thickness), shape, text("count", raw.hand === "pair" ? t.pairs : t.count),
      pick("hand", t.hand, t.hands), raw.hand === "pair" && !raw.shape ? pick("drawn", t.drawn, t.drawns) : null, half ? pick("drawn_half", t.half, t.halves) : null,
      pick("turn", t.turn, t.turns, t.turnHelp), text("allowance", t.allowance, t.allowanceHelp), text("material", t.material, t.materialHelp),
      pick("forward", t.forward, t.sides, t.forwardHelp), pick("up", t.up, t.sides, t.forwardHelp)),
    pairs(desk, "part", k, raw, name), more(desk, raw, k, name), joined(desk, raw, k, name, part),
    el("div", { class: "row" },
      button(`${t.grainTurn} (${shown ? grainWords(shown.box, grain) : t.grains[grain]})`, () => set("grain", t.grain)(GRAINS[(GRAINS.indexOf(grain) + 1) % 3]), { "data-key": `part ${k} grain` }),
      button(removes, () => notPart(desk, k, `${removes}: ${name}`), { "aria-label": `${removes}: ${name}` })));
}

// Every other key that a part may have, from the register: faces, forward and up, saw, note.
const SHOWN = new Set(["name", "thickness", "count", "hand", "drawn", "turn", "allowance", "material", "grain", "joint", "shape", "forward", "up", "drawn_half"]);
function more(desk, raw, k, name) {
  const keys = formsOf(desk)?.part.keys.filter((key) => !SHOWN.has(key.name) && !key.table) ?? [];
  const set = (key) => (v) => {
    const path = ["part", k, key.name], what = `${name}, ${label(key)}`;
    if (v === "") return key.name in raw && desk.edit("remove", { path }, what);
    return desk.edit("set", { path, value: asValue(key, v, desk.now.view) }, what);
  };
  const as = (v) => Array.isArray(v) ? v.join("; ") : v;
  return el("details", { "data-key": `part ${k} more` }, el("summary", {}, W.numbers.more),
    el("div", { class: "fields" }, keys.map((key) => ask(key, as(raw[key.name]), set(key), `part ${k} ${key.name}`))), bevelsOf(desk, raw, k, name));
}

// Edges that are planed off square: listed, and one more by a form; what is begun there outlasts a drawing anew.
const begun = {};
function bevelsOf(desk, raw, k, name) {
  const t = W.parts, keys = formsOf(desk)?.bevel?.keys ?? [], list = Array.isArray(raw.bevels) ? raw.bevels : [], id = `${k} ${name}`, draft = begun[id] ??= {};
  const add = async () => {
    const open = keys.filter((key) => key.needed && !draft[key.name]).map((key) => key.name.replace(/_/g, " "));
    if (open.length) return desk.say(`${name}, ${t.bevel}: ${t.notFilled} ${open.join(", ")}`);
    const made = Object.fromEntries(keys.filter((key) => draft[key.name]).map((key) => [key.name, key.name === "tilt" ? degrees(draft.tilt) : asValue(key, draft[key.name], desk.now.view)]));
    const told = await desk.edit("set", { path: ["part", k, "bevels"], value: [...list, made] }, `${name}: ${t.bevel}`);
    if (told) { delete begun[id]; desk.draw(); }
    return told;
  };
  return [el("h4", {}, t.bevels), typeof raw.bevels === "string" ? el("p", {}, raw.bevels) : null,
    list.map((b, n) => el("div", { class: "row" }, el("span", {}, Object.entries(b).map(([key, v]) => `${key} ${v}`).join(", ")),
      button(t.remove, () => desk.edit("remove", { path: ["part", k, "bevels", n] }, `${t.remove}: ${t.bevel}`), { "aria-label": `${t.remove}: ${t.bevel} ${n + 1}, ${name}` }))),
    el("div", { class: "fields" }, keys.map((key) => ask(key, draft[key.name] ?? "", (v) => { draft[key.name] = v; }, `part ${k} bevel ${key.name}`))),
    button(t.addBevel, add, { "aria-label": `${t.addBevel}: ${name}` })];
}
// A comma between digits is a decimal one; words that are no numbers stay, for the check to refuse.
const degrees = (words) => {
  const list = words.split(/;|,(?!\d)/).map((w) => Number(w.trim().replace(",", ".") || NaN));
  return list.some(Number.isNaN) ? words.trim() : list.length > 1 ? list : list[0];
};

// Joints are given in the step about joints.
function joined(desk, raw, k, name, part) {
  const t = W.parts, kind = part?.joint?.kind ?? raw.joint?.kind, fit = raw.joint === undefined ? fitOf(desk, raw, k) : "";
  return el("p", { class: fit === "long" ? "finding blocking" : "quiet" }, fit ? t.fits[fit] : kind ? `${t.joined} ${kind}.` : t.joinAsked, " ",
    button(t.toJoints, () => desk.go("joints", `part ${k}`), { "aria-label": `${t.toJoints}: ${name}` }));
}

export const free = (list, name) => {
  const taken = new Set(list.map((p) => p.name));
  let made = name, n = 1;
  while (taken.has(made)) made = `${name} ${++n}`;
  return made;
};

function addRail(desk) {
  const { view } = desk.now, name = free(view.written.rail ?? [], W.parts.newRail);
  return desk.edit("add", { kind: "rail", values: { name, section: ["", ""], length: "" } }, `${W.parts.addRail}: ${name}`);
}

function rail(desk, raw, k) {
  const t = W.parts, name = String(raw.name ?? k + 1), set = setter(desk, "rail", k, raw);
  const inch = desk.now.view.units === "inch", such = { length: inch ? "8ft" : "2.4 m", 0: inch ? "3/4in" : "19 mm", 1: inch ? "1-1/2in" : "45 mm" };
  const text = (key, what) => field(what, written(raw[key], set(key, what), { "data-key": `rail ${k} ${key}`, placeholder: such[key] ? `${t.such} ${such[key]}` : "" }));
  const side = (n) => field(n ? t.width : t.thickness, written(raw.section?.[n], (v) => v && desk.edit("set", { path: ["rail", k, "section", n], value: measured(desk.now.view, v) }, `${name}, ${t.section}`), { "data-key": `rail ${k} section ${n}`, placeholder: `${t.such} ${such[n]}` }));
  return el("article", { class: "card", "data-place": `rail ${k}` }, el("h3", {}, name), findingsOf(desk, (f) => f.blocking && isOf(desk, f, "rail", k) && !hasField(f, ["name", "section", "length", "count"]), true),
    el("div", { class: "fields" }, text("name", t.name), text("count", raw.hand === "pair" ? t.pairs : t.count), Array.isArray(raw.section) ? [side(0), side(1)] : null, raw.along ? null : text("length", t.length), text("material", t.material), raw.planed_from ? text("planed_from", t.planed) : null,
      field(t.hand, choice(raw.hand ?? "", options(t.hands), set("hand", t.hand), null, { "data-key": `rail ${k} hand` })), text("allowance", t.leftLong)),
    pairs(desk, "rail", k, raw, name),
    el("div", { class: "row" }, button(t.remove, () => desk.edit("remove", { path: ["rail", k] }, `${t.remove} ${name}`), { "aria-label": `${t.remove} ${name}` })));
}
