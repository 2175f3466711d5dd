// The first step: drawings, numbers, a job that is there, or the demo.
import { upload } from "/page/api.js";
import { button, choice, el, entry, field } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
import { drawings } from "/page/outlines.js";
import { W } from "/page/words.js";

const chosen = { name: "boat", units: "mm", drawings: new Set() };

async function take(desk, files) {
  for (const file of files) {
    const { status, told } = await upload(file);
    if (status >= 400) desk.say(`${W.fault} ${told.fault}`);
    else if (/\.(dxf|svg)$/i.test(told.file)) chosen.drawings.add(told.file);
  }
  await desk.refresh();
}

export function begin(desk) {
  const t = W.begin, { files, job } = desk.now;
  const input = el("input", { type: "file", multiple: true, accept: ".dxf,.svg,.csv,.toml", "aria-label": t.choose, onchange: (e) => take(desk, e.target.files) });
  const drop = el("div", { class: "drop" }, el("p", {}, t.drop), input);
  drop.addEventListener("dragover", (e) => { e.preventDefault(); drop.classList.add("over"); });
  drop.addEventListener("dragleave", () => drop.classList.remove("over"));
  drop.addEventListener("drop", (e) => { e.preventDefault(); drop.classList.remove("over"); take(desk, e.dataTransfer.files); });
  const start = (drawings) => desk.act("begin", { name: chosen.name, units: chosen.units, drawings }, t.head);
  return [
    el("h2", {}, t.head),
    el("div", { class: "row" }, button(t.demo, () => desk.act("demo"), { class: job ? "" : "main" })),
    drop,
    files.drawings.length ? el("h3", {}, t.drawings) : null,
    el("ul", { class: "plain" }, files.drawings.map((name) => el("li", {}, field(name, el("input", {
      type: "checkbox", checked: chosen.drawings.has(name),
      onchange: (e) => { e.target.checked ? chosen.drawings.add(name) : chosen.drawings.delete(name); desk.refresh(); } }), "beside")))),
    el("div", { class: "row" },
      field(t.name, entry(chosen.name, (v) => { chosen.name = v; })),
      field(t.units, choice(chosen.units, [["mm", t.mm], ["inch", t.inch]], (v) => { chosen.units = v; })),
      button(t.make, () => start([...chosen.drawings].filter((d) => files.drawings.includes(d))), { disabled: !chosen.drawings.size }),
      button(t.numbers, () => start([]))),
    el("h3", {}, t.jobs),
    el("ul", { class: "plain" }, files.jobs.map((name) => el("li", {}, button(`${t.open} ${name}`, () => desk.act("open", { file: name }))))),
    job ? understood(desk) : null,
  ];
}

function understood(desk) {
  const t = W.begin, asked = findingsOf(desk, (f) => f.blocking);
  return [
    drawings(desk),
    el("h2", {}, t.asked), asked.length ? asked : el("p", {}, t.settled),
    el("div", { class: "row" }, button(t.next, () => desk.go("parts"), { class: "main" }), desk.now.view.usable ? button(t.straight, () => desk.go("plan")) : null),
  ];
}
