// The job file itself, for what has no form.
import { button, el } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
import { W } from "/page/words.js";

// What is typed and not saved yet, and of which job: it stays, whatever the page is drawn anew for.
let draft = null;

export function text(desk) {
  const t = W.text, { digest } = desk.now.job, area = el("textarea", { "aria-label": t.head, spellcheck: "false", value: draft?.text ?? desk.now.job.text, "data-key": "job text", oninput: () => { draft = { of: draft?.of ?? digest, text: area.value }; drop.disabled = false; } });
  const drop = button(t.drop, () => { draft = null; desk.draw(); }, { disabled: draft === null });
  const save = async () => { if (await desk.edit("text", { text: area.value }, t.head)) { draft = null; desk.draw(); } };
  return [
    el("h2", {}, t.head), el("p", { class: "quiet" }, t.hint),
    draft && draft.of !== digest ? el("p", { class: "asked", role: "status" }, t.stale) : null, area,
    el("div", { class: "row" }, button(t.save, save, { class: "main" }), drop),
    findingsOf(desk, () => true),
  ];
}
