// The drawings of the job: every outline can be clicked, and what is asked stands beside it.
import { fetched } from "/page/api.js";
import { button, el, entry, field, svg } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
import { card, free } from "/page/parts.js";
import { W } from "/page/words.js";

const known = { digest: "", list: [], asking: false };
let chosen = null; // { file, number }

// Drawings are read once for each state of the job; the old ones stay in sight meanwhile.
function read(desk) {
  const digest = desk.now.job.digest;
  if (known.digest === digest || known.asking) return;
  known.asking = true;
  fetched("drawings").then((list) => Object.assign(known, { digest, list })).finally(() => { known.asking = false; desk.draw(); });
}

export function drawings(desk) {
  read(desk);
  return known.list.map((drawing) => one(desk, drawing));
}

function one(desk, drawing) {
  const t = W.drawn, asked = drawing.outlines.filter((o) => o.part === null && o.verdict === "asked");
  return el("section", { class: "drawing", "aria-label": drawing.file },
    el("h3", {}, `${t.head} ${drawing.file}`),
    drawing.sizes.length ? units(desk, drawing) : null,
    el("p", { class: "quiet" }, t.how),
    asked.length ? el("div", { class: "row" }, el("span", {}, t.asked), asked.map((o) => button(`${o.number}`, () => choose(desk, drawing, o), { "aria-label": said(desk, o) }))) : null,
    el("div", { class: "beside" }, picture(desk, drawing), el("div", { class: "aside", "aria-live": "polite" }, about(desk, drawing))),
    drawing.rings.length ? el("ol", { class: "rings" }, drawing.rings.map((r) => el("li", { class: r.blocking ? "blocking" : "" }, r.words))) : null);
}

function units(desk, drawing) {
  const t = W.drawn;
  return el("div", { class: "finding blocking" }, el("strong", {}, t.unit), el("p", {}, t.unitHow), el("div", { class: "row" }, drawing.sizes.map(({ unit, sizes }) =>
    button(`${t.units[unit]}: ${sizes.join(t.and)}`, () => setUnit(desk, drawing, unit)))));
}

// One answer for all drawings must not rescale another that is sure of itself.
function setUnit(desk, drawing, value) {
  const w = desk.now.view.written, said = `${W.drawn.unit}: ${W.drawn.units[value]}`, own = (w.drawing ?? []).findIndex((d) => d.file === drawing.file);
  if (own >= 0) return desk.edit("set", { path: ["drawing", own, "unit"], value }, said);
  if (known.list.length === 1 || (w.drawings && "unit" in w.drawings)) return desk.edit("set", { path: ["drawings", "unit"], value }, said);
  return desk.edit("add", { kind: "drawing", values: { file: drawing.file, unit: value } }, said);
}

const partOf = (desk, o) => o.part === null ? null : (desk.now.view.written.part ?? [])[o.part];
function said(desk, o) {
  const t = W.drawn, part = partOf(desk, o);
  return `${t.number} ${o.number}, ${part ? part.name : o.name}, ${o.size}: ${part ? t.isPart : o.verdict === "asked" ? t.isAsked : t.isNone}`;
}

function choose(desk, drawing, o) {
  chosen = { file: drawing.file, number: o.number };
  desk.draw();
}

function picture(desk, drawing) {
  const [x0, y0, x1, y1] = drawing.box, wide = x1 - x0, m = Math.max(wide, y1 - y0) * 0.03, sign = Math.max(wide, y1 - y0) / (innerWidth < 700 ? 26 : 55);
  const group = (o) => {
    const state = o.part !== null ? "part" : o.verdict === "asked" ? "asked" : "no", is = chosen?.file === drawing.file && chosen.number === o.number;
    const node = svg("g", { class: `drawn ${state}${is ? " chosen" : ""}`, tabindex: 0, role: "button", "aria-pressed": is ? "true" : "false", "aria-label": said(desk, o), "data-key": `outline ${drawing.file} ${o.number}` },
      svg("path", { class: "hit", d: o.d.split("Z")[0] + "Z" }), svg("path", { d: o.d }),
      svg("text", { x: (o.box[0] + o.box[2]) / 2, y: -(o.box[1] + o.box[3]) / 2, transform: "scale(1,-1)", "font-size": sign, "text-anchor": "middle", "dominant-baseline": "middle" }, String(o.number)));
    node.addEventListener("click", () => choose(desk, drawing, o));
    node.addEventListener("keydown", (e) => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); choose(desk, drawing, o); } });
    return node;
  };
  return svg("svg", { class: "picture drawn", viewBox: `${x0 - m} ${-y1 - m} ${wide + 2 * m} ${y1 - y0 + 2 * m}`, role: "group", "aria-label": `${W.drawn.head} ${drawing.file}` },
    svg("defs", {}, svg("pattern", { id: "asked", width: sign * 0.7, height: sign * 0.7, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, svg("line", { class: "askline", y2: sign * 0.7 }))),
    svg("g", { transform: "scale(1,-1)" }, drawing.loose.map((d) => svg("path", { class: "loose", d })), drawing.outlines.map(group),
      drawing.rings.map((r, k) => svg("g", { class: "ring" }, svg("circle", { cx: r.at[0], cy: r.at[1], r: sign * 0.8 }), svg("text", { x: r.at[0] + sign, y: -r.at[1], transform: "scale(1,-1)", "font-size": sign * 0.8 }, String(k + 1))))));
}

function about(desk, drawing) {
  const t = W.drawn, o = chosen?.file === drawing.file && drawing.outlines.find((x) => x.number === chosen.number);
  if (!o) return el("p", { class: "quiet" }, t.nothing);
  const raw = partOf(desk, o), head = el("h4", {}, `${t.number} ${o.number}: ${o.size}`);
  const why = o.why.length || o.kind ? el("p", { class: "quiet" }, [o.kind, ...o.why].filter(Boolean).join("; ")) : null;
  if (!raw) return [head, why, newPart(desk, drawing, o)];
  const k = o.part, mirrors = raw.drawn_half === "mirror";
  return [head, why, findingsOf(desk, (f) => f.blocking && f.table?.[0] === "part" && f.table[1] === k),
    o.half ? button(mirrors ? t.asDrawn : t.mirror, () => mirrors ? desk.edit("remove", { path: ["part", k, "drawn_half"] }, t.asDrawn) : desk.edit("set", { path: ["part", k, "drawn_half"], value: "mirror" }, t.mirror)) : null,
    card(desk, raw, k, desk.now.view.parts.find((p) => p.name === raw.name), t.notPart)];
}

let name = "";
function newPart(desk, drawing, o) {
  const t = W.drawn, taken = desk.now.view.written.part ?? [], usual = free(taken, o.name || `${t.number} ${o.number}`);
  name = usual;
  const make = () => desk.edit("add", { kind: "part", values: { name: name || usual, drawing: drawing.file, outline: `${o.number} of ${drawing.of}`, ...o.said } }, `${t.takes} ${name || usual}`);
  return el("div", { class: "row" }, field(W.parts.name, entry(usual, (v) => { name = v; }, { "data-key": "new part" })), button(t.take, make, { class: "main" }));
}
