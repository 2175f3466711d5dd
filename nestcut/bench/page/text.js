// The job file itself, for what has no form.
import { button, el } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
import { W } from "/page/words.js";

export function text(desk) {
  const t = W.text, area = el("textarea", { "aria-label": t.head, spellcheck: "false", value: desk.now.job.text, "data-key": "job text" });
  return [
    el("h2", {}, t.head), el("p", { class: "quiet" }, t.hint), area,
    el("div", { class: "row" }, button(t.save, () => desk.edit("text", { text: area.value }, t.head), { class: "main" })),
    findingsOf(desk, () => true),
  ];
}
