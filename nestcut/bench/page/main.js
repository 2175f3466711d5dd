// The page: one step at a time, drawn anew from what the server says.
import { heed, listen, post, reached, state } from "/page/api.js";
import { button, el } from "/page/dom.js";
import { findingsOf, isAbout, placeOf } from "/page/findings.js";
import { W } from "/page/words.js";
import { begin } from "/page/begin.js";
import { parts } from "/page/parts.js";
import { stock } from "/page/stock.js";
import { joints } from "/page/joints.js";
import { plan, progress } from "/page/plan.js";
import { papers } from "/page/papers.js";
import { text } from "/page/text.js";

const STEPS = { begin, parts, stock, joints, plan, papers, text };
const desk = { now: null, step: location.hash.slice(1) in STEPS ? location.hash.slice(1) : "begin", go, act, edit, say, refresh, draw, hold, holds: false };

function say(words) { document.getElementById("news").textContent = words; }

// To a step; to a place in it, if one is named.
function go(step, place) {
  desk.step = step;
  history.replaceState(null, "", "#" + step);
  say("");
  draw();
  document.getElementById("work").focus({ preventScroll: true });
  scrollTo(0, 0);
  if (place) show(place);
}
function show(place) {
  const at = document.querySelector(`[data-place="${CSS.escape(place)}"]`);
  at?.scrollIntoView({ block: "start" });
  (at?.querySelector("input,select,button,[tabindex]") ?? at)?.focus({ preventScroll: true });
}

// Nothing came of it: nobody answered, another key is asked for, or the job isn't the one it was.
const NOBODY = 0, UNSAVED = new Set([NOBODY, 403, 409]);

async function act(address, body, words, onDone, onFaults) {
  // awaited as it is: what came of a change is taken note of before the next one is posted
  let status = NOBODY, told = {};
  try { ({ status, told } = await post(address, body)); } catch { /* nobody answered */ }
  if (UNSAVED.has(status)) {
    onFaults?.([], status);
    if (status === 409) await refresh(); else draw();
    say(status === 409 && desk.now.job.changed_outside ? W.unsaved.first : unsaved.size ? W.unsaved.again : W.unsaved.notDone);
    return null;
  }
  if (status >= 400) {
    const more = (told.findings ?? []).map((f) => f.file ? `${f.file}: ${f.message} ${f.remedy}` : f.where ? `${placeOf(desk, f)}: ${f.message}` : f.message).join(" ");
    onFaults?.(told.findings ?? [], status);
    say(`${W.fault} ${more || told.fault}`);
    return null;
  }
  if (onDone) onDone(told); else made = [];
  if (words) say(words);
  await refresh();
  return told;
}

// A change is made on the job as it is shown, or as the page's own changes left it since: values
// set one after the other don't wait for the page. What was shown and meant must still be there:
// where more changed meanwhile, what the change is about is looked at anew.
let made = []; // the page's own changes, one after the other: { from, to, target }
async function edit(address, message, what) {
  const base = drawnJob, typed = field, { file } = desk.now.job, target = JSON.stringify(message.path ?? address), meant = rowAt(drawnRows, message.path);
  const seen = async () => {
    const since = made.slice(made.findLastIndex((m) => m.from === base)), isOurs = made.some((m) => m.from === base);
    if (isOurs && since.every((m) => m.target !== null && m.target !== target)) return since.at(-1).to;
    if (!message.path || (!isOurs && desk.now.job.digest === base)) return base;
    await refresh();
    return rowAt(desk.now.view.written, message.path) === meant ? desk.now.job.digest : base;
  };
  let from = "";
  const hadPlan = desk.now.plan;
  const told = await act(address, async () => { from = await seen(); return { seen: from, what, ...message }; }, "", ({ digest }) => {
    made = [...made.slice(-30), { from, to: digest, target: address === "set" ? target : null }];
    if (typed) unsaved.delete(typed.key);
  }, (_, status) => {
    if (typed && UNSAVED.has(status)) unsaved.set(typed.key, { ...typed, of: file, address, message, what, row: nameAt(drawnRows, message.path) });
  });
  if (!told) return null;
  const refused = desk.now.job.digest === told.digest && desk.now.view.findings.find((f) => f.blocking && message.path && isAbout(f, message.path));
  say(`${what}: ${refused ? `${W.refused} ${refused.message}` : W.saved}${hadPlan && !desk.now.plan ? `. ${W.planGone}` : ""}`);
  return told;
}

// A table or a row of the job, as words to compare.
function rowAt(rows, path) {
  return path ? JSON.stringify(path.slice(0, typeof path[1] === "number" ? 2 : 1).reduce((at, step) => at?.[step], rows)) : "";
}

let away = "";             // why the server can't be asked: "", "stopped", "locked"
// What was typed and couldn't be saved stays in its field, and is named above, until it is or is dropped.
const unsaved = new Map(); // data-key of a field -> what it holds and the change that it was to be
let field = null;          // the field whose change is being handled

const nameAt = (rows, path) => { const row = typeof path?.[1] === "number" ? rows[path[0]]?.[path[1]] : null; return row ? row.name ?? row.file ?? "" : ""; };
function saveAgain(one) {
  if (nameAt(desk.now.view.written, one.message.path) !== one.row) return say(`${one.what}: ${W.unsaved.moved}`);
  field = one;
  const saving = edit(one.address, one.message, one.what);
  field = null;
  return saving;
}
function refill(work) {
  for (const node of work.querySelectorAll("[data-key]")) {
    const one = unsaved.get(node.dataset.key);
    if (!one || one.of !== desk.now.job?.file) continue;
    node.value = one.value;
    node.classList.add("asked");
  }
}

// Whoever waits for the page to be as the server has it, waits for the last time it was asked.
let latest = null;
function refresh() {
  const mine = { done: null };
  latest = mine;
  mine.done = state().then((told) => {
    if (mine !== latest) return latest.done;
    desk.now = told;
    return draw();
  });
  return mine.done;
}

// While something is under the pointer the page isn't drawn anew: it would drop it.
function hold() {
  desk.holds = true;
  return () => { desk.holds = false; draw(); };
}

// Nor under a button that is pressed, nor what stands around a field whose words aren't said yet: an
// answer to the last change may come while the next one is typed.
let typing = null, pressed = false, waits = false;
function watch(work) {
  const later = () => setTimeout(() => waits && draw());
  const said = () => { typing = null; pressed = false; later(); };
  work.addEventListener("change", (e) => {
    field = e.target.dataset?.key ? { key: e.target.dataset.key, value: e.target.value } : null;
    setTimeout(() => { field = null; });
  }, true);
  work.addEventListener("input", (e) => { if (e.target.matches("textarea,input[type=text]")) typing = e.target; });
  for (const end of ["change", "focusout"]) work.addEventListener(end, said, true);
  document.addEventListener("pointerdown", () => { pressed = true; }, true);
  for (const end of ["pointerup", "pointercancel", "keydown"]) document.addEventListener(end, () => { pressed = false; later(); }, true);
}

// One step back or on again, with what it was.
async function step(way) {
  const told = await act(way);
  if (told) say(`${W[way]}: ${told.what}`);
}

// While an answer is waited for or not drawn yet, the page is busy, and says so to whoever can't see it.
let awaited = 0;
const tellBusy = () => document.getElementById("work").setAttribute("aria-busy", String(awaited > 0 || waits));
heed((answers) => { awaited = answers; tellBusy(); });

function draw() {
  drawUnlessHeld();
  tellBusy();
}

function drawUnlessHeld() {
  waits = desk.holds || pressed;
  if (waits) return;
  const { now } = desk, open = now.job !== undefined, place = focusPlace(), kept = keep();
  if (!open) desk.step = "begin";
  document.getElementById("title").textContent = open ? now.view.name : "nestcut bench";
  document.title = open ? `${now.view.name} – nestcut bench` : "nestcut bench";
  document.getElementById("steps").replaceChildren(...Object.keys(STEPS).map((step) =>
    button(W.steps[step], () => go(step), { "aria-current": step === desk.step ? "step" : null, disabled: !open && step !== "begin" })));
  document.getElementById("tools").replaceChildren(
    button(W.undo, () => step("undo"), { disabled: !open || !now.job.can_undo }), " ",
    button(W.redo, () => step("redo"), { disabled: !open || !now.job.can_redo }));
  document.getElementById("care").textContent = W.care;
  drawMeanwhile(open, open && now.job.changed_outside);
  const work = document.getElementById("work");
  waits = desk.step === drawnStep && Boolean(typing?.isConnected);
  if (waits) return;
  [drawnJob, drawnRows] = open ? [now.job.digest, now.view.written] : ["", {}];
  const isLost = open && !now.view.readable && NEEDS_TABLES.has(desk.step);
  work.replaceChildren(...(isLost ? unreadable() : STEPS[desk.step](desk)).flat(4).filter(Boolean));
  refill(work);
  kept();
  focusAgain(place);
}

// A job file that is no job file as a whole: what it holds can't be shown, and isn't none.
const NEEDS_TABLES = new Set(["parts", "stock", "joints"]);
function unreadable() {
  return [el("h2", {}, W.steps[desk.step]), el("p", { class: "finding blocking" }, W.unreadable), findingsOf(desk, () => true), el("div", { class: "row" }, button(W.steps.text, () => go("text"), { class: "main" }))];
}

// What somebody opened stays open, and what he closed closed; a drawing that was moved under the eye stays where it was.
function keep() {
  const step = drawnStep, open = new Map([...document.querySelectorAll("#work details[data-key]")].filter((d) => String(d.open) !== d.dataset.begun).map((d) => [d.dataset.key, d.open]));
  const at = new Map([...document.querySelectorAll("#work [data-pan]")].map((d) => [d.dataset.pan, [d.scrollLeft, d.scrollTop]]));
  return () => {
    drawnStep = desk.step;
    for (const d of document.querySelectorAll("#work details[data-key]")) d.dataset.begun = String(d.open);
    if (step !== desk.step) return;
    for (const d of document.querySelectorAll("#work details[data-key]")) if (open.has(d.dataset.key)) d.open = open.get(d.dataset.key);
    for (const d of document.querySelectorAll("#work [data-pan]")) [d.scrollLeft, d.scrollTop] = at.get(d.dataset.pan) ?? [0, 0];
  };
}
let drawnStep = "", drawnJob = "", drawnRows = {};

function drawMeanwhile(open, isChanged) {
  const box = document.getElementById("meanwhile"), t = W.unsaved, off = { disabled: !open || isChanged || away !== "" };
  const lost = away ? [el("p", {}, W.away[away])] : [];
  const typed = [...unsaved.values()].filter((one) => !open || one.of === desk.now.job.file).map((one) => el("div", { class: "row" }, el("span", {}, `${t.said} ${one.what}: ${one.value}`),
    button(t.save, () => saveAgain(one), { ...off, "aria-label": `${t.save}: ${one.what}` }), button(t.drop, () => { unsaved.delete(one.key); draw(); }, { "aria-label": `${t.drop}: ${one.what}` })));
  box.replaceChildren(...lost, ...(isChanged ? [
    el("p", {}, W.meanwhile.said), el("div", { class: "row" },
      button(W.meanwhile.theirs, () => act("take-theirs"), { class: "main" }),
      button(W.meanwhile.mine, () => act("keep-mine"))),
    el("details", {}, el("summary", {}, W.meanwhile.see), el("textarea", { readonly: true, "aria-label": W.meanwhile.see, value: desk.now.job.theirs })),
  ] : []), ...typed);
}

// Drawing anew must not take the focus away from whoever works with keys.
const HOLDERS = "button,input,select,textarea,[tabindex]";
function focusPlace() {
  const at = document.activeElement, part = at?.closest("#steps,#tools,#work");
  if (!part || at === part) return null;
  return { part, id: at.dataset?.key, index: [...part.querySelectorAll(HOLDERS)].indexOf(at), marked: markedIn(at) };
}
function focusAgain(place) {
  if (!place) return;
  const all = [...place.part.querySelectorAll(HOLDERS)];
  const at = (place.id && all.find((n) => n.dataset.key === place.id)) || all[place.index];
  at?.focus({ preventScroll: true });
  if (place.marked && at && markedIn(at)) mark(at, place.marked);
}

// What is marked in a field stays marked: whoever writes over it would else write behind it.
function markedIn(at) {
  if (!at.matches("textarea,input[type=text]")) return null;
  const { selectionStart: start, selectionEnd: end } = at;
  return { start, end, isAll: end - start === at.value.length && end > start };
}
function mark(at, { start, end, isAll }) {
  if (isAll) at.select(); else at.setSelectionRange(start, end);
}

watch(document.getElementById("work"));
document.getElementById("work").replaceChildren(el("p", {}, W.reading));
refresh().then(follow).catch((error) => say(String(error.message ?? error)));

let searched = ""; // where the search stood when it was heard of last
function follow() {
  listen((told) => {
    progress(told);
    if (searched === "running" && told.stage !== "running" && document.getElementById("news").textContent.startsWith(W.plan.running)) say(W.plan.ended);
    searched = told.stage;
    if (told.changed) refresh();
  }, comeBack);
}

// While the server is gone it is looked for; it goes on with the job that was open.
const PATIENCE_MS = 1000;
async function comeBack() {
  const was = desk.now.job?.file;
  for (let is = await reached(); !await goesOn(is, was); is = await reached()) {
    if (is !== "here" && is !== away) { away = is; draw(); }
    await new Promise((done) => setTimeout(done, PATIENCE_MS));
  }
  follow();
}
async function goesOn(is, was) {
  if (is !== "here") return false;
  try { // it may go while it is asked
    const { job, files } = await state(), isBack = away !== "";
    if (was && !job && files.jobs.includes(was)) await post("open", { file: was });
    away = "";
    await refresh();
    if (isBack) say(W.away.back);
    return true;
  } catch { return false; }
}
