// What only the builder knows, asked beside a field that takes the answer.
import { button, choice, el } from "/page/dom.js";
import { asValue, bare, formsOf } from "/page/numbers.js";
import { W } from "/page/words.js";

export function pathOf(where) {
  const steps = where.split(".");
  const path = [];
  for (const step of steps) {
    const found = /^([A-Za-z_][\w-]*)(?:\[(\d+)\])?(?: '.*')?$/.exec(step);
    if (!found) return null;
    path.push(found[1]);
    if (found[2] !== undefined) path.push(Number(found[2]) - 1);
  }
  return path.length && typeof path.at(-1) === "string" ? path : null;
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

// "sheet[2].thickness" as a person says it: sheet "4 mm ply", thickness.
function placeOf(desk, path, where) {
  if (!path) return where;
  const [table, number] = path, row = typeof number === "number" ? desk.now.view.written[table]?.[number] : null;
  const name = row?.name ? ` “${row.name}”` : typeof number === "number" ? ` ${number + 1}` : "";
  const keys = path.slice(typeof number === "number" ? 2 : 1).filter((s) => typeof s === "string").map((s) => s.replace(/_/g, " "));
  return `${W.tables[table] ?? table}${name}${keys.length ? ": " + keys.join(", ") : ""}`;
}

export function findingsOf(desk, wanted) {
  return desk.now.view.findings.filter(wanted).map((f) => {
    const path = f.blocking ? pathOf(f.where) : null, key = keyAt(desk, path), place = placeOf(desk, path ?? pathOf(f.where), f.where);
    const attrs = { "aria-label": `${W.answer}: ${place}`, "data-key": "answer " + f.where };
    const put = (words) => words.trim() && desk.edit("set", { path, value: key ? asValue(key, words) : words.trim() }, place);
    const input = !path ? null : key?.choices.length
      ? choice("", [["", W.choose], ...key.choices.map((c) => [c, c])], put, attrs["aria-label"])
      : el("input", { type: "text", placeholder: bare(key?.example?.split("=").at(-1).trim() ?? ""), ...attrs });
    if (input?.tagName === "INPUT") input.addEventListener("change", () => put(input.value));
    return el("div", { class: "finding" + (f.blocking ? " blocking" : "") },
      el("strong", {}, place), el("p", {}, f.message),
      key ? el("p", { class: "quiet" }, key.says) : f.remedy && el("p", { class: "quiet" }, f.remedy),
      key && f.remedy && !/^Write the answer after/.test(f.remedy) ? el("p", { class: "quiet" }, f.remedy) : null,
      input && el("div", { class: "row" }, input, input.tagName === "INPUT" ? button(W.set, () => put(input.value)) : null));
  });
}
