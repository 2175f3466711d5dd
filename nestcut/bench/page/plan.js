// The search live, plans side by side, and pieces moved by hand.
import { post } from "/page/api.js";
import { button, choice, el, svg } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
import { W } from "/page/words.js";

let chosen = null;          // id of the piece in hand
let line = "", heard = "";  // the last line of progress, with and without its time
let glance = null;          // the best plan so far, small
let word = "";              // what was said of the last move, of the job's state as it was then
let wordOf = null;
function tell(desk, words) {
  [word, wordOf] = [words, desk.now.job.state];
  document.getElementById("word")?.replaceChildren(words);
}
let since = null;           // when the search began, as this page saw it [ms]
let spoils = null;          // piece that is asked about: is it spoilt?
let drops = null;           // what is asked about, since it drops ticks: a plan's number, or "anew"

export function progress(told) {
  since = told.stage === "running" ? since ?? Date.now() : null;
  heard = told.stage === "running" ? told.last?.line ?? "…" : "";
  clock();
  if ("glance" in told || told.stage !== "running") {
    glance = told.stage === "running" ? told.glance : null;
    document.getElementById("glance")?.replaceChildren(...pictures());
  }
}

// The time goes on between what is heard of a search.
function clock() {
  line = heard && since ? `${W.plan.running}, ${lasted()}: ${heard}` : "";
  const place = document.getElementById("progress");
  if (place) place.textContent = line;
}
setInterval(() => since && clock(), 1000);

const lasted = () => { const s = Math.round((Date.now() - since) / 1000); return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`; };

// The layouts so far, as small pictures.
function pictures() {
  if (!glance?.sheets) return [];
  const t = W.plan;
  const picture = (s, name, inside) => el("figure", { class: "glance" }, svg("svg", { viewBox: `0 ${-s.width_mm} ${s.length_mm} ${s.width_mm}`, role: "img", "aria-label": name },
    svg("g", { transform: "scale(1,-1)" }, svg("rect", { class: "stock", width: s.length_mm, height: s.width_mm }), inside)), el("figcaption", {}, name));
  return [el("p", {}, `${t.soFar}: ${glance.cost}`), el("div", { class: "glances" },
    glance.sheets.map((s, k) => picture(s, `${t.sheet} ${k + 1}, ${s.stock}`, svg("path", { class: "outline", d: s.d }))),
    glance.boards.map((b, k) => picture(b, `${t.board} ${k + 1}, ${b.stock}`, b.cuts.map(([x0, y0, x1, y1]) => svg("rect", { class: "outline", x: x0, y: y0, width: x1 - x0, height: y1 - y0 })))))];
}

export function plan(desk) {
  const t = W.plan, { now } = desk, running = now.search.stage === "running", blocked = now.view.findings.filter((f) => f.blocking).length;
  const why = running ? t.busy : blocked ? t.blocked : "", off = { disabled: running || !now.view.usable, "aria-describedby": why ? "why" : null };
  const search = (message) => { forget(); return desk.act("plan", { seconds: null, joints: "cheapest", effort: "normal", ...message }, `${t.running}: ${message.label}`); };
  const go = (label, effort, joints, help) => button(label, () => search({ label, effort, joints }), { ...off, title: help, class: effort === "normal" && joints === "balanced" ? "main" : "" });
  const pinned = now.plan && now.job.pins.length, isWarning = (f) => !f.blocking && f.severity === "warning", warned = now.view.findings.filter(isWarning);
  return [
    el("h2", {}, t.head),
    blocked ? el("section", { class: "blocked", "aria-label": t.before }, el("h3", {}, `${t.before} (${blocked})`), findingsOf(desk, (f) => f.blocking, true)) : null,
    warned.length ? el("details", { "data-key": "warned", open: warned.length < 4 }, el("summary", {}, `${t.warned} (${warned.length})`), findingsOf(desk, isWarning, true)) : null,
    now.begun ? el("p", { class: "finding" }, `${t.begun} ${now.begun}. ${t.begunHow}`) : null,
    el("div", { class: "row" }, now.begun ? [button(t.goOn, () => search({ label: t.goOn, joints: "balanced" }), { ...off, class: "main" }), dropping(desk, "anew", now.begun, off, t.anew, () => search({ label: t.anew, joints: "balanced", anew: true }))]
      : [go(t.go, "normal", "balanced", t.goHelp), go(t.fewest, "normal", "fewest", t.fewestHelp), go(t.cheapest, "normal", "cheapest", t.cheapestHelp), go(t.quick, "quick", "cheapest", t.quickHelp)],
      pinned && !now.begun ? button(t.again, () => search({ label: t.again, keeps_pins: true }), { disabled: running }) : null,
      running ? button(t.stop, () => desk.act("stop"), {}) : null),
    el("p", { id: "why", class: "quiet" }, why || (now.begun ? "" : now.plan ? `${t.how4} ${t.moves}` : t.how4)),
    now.begun ? null : others(desk, running, search),
    el("p", { id: "progress" }, running ? line || t.running : ""),
    el("div", { id: "glance" }, running ? pictures() : []),
    now.search.late ? el("p", { class: "finding", role: "status" }, `${now.search.label}: ${running ? t.lateRuns : t.late}`) : null,
    now.search.faults.map((f) => el("div", { class: "finding blocking" }, el("strong", {}, f.where), el("p", {}, f.message), el("p", { class: "quiet" }, f.remedy))),
    now.results.length ? results(desk) : null,
    now.plan ? found(desk) : running ? null : el("p", { class: now.unread ? "finding blocking" : null }, now.unread ? t.unread : now.results.length ? t.gone : t.none),
  ];
}
function forget() { chosen = null; word = ""; spoils = null; drops = null; }

// What drops ticks of pieces that are cut isn't done before that is said.
function dropping(desk, what, count, attrs, text, does) {
  const t = W.plan;
  if (drops !== what) return button(text, () => { if (count) { drops = what; desk.draw(); } else does(); }, attrs);
  const shut = () => { drops = null; desk.draw(); };
  return [el("span", { role: "status" }, `${t.drops} ${count}. ${t.dropsBack}`), button(t.dropsYes, () => { drops = null; return does(); }), button(t.spoiltNo, shut)];
}


// Where a thickness is sold in several sizes: a plan that uses one of them alone.
function others(desk, running, search) {
  const t = W.plan, { view } = desk.now;
  const rivals = (s) => view.sheets.filter((o) => o !== s && o.material === s.material && o.thickness === s.thickness && o.size !== s.size && o.count === null).map((o) => o.name);
  const some = view.sheets.filter((s) => s.count === null && rivals(s).length);
  return some.length ? el("div", { class: "row" }, some.map((s) => button(`${t.only} ${s.name}, ${s.size}`, () => search({ label: `${t.only} ${s.name}`, without: rivals(s) }), { disabled: running || !view.usable }))) : null;
}

// The best of each column is said, in words, not by colour.
function best(list) {
  const fresh = list.filter((r) => !r.stale && r.complete && !r.goes_on);
  const t = W.plan;
  if (fresh.length < 2) return (r) => r.goes_on ? t.goesOn : "";
  const least = (of) => Math.min(...fresh.map(of)), cost = (r) => r.minor, joints = (r) => r.joints, room = (r) => -r.offcut_mm2;
  return (r) => r.goes_on ? t.goesOn : r.stale || !r.complete ? "" : [cost(r) === least(cost) && t.cheapest, joints(r) === least(joints) && t.fewest, room(r) === least(room) && r.offcut_mm2 > 0 && t.offcut].filter(Boolean).join(", ");
}

function results(desk) {
  const t = W.plan, bestAt = best(desk.now.results);
  return [el("h3", {}, t.results), el("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": t.results }, el("table", { class: "stack" }, el("thead", {}, el("tr", {}, ["", t.taken, t.cost, t.sheets, t.boards, t.joints, t.offcut, t.bestAt].map((h) => el("th", { scope: "col" }, h || "Plan")))),
    el("tbody", {}, desk.now.results.map((r) => el("tr", {}, el("td", {}, r.label), el("td", {}, r.stale ? t.stale : r.current ? t.current : dropping(desk, r.number, r.drops, { "aria-label": `${t.choose}: ${r.label}` }, t.choose, () => desk.act("choose", { number: r.number }))),
      [[t.cost, r.cost], [t.sheets, r.sheets], [t.boards, r.boards], [t.joints, r.joints], [t.offcut, r.offcut], [t.bestAt, bestAt(r)]].map(([head, c]) => el("td", { "data-head": head }, String(c))))))))];
}

function found(desk) {
  const t = W.plan, { plan, job } = desk.now;
  if (chosen && !inHand(desk)) forget();
  if (wordOf !== job.state) word = "";
  return [
    plan.unplaced.length ? el("div", { class: "finding blocking" }, el("strong", {}, t.unplaced), plan.unplaced.map((u) => el("p", {}, `${nameOf(desk, u.piece)}: ${u.reason}`))) : null,
    plan.told.map((f) => el("div", { class: "finding" }, el("strong", {}, f.where), el("p", {}, f.message), f.remedy ? el("p", { class: "quiet" }, f.remedy) : null)),
    el("h3", {}, `${t.buy}: ${plan.cost}`),
    proof(desk.now.word), el("ul", {}, plan.buy.map((b) => el("li", {}, `${b.count} × ${b.stock} (${b.size}) ${b.total}${b.to_hand ? `; ${b.to_hand} to hand` : ""}`)),
      plan.bounds.map((b) => el("li", { class: "quiet" }, `${b.name}: ${b.used}; ${b.least ? t.least : `${t.atLeast} ${b.lower}`}`))),
    el("div", { class: "row" }, button(t.next, () => desk.go("papers"), { class: "main" })),
    joined(desk),
    el("h3", {}, t.hand), el("p", { class: "quiet" }, t.how), el("p", { class: "quiet" }, t.legend), el("div", { class: "inhand" }, el("p", { id: "word", role: "status" }, word), tools(desk)),
    el("div", { class: "cards wide" }, plan.sheets.map((s) => sheet(desk, s))),
    plan.boards.map((b) => board(desk, b)),
  ];
}

// Where another plan has a joint fewer and costs no more, it is said at once.
function joined(desk) {
  const t = W.plan, named = Object.entries(desk.now.fewer ?? {}).filter(([, told]) => ["same", "less"].includes(told.price)).map(([part]) => part);
  return named.length ? el("p", { class: "finding" }, `${t.fewerSame} ${named.join(", ")}. ${t.fewerHow}`) : null;
}

// What the verifier says of the plan as it stands.
function proof(word) {
  const t = W.plan;
  if (word === null) return el("p", { id: "proof" }, t.proving);
  return word.length ? el("div", { id: "proof", class: "finding blocking" }, el("strong", {}, t.refuted), word.map((w) => el("p", {}, w))) : el("p", { id: "proof" }, t.proven);
}

const inHand = (desk) => desk.now.plan.sheets.flatMap((s) => s.pieces.map((p) => ({ ...p, sheet: s.number }))).find((p) => p.piece === chosen);

function tools(desk) {
  const t = W.plan, at = inHand(desk), off = { disabled: !at };
  const with_ = (change) => () => at && put(desk, { ...asPush(at), ...change(at) });
  const back = (e) => { if (e.key === "Escape" && at) document.querySelector(`[data-key="${CSS.escape(`piece ${at.piece}`)}"]`)?.focus(); };
  return el("div", { class: "row", onkeydown: back }, el("span", { id: "held" }, at ? nameOf(desk, at.piece) : t.nothing),
    button(t.turn, with_((p) => turned(p, 90)), off), button(t.half, with_((p) => turned(p, 180)), off), button(t.flip, with_(flipped), off),
    at ? pinning(desk, at) : null, at ? exchanging(desk, at) : null,
    at ? el("label", {}, t.to, choice(String(at.sheet), desk.now.plan.sheets.filter((s) => isLike(desk, s, at)).map((s) => [String(s.number), `${t.sheet} ${s.number}, ${s.stock}`]), (v) => put(desk, { ...asPush(at), sheet: Number(v) }))) : null);
}

// Whether a sheet is of the wood and thickness that a piece is cut from.
function isLike(desk, s, at) {
  const { view, plan } = desk.now, of = (stock) => view.sheets.find((x) => x.name === stock), one = of(plan.sheets.find((x) => x.number === at.sheet).stock), other = of(s.stock);
  return s.number === at.sheet || one && other && one.material === other.material && one.thickness === other.thickness;
}

// Two pieces change places, wherever they lie.
function exchanging(desk, at) {
  const t = W.plan, home = desk.now.plan.sheets.find((s) => s.number === at.sheet).stock;
  const others = desk.now.plan.sheets.filter((s) => s.stock === home).flatMap((s) => s.pieces.map((p) => [p.piece, `${nameOf(desk, p.piece)} (${t.sheet} ${s.number})`])).filter(([id]) => id !== at.piece && !holds(desk, { piece: id }));
  if (!others.length || holds(desk, at)) return null;
  return el("label", {}, t.exchange, choice("", [["", W.choose], ...others], async (other) => {
    const { status, told } = await post("exchange", { piece: at.piece, other });
    await desk.refresh();
    tell(desk, status >= 400 ? `${W.fault} ${told.fault}` : told.fits ? t.fits : `${t.notSo} ${told.objections.join(" ")}`);
  }, null, { "data-key": "exchange" }));
}
const nameOf = (desk, id) => desk.now.plan.names[id] ?? id;

function pinning(desk, at) {
  const t = W.plan, pins = new Set(desk.now.job.pins), holds = !pins.has(at.piece);
  const whole = desk.now.plan.sheets.find((s) => s.number === at.sheet).pieces.map((p) => p.piece);
  const isCut = desk.now.plan.cut.includes(at.piece);
  const mark = (is_spoilt, text) => button(text, () => { spoils = null; return desk.act("cut", { piece: at.piece, is_spoilt }, `${nameOf(desk, at.piece)}: ${text}`); });
  if (spoils === at.piece) return [el("span", {}, t.spoiltAsk), mark(true, t.spoiltYes), button(t.spoiltNo, () => { spoils = null; desk.draw(); })];
  const back = button(t.uncut, () => desk.act("uncut", { piece: at.piece }, `${nameOf(desk, at.piece)}: ${W.ticks.notCut}`));
  return [isCut ? back : mark(false, t.cut), button(t.spoilt, () => { spoils = at.piece; desk.draw(); }, { "data-key": "spoilt" }),
    button(holds ? t.pin : t.unpin, () => desk.act("pin", { pieces: [at.piece], holds }, holds ? t.pin : t.unpin)),
    button(t.pinSheet, () => desk.act("pin", { pieces: whole, holds: true }, t.pinSheet))];
}

const asPush = (p) => ({ piece: p.piece, sheet: p.sheet, shift_mm: p.shift_mm, turn_deg: p.turn_deg, face_down: p.face_down, keeps: true });

// Turn and flip about the middle of the piece's box, so that it stays where it is seen.
function turned(p, deg) {
  const [x0, y0, x1, y1] = p.box, cx = (x0 + x1) / 2, cy = (y0 + y1) / 2;
  const a = deg * Math.PI / 180, c = Math.round(Math.cos(a)), s = Math.round(Math.sin(a)), [x, y] = p.shift_mm;
  return { turn_deg: (p.turn_deg + deg) % 360, shift_mm: [cx + (x - cx) * c - (y - cy) * s, cy + (x - cx) * s + (y - cy) * c] };
}
function flipped(p) {
  const cx = (p.box[0] + p.box[2]) / 2;
  return { face_down: !p.face_down, turn_deg: (360 - p.turn_deg) % 360, shift_mm: [2 * cx - p.shift_mm[0], p.shift_mm[1]] };
}

async function put(desk, push) {
  const before = inHand(desk), { status, told } = await post("push", push), same = before && before.sheet === push.sheet && before.turn_deg === push.turn_deg && before.face_down === push.face_down;
  await desk.refresh();
  tell(desk, same && status < 400 && told.fits && Math.hypot(told.shift_mm[0] - before.shift_mm[0], told.shift_mm[1] - before.shift_mm[1]) < 0.01 ? W.plan.stays : said(status, told));
}
const said = (status, told) => status >= 400 ? `${W.fault} ${told.fault}` : told.fits ? W.plan.fits : `${W.plan.not} ${told.objections.join(" ")}`;

function sheet(desk, s) {
  const t = W.plan, m = 20, small = [...signsOf(desk, s).values()].filter((at) => !at.fits);
  const frame = s.outline ? svg("path", { class: "stock", d: s.outline }) : svg("rect", { class: "stock", width: s.length_mm, height: s.width_mm });
  const drawn = svg("svg", { class: "sheet", "data-sheet": s.number, viewBox: `${-m} ${-s.width_mm - m} ${s.length_mm + 2 * m} ${s.width_mm + 2 * m}`, role: "group", "aria-label": `${t.sheet} ${s.number}` },
    svg("defs", {}, svg("pattern", { id: "hatch", width: 30, height: 30, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, svg("line", { class: "hatch", y2: 30 }))),
    svg("g", { transform: "scale(1,-1)" }, frame, s.barred.map((b) => svg("path", { class: "barred", d: b.d })),
      s.offcuts.map(([a, b, c, d]) => svg("rect", { class: "keep", x: a, y: b, width: c - a, height: d - b })),
      s.pieces.map((p) => piece(desk, s, p))));
  return el("figure", { class: "card" }, el("figcaption", {}, el("strong", {}, `${t.sheet} ${s.number}`), ` ${s.stock}, ${s.size}`), drawn, small.length ? el("p", { class: "quiet legend" }, small.map((at) => `${at.sign} ${at.name}`).join(" · ")) : null);
}

// A name is written where it can be read, inside its piece; else a number stands for it, and the
// name below the sheet.
const least = (s) => s.length_mm / (innerWidth < 700 ? 34 : 75);
const signs = new WeakMap(); // sheet, as the server said it -> places of names
function signsOf(desk, s) {
  if (!signs.has(s)) {
    let small = 0;
    signs.set(s, new Map(s.pieces.map((p) => {
      const name = nameOf(desk, p.piece), at = roomIn(p), fits = at.wide / (name.length * 0.6) >= least(s) && at.high >= least(s) * 1.2;
      return [p.piece, { ...at, name, fits, sign: fits ? name : String(++small) }];
    })));
  }
  return signs.get(s);
}

// The widest free stretch inside a piece, and how high it is there.
const ROWS = 15;
function roomIn(p) {
  const rings = p.d.split("Z").filter(Boolean).map((r) => r.trim().slice(1).split("L").map((c) => c.split(",").map(Number)));
  const [x0, y0, x1, y1] = p.box, gap = (y1 - y0) / (ROWS + 1);
  const spans = (y) => {
    const xs = rings.flatMap((ring) => ring.flatMap(([ax, ay], i) => {
      const [bx, by] = ring[(i + 1) % ring.length];
      return (ay > y) === (by > y) ? [] : [ax + (y - ay) / (by - ay) * (bx - ax)];
    })).sort((a, b) => a - b);
    return xs.flatMap((x, i) => i % 2 ? [] : [[x, xs[i + 1]]]);
  };
  const rows = Array.from({ length: ROWS }, (_, k) => spans(y0 + gap * (k + 1)));
  let best = { x: (x0 + x1) / 2, y: (y0 + y1) / 2, wide: 0, high: 0 };
  rows.forEach((row, k) => row.forEach(([a, b]) => {
    let low = k, high = k;
    const holds = (j) => rows[j]?.some(([c, d]) => c <= a + (b - a) * 0.15 && d >= b - (b - a) * 0.15);
    while (holds(low - 1)) low -= 1;
    while (holds(high + 1)) high += 1;
    const wide = (b - a) * 0.8, tall = (high - low + 1) * gap;
    if (Math.min(wide, tall * 8) > Math.min(best.wide, best.high * 8)) best = { x: (a + b) / 2, y: y0 + gap * ((low + high) / 2 + 1), wide, high: tall };
  }));
  return best;
}

function piece(desk, s, p) {
  const t = W.plan, isCut = desk.now.plan.cut.includes(p.piece), pinned = isCut || desk.now.job.pins.includes(p.piece);
  const { sign, name, x, y, wide, high } = signsOf(desk, s).get(p.piece), size = sign === name ? Math.min(Math.max(s.length_mm / 40, least(s)), wide / (sign.length * 0.6), high * 0.8) : least(s) * 1.5;
  const group = svg("g", { class: "piece" + (p.piece === chosen ? " chosen" : "") + (pinned ? " pinned" : ""), tabindex: 0, role: "button", "aria-pressed": p.piece === chosen ? "true" : "false", "data-key": "piece " + p.piece,
    "aria-label": `${sign === name ? "" : sign + " "}${name}, ${t.lies} ${p.size}${p.face_down ? ", " + W.plan.faceDown : ""}${isCut ? ", " + W.plan.isCut : pinned ? ", " + W.plan.pinned : ""}` },
    svg("path", { class: "outline", d: p.d }),
    svg("g", { transform: `translate(${x},${y}) scale(1,-1)` }, svg("text", { "text-anchor": "middle", "dominant-baseline": "middle", "font-size": size }, isCut ? `✓ ${sign}` : pinned ? `• ${sign} •` : sign)), svg("title", {}, name));
  group.addEventListener("keydown", (e) => keys(desk, s, p, e));
  group.addEventListener("focus", () => choose(desk, p.piece));
  group.addEventListener("pointerdown", (e) => drag(desk, s, p, group, e));
  return group;
}

const holds = (desk, p) => desk.now.job.pins.includes(p.piece) || desk.now.plan.cut.includes(p.piece);

function choose(desk, id) {
  if (chosen === id) return;
  chosen = id;
  tell(desk, nameOf(desk, id));
  for (const node of document.querySelectorAll(".piece")) {
    const is = node.dataset.key === "piece " + id;
    node.classList.toggle("chosen", is);
    node.setAttribute("aria-pressed", String(is));
  }
  const row = document.getElementById("held")?.parentElement;
  row?.replaceWith(tools(desk));
}

function keys(desk, s, p, e) {
  const step = e.shiftKey ? 10 : 1;
  if (e.key === "Enter" || e.key === " ") { // to its buttons; Escape leads back
    e.preventDefault();
    document.querySelector(".inhand button:not(:disabled), .inhand select")?.focus();
    return;
  }
  if (holds(desk, p)) return;
  const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] }[e.key];
  if (!by) return;
  e.preventDefault();
  put(desk, { ...asPush({ ...p, sheet: s.number }), shift_mm: [p.shift_mm[0] + by[0], p.shift_mm[1] + by[1]] });
}

// The piece follows the pointer at once; how it lies, and what the verifier says, is asked beside it.
function drag(desk, s, p, group, down) {
  down.preventDefault();
  group.focus({ preventScroll: true });
  if (holds(desk, p)) return;
  group.setPointerCapture(down.pointerId);
  group.classList.add("moving");
  const release = desk.hold(), home = group.closest("svg"), from = placeOn(home, down);
  let at = null, asking = false, next = false, drawn = false, over = s.number, last = null;
  const push = (keeps) => ({ ...asPush({ ...p, sheet: over }), shift_mm: at, from_mm: last ?? [], keeps });
  async function ask() {
    if (asking) { next = true; return; }
    asking = true;
    const wanted = push(false), { status, told } = await post("push", wanted);
    asking = false;
    if (status < 400 && wanted.sheet === over) {
      last = told.fits ? told.shift_mm : last;
      group.classList.toggle("wrong", !told.fits);
      show(told.shift_mm);
      const line = document.getElementById("word");
      if (line) line.textContent = said(status, told);
    }
    if (next) { next = false; ask(); }
  }
  const middle = [(p.box[0] + p.box[2]) / 2, (p.box[1] + p.box[3]) / 2];
  const show = ([x, y]) => {
    const there = [middle[0] + x - p.shift_mm[0], middle[1] + y - p.shift_mm[1]], seen = asSeenFrom(home, sheetOf(over) ?? home, there);
    group.setAttribute("transform", `translate(${seen[0] - middle[0]},${seen[1] - middle[1]})`);
  };
  const move = (e) => {
    const under = sheetUnder(e) ?? sheetOf(over), number = Number(under.dataset.sheet);
    if (number !== over) { over = number; last = null; }
    const here = placeOn(under, e);
    at = [p.shift_mm[0] + here.x - from.x, p.shift_mm[1] + here.y - from.y];
    if (!drawn) {
      drawn = true;
      requestAnimationFrame(() => { drawn = false; show(at); });
    }
    ask();
  };
  const up = () => {
    group.removeEventListener("pointermove", move);
    release();
    if (at && (over !== s.number || Math.hypot(at[0] - p.shift_mm[0], at[1] - p.shift_mm[1]) > 0.5)) put(desk, push(true));
  };
  group.addEventListener("pointermove", move);
  group.addEventListener("pointerup", up, { once: true });
  group.addEventListener("pointercancel", up, { once: true });
}

// Sheets have frames of their own: where a pointer is on one, and how one lies from another.
const frame = (sheet) => sheet.querySelector("g").getScreenCTM();
const placeOn = (sheet, e) => new DOMPoint(e.clientX, e.clientY).matrixTransform(frame(sheet).inverse());
const sheetOf = (number) => document.querySelector(`svg.sheet[data-sheet="${number}"]`);
const sheetUnder = (e) => document.elementsFromPoint(e.clientX, e.clientY).find((n) => n.matches("svg.sheet[data-sheet]"));
function asSeenFrom(home, other, [x, y]) {
  if (home === other) return [x, y];
  const at = new DOMPoint(x, y).matrixTransform(frame(other)).matrixTransform(frame(home).inverse());
  return [at.x, at.y];
}

// Narrow boards are drawn wider on a narrow page than they are, so that their pieces can be told apart.
function board(desk, b) {
  const t = W.plan, m = 10, isNarrow = innerWidth < 700, wider = isNarrow ? Math.max(1, b.length_mm / 7 / b.width_mm) : 1, high = b.width_mm * wider;
  const written = (id) => `${desk.now.plan.cut.includes(id) ? "✓ " : ""}${nameOf(desk, id)}`, small = [];
  const text = (c) => {
    const tall = (c.rip_mm[1] - c.rip_mm[0]) * wider, name = written(c.piece), size = Math.min(b.length_mm / (isNarrow ? 30 : 75), 0.9 * tall, (c.to_mm - c.from_mm) / (name.length * 0.55)), fits = size >= 0.6 * least(b);
    if (!fits) small.push(`${small.length + 1} ${name}, ${c.length}`);
    return svg("text", { x: (c.from_mm + c.to_mm) / 2, y: (c.rip_mm[0] + c.rip_mm[1]) / 2 * wider, "text-anchor": "middle", "dominant-baseline": "middle", "font-size": fits ? size : Math.min(1.2 * least(b), 0.9 * tall) }, fits ? name : String(small.length));
  };
  const cuts = b.cuts.map((c) => [svg("rect", { class: "outline", x: c.from_mm, y: c.rip_mm[0] * wider, width: c.to_mm - c.from_mm, height: (c.rip_mm[1] - c.rip_mm[0]) * wider }), text(c)]);
  return el("figure", { class: "card" }, el("figcaption", {}, el("strong", {}, `${t.board} ${b.number}`), ` ${b.stock}, ${b.size}`),
    svg("svg", { class: "sheet", viewBox: `${-m} ${-m} ${b.length_mm + 2 * m} ${high + 2 * m}`, role: "img", "aria-label": `${t.board} ${b.number}: ${b.cuts.map((c) => `${written(c.piece)} ${c.length}`).join(", ")}` },
      svg("rect", { class: "stock", width: b.length_mm, height: high }), cuts),
    small.length ? el("p", { class: "quiet legend" }, small.join(" · ")) : null);
}
