// What is cut is ticked off, what is spoilt is made again, what is left goes into the next job.
import { button, el } from "/page/dom.js";
import { W } from "/page/words.js";

let asks = false;  // whether it is asked: put away what is left, though not all is cut?
let spoils = null; // piece that is asked about: is it spoilt?

export function ticks(desk) {
  const t = W.ticks, { plan } = desk.now, cut = new Set(plan.cut), running = desk.now.search.stage === "running";
  const ids = [...plan.sheets.map((s) => [`${W.plan.sheet} ${s.number}, ${s.stock}`, s.pieces.map((p) => p.piece)]), ...plan.boards.map((b) => [`${W.plan.board} ${b.number}, ${b.stock}`, b.cuts.map((c) => c.piece)])];
  const row = (piece) => el("li", {}, el("label", { class: "beside" }, el("input", { type: "checkbox", checked: cut.has(piece), disabled: running, "data-key": `tick ${piece}`, onchange: (e) => e.target.checked ? desk.act("cut", { piece, is_spoilt: false }, `${plan.names[piece]}: ${W.plan.cut}`) : desk.act("uncut", { piece }, `${plan.names[piece]}: ${t.notCut}`) }), plan.names[piece]),
    spoils === piece ? [el("span", {}, W.plan.spoiltAsk), button(W.plan.spoiltYes, () => { spoils = null; return desk.act("cut", { piece, is_spoilt: true }, `${plan.names[piece]}: ${t.again}`); }), button(W.plan.spoiltNo, () => { spoils = null; desk.draw(); })]
    : button(W.plan.spoilt, () => { spoils = piece; desk.draw(); }, { disabled: running, "aria-label": `${W.plan.spoilt}: ${plan.names[piece]}`, "data-key": `spoilt ${piece}` }));
  const all = ids.flatMap(([, pieces]) => pieces).length;
  return el("details", { "data-key": "ticks", open: cut.size > 0 }, el("summary", {}, `${t.head}: ${cut.size} ${t.of} ${all}`), el("p", { class: "quiet" }, t.how),
    toBuy(desk),
    running ? el("div", { class: "row" }, el("span", {}, `${W.plan.running}: ${desk.now.search.label}`), button(W.plan.stop, () => desk.act("stop"))) : null,
    ids.map(([where, pieces]) => [el("h4", {}, where), el("ul", { class: "ticks" }, pieces.map(row))]));
}

// What making a piece again takes beyond what was bought by then.
function toBuy(desk) {
  const { plan, results } = desk.now, lines = plan.buy.filter((b) => b.count > 0);
  return results.some((r) => r.current && r.goes_on) && lines.length ? el("p", { class: "finding" }, `${W.ticks.toBuy} ${plan.cost}: ${lines.map((b) => `${b.count} × ${b.stock} (${b.size})`).join(", ")}`) : null;
}

// When all of it is cut: what is left is kept in the stock book, where later jobs find it.
export function leftovers(desk) {
  const t = W.ticks, { plan, papers } = desk.now;
  const all = [...plan.sheets.flatMap((s) => s.pieces), ...plan.boards.flatMap((b) => b.cuts)].length, isAsked = plan.cut.length < all;
  const put = async () => {
    asks = false;
    const told = await desk.act("put-away");
    if (told) desk.say(`${t.away}: ${told.added.length}. ${told.added.join("; ")}`);
  };
  const ask = (is) => () => { asks = is; desk.draw(); };
  return papers.length ? el("details", { "data-key": "leftovers" }, el("summary", {}, t.next), el("p", { class: "quiet" }, t.nextHow),
    el("div", { class: "row" }, asks ? [el("span", { role: "status" }, `${t.notAll} ${plan.cut.length} ${t.of} ${all}. ${t.putAsk}`), button(t.putYes, put), button(W.plan.spoiltNo, ask(false))] : button(t.put, isAsked ? ask(true) : put, { disabled: !plan.complete }), button(t.another, () => desk.go("begin")))) : null;
}
