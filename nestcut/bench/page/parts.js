// Every part with its picture and what is said of it.
import { button, choice, el, entry, field, svg } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
import { ask, asValue, formsOf, label, numberForm, offsetsForm, understoodPictures } from "/page/numbers.js";
import { W } from "/page/words.js";

const HANDS = [["", "one shape"], ["pair", "port and starboard"], ["port", "port"], ["starboard", "starboard"]];
const TURNS = [["", W.parts.usual], ["none", "no"], ["half", "by a half turn"], ["quarter", "by quarter turns"], ["small", "a few degrees"], ["free", "any way"]];
const GRAINS = ["along", "across", "any"];

const arrowAlong = (x, y, r) => `M${x - r},${y}H${x + r}M${x + r * 0.8},${y - r * 0.12}L${x + r},${y}L${x + r * 0.8},${y + r * 0.12}M${x - r * 0.8},${y - r * 0.12}L${x - r},${y}L${x - r * 0.8},${y + r * 0.12}`;
const arrowUp = (x, y, r) => `M${x},${y - r}V${y + r}M${x - r * 0.12},${y + r * 0.8}L${x},${y + r}L${x + r * 0.12},${y + r * 0.8}M${x - r * 0.12},${y - r * 0.8}L${x},${y - r}L${x + r * 0.12},${y - r * 0.8}`;

export function partPicture(part, grain) {
  const [x0, y0, x1, y1] = part.box, w = x1 - x0, h = y1 - y0, m = Math.max(w, h) * 0.06;
  const cx = (x0 + x1) / 2, cy = (y0 + y1) / 2, r = Math.max(w, h) * 0.22;
  const arrow = grain === "any" ? null : grain === "across" ? arrowUp(cx, cy, Math.min(r, h * 0.4)) : arrowAlong(cx, cy, Math.min(r, w * 0.4));
  return svg("svg", { class: "part", role: "img", "aria-label": `${part.name}, ${part.size}`, viewBox: `${x0 - m} ${-y1 - m} ${w + 2 * m} ${h + 2 * m}` },
    svg("g", { transform: "scale(1,-1)" }, svg("path", { class: "outline", d: part.d }),
      part.marks && svg("path", { class: "mark", d: part.marks }), arrow && svg("path", { class: "grain", d: arrow })));
}

export function parts(desk) {
  const t = W.parts, { view } = desk.now, written = view.written.part ?? [];
  const cards = written.map((raw, k) => card(desk, raw, k, view.parts.find((p) => p.name === raw.name)));
  const named = new Set(written.map((p) => p.name));
  const others = view.parts.filter((p) => !named.has(p.name)).map((p) => el("article", { class: "card" }, el("h3", {}, p.name), partPicture(p, p.grain), el("p", {}, `${p.size}, ${p.thickness} ${p.material}`), el("p", { class: "quiet" }, t.fromEntry)));
  return [
    el("h2", {}, t.head), findingsOf(desk, (f) => f.blocking && f.table?.[0] === "part"),
    el("div", { class: "cards" }, cards, others),
    numberForm(desk), offsetsForm(desk), understoodPictures(desk, "lines"), understoodPictures(desk, "fairness"),
    el("h2", {}, t.rails), rails(desk), button(t.addRail, () => addRail(desk)),
    el("div", { class: "row" }, button(t.next, () => desk.go("stock"), { class: "main" })),
  ];
}

export function card(desk, raw, k, part, removes = W.parts.remove) {
  const t = W.parts, name = String(raw.name ?? "");
  const set = (key, what) => (value) => {
    const path = ["part", k, key], words = `${name}, ${what}`;
    if (value === "") return key in raw && desk.edit("remove", { path }, words);
    return desk.edit("set", { path, value: key === "count" && /^\d+$/.test(value) ? Number(value) : value }, words);
  };
  const text = (key, what) => field(what, entry(raw[key], set(key, what), { "data-key": `part ${k} ${key}`, placeholder: part?.[key] ? String(part[key]) : t.usual }));
  const grain = part?.grain ?? raw.grain ?? "along";
  const shape = raw.shape ? Object.keys(raw.shape).filter((key) => ["string", "number"].includes(typeof raw.shape[key]) && key !== "kind").map((key) => field(t[key] ?? key.replace(/_/g, " "), entry(raw.shape[key], (v) => v && desk.edit("set", { path: ["part", k, "shape", key], value: v }, `${name}, ${t[key] ?? key}`), { "data-key": `part ${k} ${key}` }))) : null;
  return el("article", { class: "card" },
    el("h3", {}, name), part ? partPicture(part, grain) : null, part && el("p", {}, part.size),
    el("div", { class: "fields" }, text("name", t.name), text("thickness", t.thickness), shape, text("count", t.count),
      field(t.hand, choice(raw.hand ?? "", HANDS, set("hand", t.hand))), field(t.turn, choice(raw.turn ?? "", TURNS, set("turn", t.turn))),
      text("allowance", t.allowance), text("material", t.material)),
    more(desk, raw, k, name), jointOf(desk, raw, k, name, part),
    el("div", { class: "row" },
      button(`${t.grainTurn} (${grain})`, () => set("grain", t.grain)(GRAINS[(GRAINS.indexOf(grain) + 1) % 3]), { "data-key": `part ${k} grain` }),
      button(removes, () => desk.edit("remove", { path: ["part", k] }, `${removes}: ${name}`), { "aria-label": `${removes}: ${name}` })));
}

// Every other key that a part may have, from the register: faces, forward and up, saw, note.
const SHOWN = new Set(["name", "thickness", "count", "hand", "turn", "allowance", "material", "grain", "joint", "shape"]);
function more(desk, raw, k, name) {
  const keys = formsOf(desk)?.part.keys.filter((key) => !SHOWN.has(key.name) && !key.table) ?? [];
  const set = (key) => (v) => {
    const path = ["part", k, key.name], what = `${name}, ${label(key)}`;
    if (v === "") return key.name in raw && desk.edit("remove", { path }, what);
    return desk.edit("set", { path, value: asValue(key, v) }, what);
  };
  const as = (v) => Array.isArray(v) ? v.join("; ") : v;
  return el("details", { "data-key": `part ${k} more`, open: opened.has(k), ontoggle: (e) => { e.target.open ? opened.add(k) : opened.delete(k); } }, el("summary", {}, W.numbers.more),
    el("div", { class: "fields" }, keys.map((key) => ask(key, as(raw[key.name]), set(key), `part ${k} ${key.name}`))), bevelsOf(desk, raw, k, name));
}

// Edges that are planed off square: listed, and one more by a form.
function bevelsOf(desk, raw, k, name) {
  const t = W.parts, keys = formsOf(desk)?.bevel?.keys ?? [], list = Array.isArray(raw.bevels) ? raw.bevels : [], draft = {};
  const add = () => {
    const made = Object.fromEntries(keys.filter((key) => draft[key.name]).map((key) => [key.name, key.name === "tilt" ? degrees(draft.tilt) : asValue(key, draft[key.name])]));
    return desk.edit("set", { path: ["part", k, "bevels"], value: [...list, made] }, `${name}: ${t.bevel}`);
  };
  return [el("h4", {}, t.bevels), typeof raw.bevels === "string" ? el("p", {}, raw.bevels) : null,
    list.map((b, n) => el("div", { class: "row" }, el("span", {}, Object.entries(b).map(([key, v]) => `${key} ${v}`).join(", ")),
      button(t.remove, () => desk.edit("remove", { path: ["part", k, "bevels", n] }, `${t.remove}: ${t.bevel}`), { "aria-label": `${t.remove}: ${t.bevel} ${n + 1}, ${name}` }))),
    el("div", { class: "fields" }, keys.map((key) => ask(key, "", (v) => { draft[key.name] = v; }, `part ${k} bevel ${key.name}`))),
    button(t.addBevel, add, { "aria-label": `${t.addBevel}: ${name}` })];
}
const degrees = (words) => { const list = words.split(/[,;]/).map((w) => Number(w.trim())); return list.length > 1 ? list : list[0]; };
const opened = new Set();

// A joint rule is given here; where it binds is shown in the step about joints.
function jointOf(desk, raw, k, name, part) {
  const t = W.parts, rule = raw.joint;
  if (rule !== undefined) return el("p", { class: "quiet" }, `${t.joined} ${part?.joint?.kind ?? rule.kind ?? rule}. `, button(t.noJoint, () => desk.edit("remove", { path: ["part", k, "joint"] }, `${name}: ${t.noJoint}`), { "aria-label": `${t.noJoint}: ${name}` }));
  return field(t.mayJoin, choice("", [["", t.never], ...["scarf", "butt strap", "half lap", "keyed"].map((kind) => [kind, kind])], (kind) => kind && desk.edit("set", { path: ["part", k, "joint"], value: { kind } }, `${name}: ${t.mayJoin} ${kind}`), `${t.mayJoin}: ${name}`));
}

export const free = (list, name) => {
  const taken = new Set(list.map((p) => p.name));
  let made = name, n = 1;
  while (taken.has(made)) made = `${name} ${++n}`;
  return made;
};

function addRail(desk) {
  const { view } = desk.now, inch = view.units === "inch", name = free(view.written.rail ?? [], W.parts.newRail);
  const section = inch ? ["3/4in", "1-1/2in"] : ["19 mm", "45 mm"];
  return desk.edit("add", { kind: "rail", values: { name, section, length: inch ? "8ft" : "2.4 m" } }, `${W.parts.addRail}: ${name}`);
}

function rails(desk) {
  const t = W.parts, { view } = desk.now, list = view.written.rail ?? [];
  if (!list.length) return null;
  const row = (raw, k) => {
    const path = ["rail", k], name = raw.name ?? k + 1;
    const set = (key, what) => (v) => v === "" ? key in raw && desk.edit("remove", { path: [...path, key] }, `${name}, ${what}`) : desk.edit("set", { path: [...path, key], value: key === "count" && /^\d+$/.test(v) ? Number(v) : v }, `${name}, ${what}`);
    const cell = (key, what) => el("td", { "data-head": what }, entry(raw[key], set(key, what), { "aria-label": `${what}, ${name}`, "data-key": `rail ${k} ${key}` }));
    const side = (n) => el("td", { "data-head": n ? t.width : t.thickness }, entry(raw.section?.[n], (v) => v && desk.edit("set", { path: [...path, "section", n], value: v }, `${name}, ${t.section}`), { "aria-label": `${t.section} ${n + 1}, ${name}`, "data-key": `rail ${k} section ${n}` }));
    return el("tr", {}, cell("name", t.name), cell("count", t.count), Array.isArray(raw.section) ? [side(0), side(1)] : [el("td", {}), el("td", {})], cell("length", t.length), cell("material", t.material),
      el("td", { "data-head": t.hand }, choice(raw.hand ?? "", HANDS, set("hand", t.hand), `${t.hand}, ${name}`)), el("td", {}, button(t.remove, () => desk.edit("remove", { path }, `${t.remove} ${name}`), { "aria-label": `${t.remove} ${name}` })));
  };
  return el("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": t.rails }, el("table", { class: "form" }, el("thead", {}, el("tr", {}, [t.name, t.count, t.thickness, t.width, t.length, t.material, t.hand, t.remove].map((h) => el("th", { scope: "col" }, h)))),
    el("tbody", {}, list.map(row))));
}
