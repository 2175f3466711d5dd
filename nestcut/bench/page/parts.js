// Every part with its picture and what is said of it.
import { button, choice, el, entry, field, svg } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
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
    el("div", { class: "row" }, button(t.add, () => addRectangle(desk)), button(t.next, () => desk.go("stock"), { class: "main" })),
    view.rails.length ? [el("h2", {}, t.rails), rails(view)] : null,
  ];
}

function card(desk, raw, k, part) {
  const t = W.parts, name = String(raw.name ?? "");
  const set = (key, what) => (value) => {
    const path = ["part", k, key], words = `${name}, ${what}`;
    if (value === "") return key in raw && desk.edit("remove", { path }, words);
    return desk.edit("set", { path, value: key === "count" && /^\d+$/.test(value) ? Number(value) : value }, words);
  };
  const text = (key, what) => field(what, entry(raw[key], set(key, what), { "data-key": `part ${k} ${key}`, placeholder: part?.[key] ? String(part[key]) : t.usual }));
  const grain = part?.grain ?? raw.grain ?? "along";
  const shape = raw.shape?.kind === "rectangle" ? ["length", "width"].map((key) => field(t[key], entry(raw.shape[key], (v) => v && desk.edit("set", { path: ["part", k, "shape", key], value: v }, `${name}, ${t[key]}`), { "data-key": `part ${k} ${key}` }))) : null;
  return el("article", { class: "card" },
    el("h3", {}, name), part ? partPicture(part, grain) : null, part && el("p", {}, part.size),
    el("div", { class: "fields" }, text("name", t.name), text("thickness", t.thickness), shape, text("count", t.count),
      field(t.hand, choice(raw.hand ?? "", HANDS, set("hand", t.hand))), field(t.turn, choice(raw.turn ?? "", TURNS, set("turn", t.turn))),
      text("allowance", t.allowance), text("material", t.material)),
    el("div", { class: "row" },
      button(`${t.grainTurn} (${grain})`, () => set("grain", t.grain)(GRAINS[(GRAINS.indexOf(grain) + 1) % 3]), { "data-key": `part ${k} grain` }),
      button(t.remove, () => desk.edit("remove", { path: ["part", k] }, `${t.remove} ${name}`), { "aria-label": `${t.remove} ${name}` })));
}

function addRectangle(desk) {
  const t = W.parts, taken = new Set((desk.now.view.written.part ?? []).map((p) => p.name));
  let name = t.newName, n = 1;
  while (taken.has(name)) name = `${t.newName} ${++n}`;
  const [length, width] = desk.now.view.units === "inch" ? ["2ft", "1ft"] : ["600 mm", "300 mm"];
  const thickness = desk.now.view.sheets[0]?.thickness ?? (desk.now.view.units === "inch" ? "1/4in" : "6 mm");
  return desk.edit("add", { kind: "part", values: { name, thickness, shape: { kind: "rectangle", length, width } } }, `${t.add}: ${name}`);
}

function rails(view) {
  const t = W.parts;
  return el("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": t.rails }, el("table", {}, el("thead", {}, el("tr", {}, [t.name, t.count, t.section, t.length, t.material].map((h) => el("th", { scope: "col" }, h)))),
    el("tbody", {}, view.rails.map((r) => el("tr", {}, [r.name, `${r.count} ${r.hands === "none" ? "" : r.hands}`, r.section, r.length, r.material].map((c) => el("td", {}, c)))))));
}
