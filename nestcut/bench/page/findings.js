// What only the builder knows, asked beside a field that takes the answer.
import { button, el } from "/page/dom.js";
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

export function findingsOf(desk, wanted) {
  return desk.now.view.findings.filter(wanted).map((f) => {
    const path = f.blocking ? pathOf(f.where) : null;
    const input = path && el("input", { type: "text", "aria-label": `${W.answer}: ${f.where}`, "data-key": "answer " + f.where });
    const set = () => input.value.trim() && desk.edit("set", { path, value: input.value.trim() }, f.where);
    input?.addEventListener("change", set);
    return el("div", { class: "finding" + (f.blocking ? " blocking" : "") },
      el("strong", {}, f.where), el("p", {}, f.message), f.remedy && el("p", { class: "quiet" }, f.remedy),
      input && el("div", { class: "row" }, input, button(W.set, set)));
  });
}
