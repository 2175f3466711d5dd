// The drawings of the job: every outline can be clicked, and what is asked stands beside it.
import { fetched } from "/page/api.js";
import { button, el, entry, field, svg } from "/page/dom.js";
import { drawingPicture } from "/page/drawing.js";
import { card, free } from "/page/parts.js";
import { W } from "/page/words.js";

const known = { digest: "", list: [], asking: false };
const settled = new Set(); // what was answered since these were read: it isn't asked once more
let chosen = null; // { file, number }
let sought = false; // whether the drawings are to be looked at once they are there

// Drawings are read once for each state of the job; the old ones stay in sight meanwhile.
function read(desk) {
  const digest = desk.now.job.digest;
  if (known.digest === digest || known.asking) return;
  known.asking = true;
  fetched("drawings").then((list) => { Object.assign(known, { digest, list }); settled.clear(); }).finally(() => { known.asking = false; desk.draw(); });
}

// The outline that a part of the job is, as drawn: there before all its questions are answered.
export function drawnOf(desk, k) {
  read(desk);
  const file = desk.now.view.written.part?.[k]?.drawing;
  const o = known.list.find((d) => d.file === file)?.outlines.find((x) => x.part === k);
  return o ? asTaken(desk, o) : null;
}

// An outline as the job takes it: a half that is mirrored is shown and measured whole.
function asTaken(desk, o) {
  const { part = [], drawing = [] } = desk.now.view.written, raw = o.part === null ? null : part[o.part];
  if (!raw || !o.whole) return o;
  const said = raw.drawn_half ?? drawing.find((d) => d.file === raw.drawing)?.drawn_half;
  return said === "mirror" ? { ...o, ...o.whole } : o;
}

export function seek() { sought = true; }

export function drawings(desk) {
  read(desk);
  if (sought && known.list.length && known.digest === desk.now.job.digest) {
    sought = false;
    requestAnimationFrame(() => { const at = document.querySelector("section.drawing h3"); at?.scrollIntoView(); at?.focus({ preventScroll: true }); });
  }
  return known.list.map((drawing) => one(desk, drawing));
}

function one(desk, drawing) {
  const t = W.drawn, asked = drawing.outlines.filter((o) => isAsked(o)), gaps = drawing.rings.filter((r) => r.letter && r.gap).map((r) => r.letter);
  const ringed = drawing.rings.filter((r) => r.letter && !r.gap), others = drawing.rings.filter((r) => !r.letter);
  return el("section", { class: "drawing", "aria-label": drawing.file, "data-place": "drawings" },
    el("h3", { tabindex: -1 }, `${t.head} ${drawing.file}`),
    drawing.sizes.length && !settled.has(drawing.file) ? units(desk, drawing) : null,
    drawing.gaps.filter((g) => !settled.has(`${drawing.file} ${g.layer}`)).map((g) => gap(desk, drawing, g)),
    newlyClosed(desk, drawing), halves(desk, drawing), solid(desk, drawing),
    el("p", { class: "quiet" }, t.how),
    asked.length ? el("div", { class: "row" }, el("span", {}, t.asked), asked.map((o) => button(`${o.number}`, () => choose(desk, drawing, o), { "aria-label": said(desk, o) }))) : null,
    el("div", { class: "beside" },
      drawingPicture(desk, drawing, { chosen: chosen?.file === drawing.file ? chosen.number : null, choose: (o) => choose(desk, drawing, o), said: (o) => said(desk, o), mirrored: (o) => asTaken(desk, o) !== o, isAsked }),
      el("div", { class: "aside", "aria-live": "polite" }, about(desk, drawing))),
    all(desk, drawing),
    gaps.length ? el("p", {}, el("strong", {}, gaps.join(", ")), `: ${t.gapRings}`) : null,
    ringed.length ? el("ul", { class: "rings" }, ringed.map((r) => el("li", { class: r.blocking ? "blocking" : "" }, el("strong", {}, `${r.letter} `), r.words))) : null,
    others.length ? el("details", {}, el("summary", {}, `${t.remarks} (${others.length})`), el("ul", {}, others.map((r) => el("li", {}, r.words)))) : null);
}

function units(desk, drawing) {
  const t = W.drawn;
  return el("div", { class: "finding blocking" }, el("strong", {}, t.unit), el("p", {}, t.unitHow), el("div", { class: "row" }, drawing.sizes.map(({ unit, sizes }) =>
    button(`${t.units[unit]}: ${sizes.join(t.and)}`, () => { settled.add(drawing.file); return setUnit(desk, drawing, unit); }))));
}

// One answer for all drawings must not rescale another that is sure of itself.
function setUnit(desk, drawing, value) {
  const w = desk.now.view.written, said = `${W.drawn.unit} ${W.drawn.units[value]}`, own = (w.drawing ?? []).findIndex((d) => d.file === drawing.file);
  if (w.drawings?.unit === "" || known.list.length === 1 && !(own >= 0 && "unit" in w.drawing[own])) return desk.edit("set", { path: ["drawings", "unit"], value }, said);
  if (own >= 0) return desk.edit("set", { path: ["drawing", own, "unit"], value }, said);
  return desk.edit("add", { kind: "drawing", values: { file: drawing.file, unit: value } }, said);
}

// Ends that nearly meet keep an outline open: it can be closed here.
function gap(desk, drawing, g) {
  const t = W.drawn, names = g.names.length ? g.names.join(", ") : `${t.onLayer} ${g.layer}`;
  const close = () => { settled.add(`${drawing.file} ${g.layer}`); return desk.edit("close-gaps", { file: drawing.file, layer: g.layer, setting: g.setting }, `${names}: ${t.closed}`); };
  return el("div", { class: "finding" + (g.names.length ? " blocking" : "") }, el("strong", {}, `${names}: ${t.open}`),
    el("p", {}, `${g.gaps ? `${t.gaps} ${g.gaps}. ` : ""}${t.widest} ${g.setting}. ${g.others ? `${t.others} ${g.others}.` : t.noOthers}`),
    el("div", { class: "row" }, button(`${t.close} (${g.setting})`, close, { class: "main", "aria-label": `${t.close} (${g.setting}): ${names}` })));
}

// What became an outline when its gaps were closed, and has a name: taken or declined here.
function newlyClosed(desk, drawing) {
  const t = W.drawn, open = drawing.outlines.filter((o) => o.closed && o.part === null && !o.declined);
  return open.map((o) => el("div", { class: "finding blocking" }, el("strong", {}, `${o.number}: ${o.name}, ${o.size}`), el("p", {}, t.newHead),
    el("div", { class: "row" }, button(t.take, () => desk.edit("add", { kind: "part", values: entryOf(desk, drawing, o) }, `${t.takes} ${o.name}`), { class: "main", "aria-label": `${t.take}: ${o.name}` }),
      button(t.noPart, () => decline(desk, drawing, o), { "aria-label": `${t.noPart}: ${o.name}` }))));
}
const entryOf = (desk, drawing, o, name) => ({ name: name || free(desk.now.view.written.part ?? [], o.name || `${W.drawn.number} ${o.number}`), drawing: drawing.file, outline: `${o.number} of ${drawing.of}`, ...o.said });

// Whether a question after a half is asked beside its picture.
export function asksBeside(desk, f) {
  if (!/drawn_half$/.test(f.where) || !f.table) return false;
  const [table, k] = f.table, file = desk.now.view.written.drawing?.[k]?.file;
  return table === "part" ? Boolean(drawnOf(desk, k)?.half) : known.list.some((d) => d.file === file && d.outlines.some((o) => o.part !== null && o.half));
}

// Whether what looks like half a part is one: asked outline by outline, with what it would become.
function halves(desk, drawing) {
  const w = desk.now.view.written, own = (w.drawing ?? []).findIndex((d) => d.file === drawing.file), forAll = own >= 0 && w.drawing[own].drawn_half === "";
  const open = drawing.outlines.filter((o) => o.part !== null && o.half && (w.part[o.part]?.drawn_half === "" || forAll && !w.part[o.part]?.drawn_half));
  const t = W.drawn, settle = async (o, value) => {
    const name = w.part[o.part].name;
    const done = await desk.edit("set", { path: ["part", o.part, "drawn_half"], value }, `${name}: ${value === "mirror" ? t.mirrored : t.leftAsDrawn}`);
    if (done && forAll && open.length === 1) await desk.edit("remove", { path: ["drawing", own, "drawn_half"] }, `${name}: ${t.halfHead}`);
  };
  return open.length ? el("div", { class: "finding blocking" }, el("strong", {}, t.halfHead), el("div", { class: "cards" }, open.map((o) => {
    const name = w.part[o.part].name ?? o.name;
    return el("div", { class: "card" }, el("h4", {}, `${o.number}: ${name}, ${o.size}`), beforeAfter(o),
      el("div", { class: "row" }, button(t.mirror, () => settle(o, "mirror"), { "aria-label": `${t.mirror}: ${name}` }), button(t.asDrawn, () => settle(o, "no"), { "aria-label": `${t.asDrawn}: ${name}` })));
  }))) : null;
}

function beforeAfter(o) {
  const small = (d, words) => {
    const at = [...d.matchAll(/(-?[\d.]+),(-?[\d.]+)/g)].map((m) => [Number(m[1]), Number(m[2])]), xs = at.map((p) => p[0]), ys = at.map((p) => p[1]);
    const [x0, y0, x1, y1] = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)], m = Math.max(x1 - x0, y1 - y0) * 0.04;
    return el("figure", { class: "glance" }, svg("svg", { viewBox: `${x0 - m} ${-y1 - m} ${x1 - x0 + 2 * m} ${y1 - y0 + 2 * m}`, role: "img", "aria-label": `${o.name}, ${words}` },
      svg("g", { transform: "scale(1,-1)" }, svg("path", { class: "outline", d }))), el("figcaption", {}, words));
  };
  return el("div", { class: "glances" }, small(o.d, W.drawn.before), small(o.whole.d, W.drawn.after));
}

// What a label calls a batten of solid wood is sawn from a board, not from a sheet, unless it is said.
function solid(desk, drawing) {
  const t = W.drawn, open = drawing.outlines.filter((o) => o.rail && partOf(desk, o) && !("from" in partOf(desk, o)));
  const asRail = (o) => {
    const { name, count, hand } = partOf(desk, o), rail = { name, ...o.rail, ...(count ? { count } : {}), ...(hand ? { hand } : {}) };
    return decline(desk, drawing, o, `${name}: ${t.isRail}`, { part: o.part, rail });
  };
  const one = (o) => {
    const { name } = partOf(desk, o), flat = `${name}: ${t.fromSheet}`;
    return el("div", {}, el("p", {}, `${o.number}: ${name}, ${t.solidSays} ${o.rail.section.join(" × ")}.`), el("div", { class: "row" },
      button(t.toRail, () => asRail(o), { class: "main", "aria-label": `${t.toRail}: ${name}` }),
      button(t.fromSheet, () => desk.edit("set", { path: ["part", o.part, "from"], value: "sheet" }, flat), { "aria-label": `${t.fromSheet}: ${name}` })));
  };
  return open.length ? el("div", { class: "finding blocking" }, el("strong", {}, t.solidHead), open.map(one)) : null;
}

// Asked is what may be a part, and what looks like one but is none of the job so far.
const isAsked = (o) => o.part === null && (o.verdict !== "not a part" || o.closed) && !o.declined;
const partOf = (desk, o) => o.part === null ? null : (desk.now.view.written.part ?? [])[o.part];
const stateOf = (desk, o) => { const t = W.drawn; return partOf(desk, o) ? t.isPart : isAsked(o) ? t.isAsked : t.isNone; };
const nameOf = (desk, o) => partOf(desk, o)?.name ?? o.name;
const said = (desk, o) => `${W.drawn.number} ${o.number}, ${nameOf(desk, o)}, ${asTaken(desk, o).size}: ${stateOf(desk, o)}`;

function choose(desk, drawing, o) {
  chosen = { file: drawing.file, number: o.number };
  desk.draw();
}

// Every outline in words: what lies under another, or is a sliver, is found here.
function all(desk, drawing) {
  const t = W.drawn, list = [...drawing.outlines].sort((a, b) => a.number - b.number);
  return el("details", { open: list.length <= 24, "data-key": "all outlines" }, el("summary", {}, `${t.all} (${list.length})`),
    el("ul", { class: "outlines" }, list.map((o) => el("li", {}, button(`${o.number}  ${nameOf(desk, o)}`, () => choose(desk, drawing, o), { "aria-label": said(desk, o), "aria-pressed": chosen?.file === drawing.file && chosen.number === o.number ? "true" : "false" }), el("span", { class: "quiet" }, ` ${asTaken(desk, o).size}, ${stateOf(desk, o)}`)))));
}

function about(desk, drawing) {
  const t = W.drawn, o = chosen?.file === drawing.file && drawing.outlines.find((x) => x.number === chosen.number);
  if (!o) return el("p", { class: "quiet" }, t.nothing);
  const raw = partOf(desk, o), head = el("h4", {}, `${t.number} ${o.number}: ${asTaken(desk, o).size}`);
  const why = o.why.length || o.kind ? el("p", { class: "quiet" }, [o.kind, ...o.why].filter(Boolean).join("; ")) : null;
  if (!raw) return [head, why, newPart(desk, drawing, o)];
  const k = o.part;
  return [head, why, card(desk, raw, k, desk.now.view.parts.find((p) => p.name === raw.name), t.notPart)];
}

let name = "";
function newPart(desk, drawing, o) {
  const t = W.drawn, taken = desk.now.view.written.part ?? [], usual = free(taken, o.name || `${t.number} ${o.number}`);
  name = usual;
  const make = () => desk.edit("add", { kind: "part", values: entryOf(desk, drawing, o, name) }, `${t.takes} ${name || usual}`);
  const labelled = o.labels.length ? el("p", { class: "quiet" }, `${t.label} ${o.labels.join(" / ")}`) : null;
  return [labelled, el("div", { class: "row" }, field(W.parts.name, entry(usual, (v) => { name = v; }, { "data-key": "new part" })), button(t.take, make, { class: "main" }), isAsked(o) ? button(t.noPart, () => decline(desk, drawing, o)) : null)];
}

// A part that is taken out of the job again, as its outline is none.
export function notPart(desk, k, words) {
  const file = desk.now.view.written.part[k].drawing, drawing = known.list.find((d) => d.file === file), o = drawing?.outlines.find((x) => x.part === k);
  return o ? decline(desk, drawing, o, words, { part: k }) : desk.edit("remove", { path: ["part", k] }, words);
}

// An outline that is no part: the job says so, and it isn't asked again.
function decline(desk, drawing, o, words = `${W.drawn.number} ${o.number}: ${W.drawn.noPart}`, more = {}) {
  return desk.edit("no-part", { file: drawing.file, outline: `${o.number} of ${drawing.of}`, ...more }, words);
}
