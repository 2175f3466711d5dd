// The job file itself, for what has no form.
import { button, el } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
import { W } from "/page/words.js";

// What is typed and not saved yet: it stays, whatever the page is drawn anew for.
let draft = null;

export function text(desk) {
  const t = W.text, area = el("textarea", { "aria-label": t.head, spellcheck: "false", value: draft ?? desk.now.job.text, "data-key": "job text", oninput: () => { draft = area.value; drop.disabled = false; } });
  const drop = button(t.drop, () => { draft = null; desk.draw(); }, { disabled: draft === null });
  const save = async () => { if (await desk.edit("text", { text: area.value }, t.head)) { draft = null; desk.draw(); } };
  return [
    el("h2", {}, t.head), el("p", { class: "quiet" }, t.hint), area,
    el("div", { class: "row" }, button(t.save, save, { class: "main" }), drop),
    findingsOf(desk, () => true),
  ];
}
