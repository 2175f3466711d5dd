// Where parts longer than the stock are joined: to scale, with the stretches that stay clear.
import { button, el, entry, field } from "/page/dom.js";
import { asWritten } from "/page/shed.js";
import { W } from "/page/words.js";

export function joints(desk) {
  const t = W.joints, { view, plan } = desk.now;
  const ruled = [...view.parts.filter((p) => p.joint).map((p) => ({ ...p, table: "part", long: p.box[2] - p.box[0] })),
    ...view.rails.filter((r) => r.joint).map((r) => ({ ...r, table: "rail", long: r.length_mm, size: `${r.section} × ${r.length}` }))];
  return [
    el("h2", {}, t.head), ruled.length ? ruled.map((p) => part(desk, p, (view.written[p.table] ?? []).findIndex((w) => w.name === p.name), plan)) : el("p", {}, t.none),
    tooLong(desk),
    plan?.joints.length ? [el("h3", {}, t.planned), el("ul", {}, plan.joints.map((j) => el("li", {}, `${j.part}${j.hand ? ", " + j.hand : ""}: ${j.kind}, ${j.at}${j.kind === "butt strap" ? "" : `, ${t.overlap} ${j.overlap}, ${j.slope}`}`)))] : null,
    button(t.next, () => desk.go("plan"), { class: "main" }),
  ];
}

const STEP_MM = 10;

function part(desk, p, k, plan) {
  const t = W.joints, length = p.long;
  const share = (mm) => `${Math.max(0, Math.min(100, 100 * mm / length))}%`;
  const raw = k >= 0 ? desk.now.view.written[p.table][k].joint : null, own = raw && typeof raw === "object";
  const given = p.joint.at_mm;
  const change = (list) => {
    const path = [p.table, k, "joint", "at"], words = `${p.name}, ${t.head}`;
    if (!list.length) return own && "at" in raw && desk.edit("remove", { path }, words);
    return desk.edit("set", { path, value: list }, words);
  };
  const moved = (i, mm) => change(given.map((at, n) => n === i ? asWritten(desk.now.view.units, Math.max(0, Math.min(length, mm))) : p.joint.at[n]));
  const bar = el("div", { class: "bar" }, p.joint.keep_clear.map(([a, b, why]) => placed("clear", { title: why }, a, b - a)),
    given ? given.map((mm, i) => [handle(mm, i), placed("tick", {}, mm, null, p.joint.at[i])]) : planned());
  function placed(cls, attrs, mm, wide, words) {
    const node = el("span", { class: cls, ...attrs }, words ?? "");
    node.style.left = share(mm);
    if (wide !== null) node.style.width = share(wide);
    return node;
  }
  function planned() {
    const seen = new Set();
    return (plan?.joints ?? []).filter((j) => j.part === p.name && !seen.has(j.at) && seen.add(j.at)).map((j) => [placed("joint chosen", {}, j.at_mm, null), placed("tick", {}, j.at_mm, null, j.at)]);
  }
  function handle(mm, i) {
    const node = placed("joint", { role: "slider", tabindex: own ? 0 : null, "aria-label": `${t.joint} ${i + 1}, ${p.name}`, "aria-valuemin": 0, "aria-valuemax": Math.round(length), "aria-valuenow": Math.round(mm), "aria-valuetext": p.joint.at[i], "data-key": `joint ${p.table} ${k} ${i}` }, mm, null);
    if (!own) return node;
    node.addEventListener("keydown", (e) => {
      const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[e.key];
      if (!by) return;
      e.preventDefault();
      moved(i, mm + by * (e.shiftKey ? 10 : 1) * STEP_MM);
    });
    node.addEventListener("pointerdown", (down) => {
      down.preventDefault();
      node.setPointerCapture(down.pointerId);
      const release = desk.hold();
      const wide = bar.getBoundingClientRect();
      let at = mm;
      const move = (e) => { at = STEP_MM * Math.round((e.clientX - wide.left) / wide.width * length / STEP_MM); node.style.left = share(at); };
      node.addEventListener("pointermove", move);
      node.addEventListener("pointercancel", release, { once: true });
      node.addEventListener("pointerup", () => { node.removeEventListener("pointermove", move); release(); if (Math.abs(at - mm) >= STEP_MM) moved(i, at); }, { once: true });
    });
    return node;
  }
  const told = desk.now.view.findings.filter((f) => f.where.includes(p.name));
  return el("section", { class: "card" }, el("h3", {}, `${p.name}: ${p.joint.kind} ${p.joint.kind === "scarf" ? p.joint.slope : ""}`), el("p", { class: "quiet" }, `${t.whole}: ${p.size}`),
    bar, lengths(desk.now.view, p, share, length),
    el("p", {}, given ? t.given : t.free), rules(p), fewer(desk, p), told.map((f) => el("p", { class: f.blocking ? "finding blocking" : "quiet" }, f.message)),
    own ? field(t.at, entry((p.joint.at ?? []).join(", "), (v) => change(v.split(",").map((s) => s.trim()).filter(Boolean)), { "data-key": `joint ${p.table} ${k}` })) : null);
}

// The lengths that can be had, to the same scale.
function lengths(view, p, share, whole) {
  const stock = p.table === "rail"
    ? boardLengths(view, p)
    : view.sheets.filter((s) => s.material === p.material && s.thickness === p.thickness && s.count === null);
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

// Rules that bind every joint of the part, in words.
function rules(p) {
  const t = W.joints, said = [p.joint.most !== null && `${t.most} ${p.joint.most}`, p.joint.least && `${t.least} ${p.joint.least}`, ...p.joint.keep_clear.map(([, , why]) => `${t.clear} ${why}`)].filter(Boolean);
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

// Parts without a rule that are longer than anything to be had.
function tooLong(desk) {
  const { view } = desk.now, t = W.joints;
  const most = (list) => Math.max(0, ...list);
  const flat = view.parts.filter((p) => !p.joint && p.box[2] - p.box[0] > most(view.sheets.filter((s) => s.material === p.material && s.thickness === p.thickness).map((s) => s.length_mm))).map((p) => ["part", p]);
  const rails = view.rails.filter((r) => !r.joint && r.length_mm > most(view.boards.filter((b) => b.material === r.material).flatMap((b) => b.lengths.map((l) => l.length_mm)))).map((r) => ["rail", r]);
  return [...flat, ...rails].map(([table, p]) => {
    const k = (view.written[table] ?? []).findIndex((w) => w.name === p.name);
    return el("section", { class: "card" }, el("h3", {}, p.name), el("p", {}, `${t.tooLong} ${p.size ?? p.length}.`),
      k >= 0 ? el("div", { class: "row" }, ["scarf", "butt strap"].filter((kind) => table === "part" || kind === "scarf").map((kind) => button(`${t.give} ${kind}`, () => desk.edit("set", { path: [table, k, "joint"], value: { kind } }, `${p.name}, ${t.head}`), { "aria-label": `${t.give} ${kind}: ${p.name}` }))) : null);
  });
}
