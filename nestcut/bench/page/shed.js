// A sheet that isn't a rectangle, and places of it that no piece may cover: corners and knots.
import { button, choice, el, entry, field, svg } from "/page/dom.js";
import { W } from "/page/words.js";

let drawn = null; // { k, corners: [[x, y]], barred: [{ from, to, why }], pen }

export function asWritten(units, mm) {
  if (units !== "inch") return `${Math.round(mm)} mm`;
  const sixteenths = Math.round(mm / 25.4 * 16), whole = Math.floor(sixteenths / 16), rest = sixteenths % 16;
  return rest ? `${whole}-${rest}/16in` : `${whole}in`;
}
const fromWords = (units, words) => {
  const plain = /^(\d+(?:[.,]\d+)?)\s*(mm|cm|m|in|")?$/.exec(words.trim());
  if (!plain) return null;
  const by = { mm: 1, cm: 10, m: 1000, in: 25.4, '"': 25.4 }[plain[2] ?? (units === "inch" ? "in" : "mm")];
  return Number(plain[1].replace(",", ".")) * by;
};

export function openEditor(desk, k, sheet) {
  drawn = { k, name: sheet.name, corners: sheet.outline_mm ? sheet.outline_mm.map((p) => [...p]) : [], barred: sheet.barred_mm.map((b) => ({ ...b })), pen: "corner" };
  desk.draw();
}

export function editor(desk) {
  if (!drawn) return null;
  const t = W.shed, sheet = desk.now.view.sheets.find((s) => s.name === drawn.name);
  if (!sheet) { drawn = null; return null; }
  const units = desk.now.view.units, set = (at, i) => (v) => { const mm = fromWords(units, v); if (mm !== null) at[i] = mm; desk.draw(); };
  const point = (at, words, id) => [0, 1].map((i) => field(`${words} ${i ? t.across : t.along}`, entry(asWritten(units, at[i]), set(at, i), { "data-key": `${id} ${i}` })));
  const corners = drawn.corners.map((at, n) => el("div", { class: "row" }, point(at, `${t.corner} ${n + 1}`, `corner ${n}`),
    button(W.parts.remove, () => { drawn.corners.splice(n, 1); desk.draw(); }, { "aria-label": `${W.parts.remove} ${t.corner} ${n + 1}` })));
  const knots = drawn.barred.map((b, n) => el("div", { class: "row" }, point(b.from, `${t.knot} ${n + 1} ${t.from}`, `from ${n}`), point(b.to, t.to, `to ${n}`),
    field(t.why, entry(b.why, (v) => { b.why = v; }, { "data-key": `why ${n}` })),
    button(W.parts.remove, () => { drawn.barred.splice(n, 1); desk.draw(); }, { "aria-label": `${W.parts.remove} ${t.knot} ${n + 1}` })));
  return el("section", { class: "card", "aria-label": t.head }, el("h3", {}, `${t.head}: ${sheet.name}`), el("p", { class: "quiet" }, t.how),
    field(t.pen, choice(drawn.pen, [["corner", t.penCorner], ["knot", t.penKnot]], (v) => { drawn.pen = v; })), board(desk, sheet), corners,
    button(t.addCorner, () => { drawn.corners.push([0, 0]); desk.draw(); }), knots,
    button(t.addKnot, () => { drawn.barred.push({ from: [0, 0], to: [100, 100], why: t.knot }); desk.draw(); }),
    el("div", { class: "row" }, button(t.save, () => save(desk), { class: "main" }), button(t.drop, () => { drawn = null; desk.draw(); })));
}

function board(desk, sheet) {
  const m = sheet.length_mm * 0.03, snap = (v, most) => Math.max(0, Math.min(most, 5 * Math.round(v / 5)));
  const rect = (b) => ({ x: Math.min(b.from[0], b.to[0]), y: Math.min(b.from[1], b.to[1]), width: Math.abs(b.to[0] - b.from[0]), height: Math.abs(b.to[1] - b.from[1]) });
  const lines = svg("g", { transform: "scale(1,-1)" }, svg("rect", { class: "stock", width: sheet.length_mm, height: sheet.width_mm }),
    drawn.corners.length > 1 ? svg("path", { class: "outline", d: "M" + drawn.corners.map((p) => p.join(",")).join("L") + "Z" }) : null,
    drawn.barred.map((b) => svg("rect", { class: "barred", ...rect(b) })),
    drawn.corners.map((p) => svg("circle", { class: "corner", cx: p[0], cy: p[1], r: sheet.length_mm / 120 })));
  const node = svg("svg", { class: "sheet", role: "img", "aria-label": `${W.shed.head}: ${sheet.name}`, viewBox: `${-m} ${-sheet.width_mm - m} ${sheet.length_mm + 2 * m} ${sheet.width_mm + 2 * m}` },
    svg("defs", {}, svg("pattern", { id: "hatch", width: 30, height: 30, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, svg("line", { class: "hatch", y2: 30 }))), lines);
  const at = (e) => { const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(lines.getScreenCTM().inverse()); return [snap(p.x, sheet.length_mm), snap(p.y, sheet.width_mm)]; };
  let from = null;
  node.addEventListener("pointerdown", (e) => { from = at(e); e.preventDefault(); });
  node.addEventListener("pointerup", (e) => {
    const to = at(e);
    if (drawn.pen === "corner") drawn.corners.push(to);
    else if (from && (from[0] !== to[0] || from[1] !== to[1])) drawn.barred.push({ from, to, why: W.shed.knot });
    desk.draw();
  });
  return node;
}

async function save(desk) {
  const { view } = desk.now, k = (view.written.sheet ?? []).findIndex((s) => s.name === drawn.name), t = W.shed;
  const written = (p) => p.map((mm) => asWritten(view.units, mm)), raw = view.written.sheet[k];
  const low = (b) => [Math.min(b.from[0], b.to[0]), Math.min(b.from[1], b.to[1])], high = (b) => [Math.max(b.from[0], b.to[0]), Math.max(b.from[1], b.to[1])];
  const put = (key, list) => list.length ? desk.edit("set", { path: ["sheet", k, key], value: list }, `${drawn.name}: ${t.head}`)
    : key in raw ? desk.edit("remove", { path: ["sheet", k, key] }, `${drawn.name}: ${t.head}`) : true;
  if (!await put("outline", drawn.corners.map(written))) return;
  if (!await put("keep_out", drawn.barred.map((b) => ({ from: written(low(b)), to: written(high(b)), why: b.why })))) return;
  drawn = null;
  desk.draw();
}
