// The page: one step at a time, drawn anew from what the server says.
import { listen, post, state } from "/page/api.js";
import { button, el } from "/page/dom.js";
import { isAbout } from "/page/findings.js";
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

async function act(address, body, words, onDone, onFaults) {
  const { status, told } = await post(address, body);
  if (status === 409) {
    await refresh();
    if (!desk.now.job.changed_outside) say(W.meanwhile.again);
    return null;
  }
  if (status >= 400) {
    const more = (told.findings ?? []).map((f) => f.file ? `${f.file}: ${f.message} ${f.remedy}` : f.message).join(" ");
    onFaults?.(told.findings ?? []);
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
  const base = drawnJob, target = JSON.stringify(message.path ?? address), meant = rowAt(drawnRows, message.path);
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
  work.addEventListener("input", (e) => { if (e.target.matches("textarea,input[type=text]")) typing = e.target; });
  for (const end of ["change", "focusout"]) work.addEventListener(end, said, true);
  document.addEventListener("pointerdown", () => { pressed = true; }, true);
  for (const end of ["pointerup", "pointercancel", "keydown"]) document.addEventListener(end, () => { pressed = false; later(); }, true);
}

function draw() {
  waits = desk.holds || pressed;
  if (waits) return;
  const { now } = desk, open = now.job !== undefined, place = focusPlace(), kept = keep();
  if (!open) desk.step = "begin";
  document.getElementById("title").textContent = open ? now.view.name : "nestcut bench";
  document.title = open ? `${now.view.name} – nestcut bench` : "nestcut bench";
  document.getElementById("steps").replaceChildren(...Object.keys(STEPS).map((step) =>
    button(W.steps[step], () => go(step), { "aria-current": step === desk.step ? "step" : null, disabled: !open && step !== "begin" })));
  document.getElementById("tools").replaceChildren(
    button(W.undo, () => act("undo", undefined, W.undo), { disabled: !open || !now.job.can_undo }), " ",
    button(W.redo, () => act("redo", undefined, W.redo), { disabled: !open || !now.job.can_redo }));
  document.getElementById("care").textContent = W.care;
  drawMeanwhile(open && now.job.changed_outside);
  const work = document.getElementById("work");
  waits = desk.step === drawnStep && Boolean(typing?.isConnected);
  if (waits) return;
  [drawnJob, drawnRows] = open ? [now.job.digest, now.view.written] : ["", {}];
  work.replaceChildren(...STEPS[desk.step](desk).flat(4).filter(Boolean));
  kept();
  focusAgain(place);
}

// What was opened stays open, and a drawing that was moved under the eye stays where it was.
function keep() {
  const step = drawnStep, open = new Map([...document.querySelectorAll("#work details[data-key]")].map((d) => [d.dataset.key, d.open]));
  const at = new Map([...document.querySelectorAll("#work [data-pan]")].map((d) => [d.dataset.pan, [d.scrollLeft, d.scrollTop]]));
  return () => {
    drawnStep = desk.step;
    if (step !== desk.step) return;
    for (const d of document.querySelectorAll("#work details[data-key]")) if (open.has(d.dataset.key)) d.open = open.get(d.dataset.key);
    for (const d of document.querySelectorAll("#work [data-pan]")) [d.scrollLeft, d.scrollTop] = at.get(d.dataset.pan) ?? [0, 0];
  };
}
let drawnStep = "", drawnJob = "", drawnRows = {};

function drawMeanwhile(isChanged) {
  const box = document.getElementById("meanwhile");
  box.replaceChildren(...(isChanged ? [
    el("p", {}, W.meanwhile.said), el("div", { class: "row" },
      button(W.meanwhile.theirs, () => act("take-theirs"), { class: "main" }),
      button(W.meanwhile.mine, () => act("keep-mine"))),
    el("details", {}, el("summary", {}, W.meanwhile.see), el("textarea", { readonly: true, "aria-label": W.meanwhile.see, value: desk.now.job.theirs })),
  ] : []));
}

// Drawing anew must not take the focus away from whoever works with keys.
const HOLDERS = "button,input,select,textarea,[tabindex]";
function focusPlace() {
  const at = document.activeElement, part = at?.closest("#steps,#tools,#work");
  if (!part || at === part) return null;
  return { part, id: at.dataset?.key, index: [...part.querySelectorAll(HOLDERS)].indexOf(at) };
}
function focusAgain(place) {
  if (!place) return;
  const all = [...place.part.querySelectorAll(HOLDERS)];
  const at = (place.id && all.find((n) => n.dataset.key === place.id)) || all[place.index];
  at?.focus({ preventScroll: true });
}

watch(document.getElementById("work"));
document.getElementById("work").replaceChildren(el("p", {}, W.reading));
refresh().then(() => listen((told) => {
  progress(told);
  if (told.changed) refresh();
}, () => say(W.lost))).catch((error) => say(String(error.message ?? error)));
