// What only the builder knows and what is at fault, beside a field that takes the answer.
import { button, choice, el } from "/page/dom.js";
import { asValue, bare, formsOf } from "/page/numbers.js";
import { W } from "/page/words.js";

// "sheet[2].thickness" as steps into the job; null where it isn't the place of a value.
export function pathOf(where) {
  const path = stepsOf(where);
  return path?.length && typeof path.at(-1) === "string" ? path : null;
}
function stepsOf(where) {
  const path = [];
  for (const step of where.split(".")) {
    const found = /^([A-Za-z_][\w-]*)(?:\[(\d+)\])?(?: '.*')?$/.exec(step);
    if (!found) return null;
    path.push(found[1]);
    if (found[2] !== undefined) path.push(Number(found[2]) - 1);
  }
  return path;
}
// Whether it is about the value that a path leads to, or about one of the values of a list there.
export function isAbout(f, path) {
  const steps = stepsOf(f.where);
  return Boolean(steps) && path.every((step, n) => steps[n] === step) && typeof (steps[path.length] ?? 0) === "number";
}

// The key that a path leads to, as the register of all keys knows it.
function keyAt(desk, path) {
  const forms = formsOf(desk);
  if (!forms || !path) return null;
  let table = forms[path[0]], at = desk.now.view.written[path[0]];
  for (const step of path.slice(1, -1)) {
    at = at?.[step];
    if (typeof step === "number") continue;
    const key = table?.keys.find((k) => k.name === step);
    table = forms[key?.table === "shape" ? `shape:${at?.kind}` : key?.table];
  }
  return table?.keys.find((k) => k.name === path.at(-1)) ?? null;
}

const STEP = { part: "parts", rail: "parts", sheet: "stock", board: "stock", saw: "stock", drawing: "begin", drawings: "begin" };

// The table of the job that a finding belongs to: by its place, or by the name that it speaks of.
function homeOf(desk, f) {
  const { written } = desk.now.view, path = pathOf(f.where);
  if (f.table) return f.table;
  for (const table of ["part", "rail"]) {
    const k = (written[table] ?? []).findIndex((w) => w.name && (w.name === f.about || w.name === f.where));
    if (k >= 0) return [table, k];
  }
  if (path && typeof path[1] !== "number" && path[0] in W.tables) return [path[0], null];
  return null;
}
export const isOf = (desk, f, table, k) => { const home = homeOf(desk, f); return home?.[0] === table && home[1] === k; };
const TOO_LARGE = "JOB-019";
export const isOfJoint = (f) => /(^|\.)joint(\.|\[|$)/.test(f.where) || f.code.startsWith("JNT") || f.code === TOO_LARGE;
// Whether it asks for what has a field of its own in the card that it belongs to.
export const hasField = (f, keys) => {
  const path = f.code === "JOB-022" && pathOf(f.where.replace(/\[\d+\]$/, ""));
  return Boolean(path) && keys.includes(path.at(-1));
};
// The job file's headings as one says them: [[board]], a board.
const plain = (words) => words.replace(/(?<!\w)\[\[?([a-z]\w*)\]\]?/g, (_, key) => (W.tables[key] ?? key).toLowerCase());
const HAS_NO_STOCK = new Set(["JOB-016", "JOB-017", "JOB-023", "JOB-057"]);
export const isOfStock = (desk, f) => ["sheet", "board", "saw"].includes(homeOf(desk, f)?.[0]) || HAS_NO_STOCK.has(f.code) || f.code.startsWith("SHT") || f.code.startsWith("BRD");

// Where it is, as a person says it: Sheet “4 mm ply”: thickness.
export function placeOf(desk, f) {
  const home = homeOf(desk, f);
  if (!home) return f.where;
  const [table, k] = home, row = k === null ? null : desk.now.view.written[table]?.[k];
  const name = k === null ? "" : row?.name ?? row?.file ? ` “${row.name ?? row.file}”` : ` ${k + 1}`;
  const path = pathOf(f.where), rest = path ? path.slice(k === null ? 1 : 2).filter((s) => typeof s === "string").map((s) => s.replace(/_/g, " ")).join(", ")
    : [row?.name, f.about].includes(f.where) ? "" : f.where.replace(/^\w+\[\d+\],? ?/, "");
  return `${W.tables[table] ?? table}${name}${rest ? ": " + rest : ""}`;
}

// Cards of the findings that are wanted; from afar each leads to the place that it is about.
export function findingsOf(desk, wanted, fromAfar) {
  return desk.now.view.findings.filter(wanted).map((f) => {
    const place = placeOf(desk, f), path = f.blocking ? pathOf(f.where) : null, key = keyAt(desk, path), home = homeOf(desk, f);
    const step = isOfJoint(f) ? "joints" : STEP[home?.[0]];
    const leads = fromAfar && step && step !== desk.step ? button(W.show, () => desk.go(step, home[1] === null ? home[0] : `${home[0]} ${home[1]}`), { "aria-label": `${W.show}: ${place}` }) : null;
    const isTable = key && (key.table || key.what === "table");
    const says = isTable && leads ? [] : [key && !isTable && !key.choices.length ? key.says : null, f.remedy && (!key || isTable || !isPlainAsk(f)) ? plain(f.remedy) : null].filter(Boolean);
    return el("div", { class: "finding" + (f.blocking ? " blocking" : "") },
      el("strong", {}, place), el("p", {}, plain(f.message)), says.map((s) => el("p", { class: "quiet" }, s)),
      el("div", { class: "row" }, f.settle ? button(`${W.settle[f.code]} ${f.settle}`, () => desk.edit("set", { path: pathOf(f.where), value: f.settle }, place), { class: "main", "aria-label": `${W.settle[f.code]} ${f.settle}: ${place}` }) : null,
        key && !isTable ? answer(desk, f, path, key, place) : null, leads));
  });
}
// An example in the units that the page writes lengths in; none, if there is only one in others.
function example(desk, key) {
  const words = bare(key?.example ?? ""), foreign = desk.now.view.units === "inch" ? /\d ?mm\b/ : /\d ?(in|ft)\b|["']/;
  return foreign.test(words) ? "" : words;
}
const isPlainAsk = (f) => f.code === "JOB-022";

// A field for the answer; pressing "Set" after it was typed sets it once.
function answer(desk, f, path, key, place) {
  let put = null;
  const set = (words) => {
    if (!words.trim() || words === put) return;
    put = words;
    desk.edit("set", { path, value: key ? asValue(key, words, desk.now.view) : words.trim() }, place);
  };
  const attrs = { "aria-label": `${W.answer}: ${place}`, "data-key": "answer " + f.where };
  if (key?.choices.length) return choice("", [["", W.choose], ...key.choices.map((c) => [c, W.said[c] ?? c])], set, attrs["aria-label"]);
  const input = el("input", { type: "text", placeholder: example(desk, key), autocomplete: "off", ...attrs });
  input.addEventListener("change", () => set(input.value));
  return [input, button(W.set, () => set(input.value), { "aria-label": `${W.set}: ${place}` })];
}
