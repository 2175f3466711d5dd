// Where parts longer than the stock are joined: to scale, with the stretches that stay clear.
import { button, choice, el, entry, field, svg } from "/page/dom.js";
import { findingsOf, isOf, isOfJoint } from "/page/findings.js";
import { ask, asValue, formsOf, label, lengthsOf, measured } from "/page/numbers.js";
import { drawnOf } from "/page/outlines.js";
import { asWritten } from "/page/shed.js";
import { W } from "/page/words.js";

const most = (list) => Math.max(0, ...list);

export function joints(desk) {
  const t = W.joints, { view, plan } = desk.now;
  const all = [...(view.written.part ?? []).map((raw, k) => partAt(desk, raw, k)), ...(view.written.rail ?? []).map((raw, k) => railAt(desk, raw, k)), ...byEntries(view)];
  const isJoined = (p) => p.raw?.joint !== undefined || p.table !== "rail" && p.joint || plan?.joints.some((j) => j.part === p.name);
  const shown = all.filter((p) => p.isLong || isJoined(p)), whole = all.filter((p) => !shown.includes(p));
  return [
    el("h2", {}, t.head), el("p", {}, t.intro),
    shown.length ? shown.map((p) => card(desk, p)) : el("p", {}, t.none),
    whole.length ? el("details", { "data-key": "whole parts" }, el("summary", {}, `${t.others} (${whole.length})`), el("ul", { class: "plain" }, whole.map((p) => el("li", {}, p.k === null ? p.name : button(p.name, () => { asked.add(`${p.table} ${p.k}`); desk.draw(); }, { "aria-label": `${t.give}: ${p.name}` })))), whole.filter((p) => asked.has(`${p.table} ${p.k}`)).map((p) => card(desk, p))) : null,
    plan?.joints.length ? [el("h3", {}, t.planned), el("ul", {}, plan.joints.map((j) => el("li", {}, `${j.part}${j.hand ? ", " + j.hand : ""}: ${j.kind}, ${j.at}${j.kind === "butt strap" ? "" : `, ${t.overlap} ${j.overlap}, ${j.slope}`}`)))] : null,
    el("div", { class: "row" }, button(t.next, () => desk.go("plan"), { class: "main" })),
  ];
}
const asked = new Set(); // parts that come out whole and are looked at all the same

// A flat part as it is written, with its length as understood, or as drawn while it isn't.
function partAt(desk, raw, k) {
  const { view } = desk.now, part = view.parts.find((p) => p.name === raw.name), drawn = part ? null : drawnOf(desk, k), box = (part ?? drawn)?.box;
  const thickness = part?.thickness ?? raw.thickness ?? view.written.job?.thickness, material = part?.material ?? raw.material;
  const p = { table: "part", k, raw, name: String(raw.name ?? k + 1), size: (part ?? drawn)?.size ?? "", joint: part?.joint ?? null, thickness, material };
  p.picture = box && box[2] - box[0] >= box[3] - box[1] ? { d: (part ?? drawn).d, marks: part?.marks, box } : null;
  p.long = box ? Math.max(box[2] - box[0], box[3] - box[1]) : 0;
  p.fits = most(sheetsFor(view, p).map((s) => s.length_mm));
  p.isLong = p.fits > 0 && p.long > p.fits && raw.from !== "board";
  return p;
}
// Whether a flat part comes out in one length: "whole", "long", or "unknown" while no stock of it is.
export function fitOf(desk, raw, k) {
  const p = partAt(desk, raw, k);
  if (raw.from === "board") return "whole";
  return !p.fits || !p.long ? "unknown" : p.isLong ? "long" : "whole";
}
const sheetsFor = (view, p) => view.sheets.filter((s) => (!p.material || s.material === p.material) && s.thickness.replace(/\s/g, "") === String(p.thickness ?? "").replace(/\s/g, ""));

function railAt(desk, raw, k) {
  const { view } = desk.now, rail = view.rails.find((r) => r.name === raw.name);
  const p = { table: "rail", k, raw, name: String(raw.name ?? k + 1), size: rail ? `${rail.section} × ${rail.length}` : "", joint: rail?.joint ?? null, long: rail?.length_mm ?? 0, material: rail?.material, section_mm: rail?.section_mm };
  p.fits = rail ? most(boardLengths(view, p).map((l) => l.length_mm)) : 0;
  p.isLong = p.fits > 0 && p.long > p.fits;
  return p;
}

// Parts that another entry makes (a box, a set of frames): shown, and changed in that entry.
function byEntries(view) {
  const written = new Set([...(view.written.part ?? []), ...(view.written.rail ?? [])].map((w) => w.name));
  const flat = view.parts.filter((p) => !written.has(p.name) && p.joint).map((p) => ({ ...p, table: "part", k: null, long: p.box[2] - p.box[0] }));
  const rails = view.rails.filter((r) => !written.has(r.name) && r.joint).map((r) => ({ ...r, table: "rail", k: null, long: r.length_mm, size: `${r.section} × ${r.length}` }));
  return [...flat, ...rails];
}

const STEP_MM = 10;

function card(desk, p) {
  const t = W.joints, kind = p.joint?.kind ?? (p.raw?.joint?.kind || null), what = kind ?? (p.raw?.joint !== undefined ? t.asked : p.isLong ? t.cannot : t.noRule);
  return el("section", { class: "card joint", "data-place": `${p.table} ${p.k}` },
    el("h3", {}, `${p.name}: ${what} ${kind === "scarf" && p.joint ? p.joint.slope : ""}`),
    el("p", { class: "quiet" }, `${t.whole}: ${p.size}`),
    p.isLong && !p.joint ? el("p", { class: "finding blocking" }, el("strong", {}, `${t.tooLong} ${lengthWords(desk, p)}.`)) : null,
    p.k === null ? null : findingsOf(desk, (f) => f.blocking && isOf(desk, f, p.table, p.k) && isOfJoint(f) && !["JOB-091", "JOB-019", "JNT-116"].includes(f.code) && !/joint\.kind$/.test(f.where)),
    p.long ? [bar(desk, p), lengths(desk.now.view, p, (mm) => `${Math.max(0, Math.min(100, 100 * mm / p.long))}%`, p.long)] : null,
    p.joint ? el("p", {}, p.joint.at_mm ? t.given : t.free) : null, rules(desk, p), fewer(desk, p),
    p.k === null ? el("p", { class: "quiet" }, W.parts.fromEntry) : controls(desk, p));
}
const lengthWords = (desk, p) => p.table === "rail" ? boardLengths(desk.now.view, p).at(-1).size : sheetsFor(desk.now.view, p).sort((a, b) => b.length_mm - a.length_mm)[0].size;

// -- what the builder says of a part's joints ---------------------------------------------------

function setJoint(desk, p, key, value, what) {
  const path = [p.table, p.k, "joint"], words = `${p.name}, ${what}`, raw = p.raw.joint;
  if (raw && typeof raw === "object") return value === null ? key in raw && desk.edit("remove", { path: [...path, key] }, words) : desk.edit("set", { path: [...path, key], value }, words);
  return value === null ? null : desk.edit("set", { path, value: key === "kind" ? { kind: value } : { kind: p.joint?.kind ?? "scarf", [key]: value } }, words);
}

function controls(desk, p) {
  const t = W.joints, raw = typeof p.raw.joint === "object" ? p.raw.joint : {}, { view } = desk.now, has = p.raw.joint !== undefined || p.joint !== null;
  const kind = p.raw.joint !== undefined ? raw.kind ?? p.joint?.kind ?? "" : p.joint?.kind ?? "";
  const setKind = (v) => {
    const words = `${p.name}, ${t.kind}`;
    if (v !== "whole" && p.raw.joints === "none") return desk.edit("remove", { path: ["rail", p.k, "joints"] }, words).then(() => v !== "scarf" && setJoint(desk, p, "kind", v, t.kind));
    if (v !== "whole") return setJoint(desk, p, "kind", v, t.kind);
    if (p.table === "rail") return desk.edit("set", { path: ["rail", p.k, "joints"], value: "none" }, words);
    return p.raw.joint !== undefined && desk.edit("remove", { path: [p.table, p.k, "joint"] }, words);
  };
  const isAsked = p.raw.joint !== undefined && raw.kind === "", value = has ? kind : "whole";
  const kinds = [...(isAsked ? [["", W.choose]] : []), ["whole", t.never], ...(formsOf(desk)?.joint?.kinds[p.table] ?? []).map((k) => [k, t.kinds[k] ?? k])];
  const text = (key, what, id, put, shown, hint) => field(what, entry(shown, (v) => setJoint(desk, p, key, v === "" ? null : put(v), what), { "data-key": `joint ${p.table} ${p.k}${id}`, placeholder: hint ?? "" }));
  const keys = (formsOf(desk)?.joint?.keys ?? []).filter((key) => !PLAIN.has(key.name));
  return [
    el("div", { class: "row" }, field(t.kind, choice(value, kinds, setKind, null, { "data-key": `joint kind ${p.table} ${p.k}`, "aria-label": `${t.kind}: ${p.name}` }), isAsked || !has && p.isLong ? "column asked" : "column"),
      has && kind === "scarf" ? text("slope", t.slope, " slope", (v) => v, raw.slope, p.joint?.slope ?? "8:1") : null,
      has ? [text("most_joints", t.mostField, " most", (v) => /^\d+$/.test(v) ? Number(v) : v, raw.most_joints), text("least_piece", t.leastField, " least", (v) => measured(view, v), raw.least_piece)] : null),
    has ? [
      field(t.at, entry([raw.at ?? []].flat().join("; "), (v) => setJoint(desk, p, "at", v === "" ? null : lengthsOf(view, v), t.at), { "data-key": `joint ${p.table} ${p.k}` }), "column"),
      fixAsPlanned(desk, p, raw), clear(desk, p, raw),
      el("details", { "data-key": `joint more ${p.table} ${p.k}` }, el("summary", {}, W.numbers.more), el("div", { class: "fields" }, keys.map((key) => ask(key, Array.isArray(raw[key.name]) ? raw[key.name].join("; ") : raw[key.name], (v) => setJoint(desk, p, key.name, v === "" ? null : asValue(key, v, view), label(key)), `joint ${p.table} ${p.k} ${key.name}`))))] : null,
  ];
}
const PLAIN = new Set(["kind", "slope", "at", "keep_clear", "most_joints", "least_piece"]);

// Joints that nestcut chose become the builder's own, to be moved.
function fixAsPlanned(desk, p, raw) {
  const t = W.joints, at = [...new Map((desk.now.plan?.joints ?? []).filter((j) => j.part === p.name).map((j) => [j.at, j])).values()].sort((a, b) => a.at_mm - b.at_mm);
  if (raw.at || !at.length || new Set(desk.now.plan.joints.filter((j) => j.part === p.name).map((j) => j.hand)).size > 1 && p.table === "rail") return null;
  return button(t.fix, () => setJoint(desk, p, "at", at.map((j) => asWritten(desk.now.view.units, j.at_mm)), t.fix), { "aria-label": `${t.fix}: ${p.name}` });
}

// What counts for a place where nothing is said.
const usualOf = (desk, key) => formsOf(desk)?.keep_clear.keys.find((k) => k.name === key)?.usual ?? "";
// Places where no joint may lie: listed, one more by a form, or none at all.
const draft = {};
function clear(desk, p, raw) {
  const t = W.joints, { view } = desk.now, list = Array.isArray(raw.keep_clear) ? raw.keep_clear : [], id = `clear ${p.table} ${p.k}`, mine = draft[id] ??= {};
  const isAsked = view.findings.some((f) => f.code === "JOB-091" && isOf(desk, f, p.table, p.k));
  const put = (value) => setJoint(desk, p, "keep_clear", value, t.clearHead);
  const add = () => {
    if (!mine.at) return desk.say(`${p.name}, ${t.clearHead}: ${W.parts.notFilled} ${t.middle}`);
    const made = { at: measured(view, mine.at), ...(mine.within ? { within: measured(view, mine.within) } : {}), ...(mine.why ? { why: mine.why } : {}) };
    delete draft[id];
    return put([...list, made]);
  };
  const box = (key, words, hint) => field(words, entry(mine[key] ?? "", (v) => { mine[key] = v; }, { "data-key": `${id} ${key}`, placeholder: hint }));
  const inch = view.units === "inch", within = usualOf(desk, "within"), why = (c) => c.why ? `: ${c.why}` : "";
  return el("div", { class: isAsked ? "finding blocking" : "clearance" }, el("h4", {}, t.clearHead), el("p", { class: "quiet" }, isAsked ? t.clearAsked : t.clearHelp),
    raw.keep_clear === "none" ? el("p", {}, t.clearNone) : null,
    list.map((c, n) => el("div", { class: "row" }, el("span", {}, c.at !== undefined ? `${c.at}, ${t.within} ${c.within ?? within}${why(c)}` : `${c.from} ${t.to} ${c.to}${why(c)}`),
      button(W.parts.remove, () => put(list.length > 1 ? list.filter((_, i) => i !== n) : "none"), { "aria-label": `${W.parts.remove}: ${c.why ?? t.clearHead}, ${p.name}` }))),
    el("div", { class: "row" }, box("at", t.middle, inch ? "4ft" : "1200 mm"), box("within", t.eitherWay, within), box("why", t.why, t.whyHint), button(t.addClear, add, { "aria-label": `${t.addClear}: ${p.name}` }),
      raw.keep_clear === "none" || list.length ? null : button(t.nothingClear, () => put("none"), { "aria-label": `${t.nothingClear}: ${p.name}` })));
}

// -- to scale -----------------------------------------------------------------------------------

function bar(desk, p) {
  const t = W.joints, plan = desk.now.plan, length = p.long;
  const share = (mm) => `${Math.max(0, Math.min(100, 100 * mm / length))}%`;
  const own = p.k !== null && p.joint && (p.table === "rail" || typeof p.raw.joint === "object"), given = p.joint?.at_mm;
  const moved = (i, mm) => setJoint(desk, p, "at", given.map((at, n) => n === i ? asWritten(desk.now.view.units, Math.max(0, Math.min(length, mm))) : p.joint.at[n]), t.joint);
  const node = el("div", { class: p.picture ? "bar shape" : "bar" }, outline(p), (p.joint?.keep_clear ?? []).map(([a, b, why, place]) => placed("clear", { title: `${why}, ${place}` }, a, b - a)),
    given ? given.map((mm, i) => [handle(mm, i), placed("tick", {}, mm, null, p.joint.at[i])]) : planned());
  return node;
  function placed(cls, attrs, mm, wide, words) {
    const made = el("span", { class: cls, ...attrs }, words ?? "");
    made.style.left = share(mm);
    if (wide !== null) made.style.width = share(wide);
    return made;
  }
  function planned() {
    const mine = (plan?.joints ?? []).filter((j) => j.part === p.name), all = new Set(mine.map((j) => j.hand)), places = new Map();
    for (const j of mine) places.set(j.at, { ...j, hands: new Set([...(places.get(j.at)?.hands ?? []), j.hand]) });
    // port and starboard needn't be joined at the same place: whose a joint is, is said then
    return [...places.values()].map((j) => [placed("joint chosen", {}, j.at_mm, null), placed("tick", {}, j.at_mm, null, j.hands.size < all.size ? `${j.at}, ${[...j.hands].join(", ")}` : j.at)]);
  }
  function handle(mm, i) {
    const made = placed("joint", { role: "slider", tabindex: own ? 0 : null, "aria-label": `${t.joint} ${i + 1}, ${p.name}`, "aria-valuemin": 0, "aria-valuemax": Math.round(length), "aria-valuenow": Math.round(mm), "aria-valuetext": p.joint.at[i], "data-key": `joint ${p.table} ${p.k} ${i}` }, mm, null);
    if (!own) return made;
    made.addEventListener("keydown", (e) => {
      const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[e.key];
      if (!by) return;
      e.preventDefault();
      moved(i, mm + by * (e.shiftKey ? 10 : 1) * STEP_MM);
    });
    made.addEventListener("pointerdown", (down) => {
      down.preventDefault();
      made.setPointerCapture(down.pointerId);
      const release = desk.hold();
      const wide = node.getBoundingClientRect();
      let at = mm;
      const move = (e) => { at = STEP_MM * Math.round((e.clientX - wide.left) / wide.width * length / STEP_MM); made.style.left = share(at); };
      made.addEventListener("pointermove", move);
      made.addEventListener("pointercancel", release, { once: true });
      made.addEventListener("pointerup", () => { made.removeEventListener("pointermove", move); release(); if (Math.abs(at - mm) >= STEP_MM) moved(i, at); }, { once: true });
    });
    return made;
  }
}

// The part itself, where it lies along the page.
function outline(p) {
  if (!p.picture) return null;
  const [x0, y0, x1, y1] = p.picture.box, node = svg("svg", { viewBox: `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`, preserveAspectRatio: "none", "aria-hidden": "true" },
    svg("g", { transform: "scale(1,-1)" }, svg("path", { class: "outline", d: p.picture.d }), p.picture.marks ? svg("path", { class: "mark", d: p.picture.marks }) : null));
  node.style.aspectRatio = `${x1 - x0} / ${y1 - y0}`;
  return node;
}

// The lengths that can be had, to the same scale.
function lengths(view, p, share, whole) {
  const stock = p.table === "rail"
    ? boardLengths(view, p)
    : sheetsFor(view, p);
  return stock.map((s) => {
    const node = el("div", { class: "ruler", title: `${s.size}: ${s.name}` }, `${s.size}: ${s.name}`);
    node.style.width = share(Math.min(s.length_mm, whole));
    return node;
  });
}

// Each length once that a rail can be ripped from, with the boards that come in it.
function boardLengths(view, p) {
  const found = new Map();
  for (const b of view.boards) {
    if (b.material !== p.material || b.section_mm.some((mm, n) => mm < p.section_mm[n])) continue;
    for (const l of b.lengths) {
      const at = found.get(l.length_mm) ?? { names: [], size: l.length, length_mm: l.length_mm };
      if (!at.names.includes(b.name)) at.names.push(b.name);
      found.set(l.length_mm, at);
    }
  }
  return [...found.values()].sort((a, b) => a.length_mm - b.length_mm).map((l) => ({ ...l, name: l.names.join(", ") }));
}

// Stretches where no joint may lie, each reason once with its places.
function clearOf(desk, p) {
  const places = new Map();
  for (const [, , why, place] of p.joint.keep_clear) places.set(why, [...(places.get(why) ?? []), place]);
  return [...places].map(([why, at]) => why === usualOf(desk, "why") ? `${W.joints.clear} ${at.join(", ")}` : `${W.joints.clear} ${why} (${at.join(", ")})`);
}

// Rules that bind every joint of the part, in words.
function rules(desk, p) {
  if (!p.joint) return null;
  const t = W.joints, said = [p.joint.most !== null && `${t.most} ${p.joint.most}`, p.joint.least && `${t.least} ${p.joint.least}`, ...clearOf(desk, p)].filter(Boolean);
  return said.length ? el("p", { class: "quiet" }, `${t.rules} ${said.join("; ")}.`) : null;
}

// What a plan with one joint fewer in this part comes to, by a search of its own.
function fewer(desk, p) {
  const t = W.joints, { plan, fewer: known } = desk.now, mine = plan?.joints.filter((j) => j.part === p.name) ?? [];
  if (!mine.length) return null;
  const told = known?.[p.name];
  return el("div", { class: "row" }, el("span", {}, `${t.fewer} ${told ? `${t.price[told.price]} ${told.money}`.trim() : known ? t.working : t.notKnown}.`),
    known ? null : button(t.work, () => desk.act("price-joints", undefined, t.working), { "aria-label": `${t.work}: ${p.name}`, "data-key": "price " + p.name }));
}
