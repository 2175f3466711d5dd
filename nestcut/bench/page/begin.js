// The first step: drawings, numbers, a job that is there, or the demo.
import { upload } from "/page/api.js";
import { button, choice, el, entry, field } from "/page/dom.js";
import { findingsOf } from "/page/findings.js";
import { asksBeside, drawings, seek } from "/page/outlines.js";
import { W } from "/page/words.js";

const chosen = { name: "boat", units: "mm", drawings: new Set() };

async function take(desk, files) {
  for (const file of files) {
    const { status, told } = await upload(file);
    if (status >= 400) desk.say(`${W.fault} ${told.fault}`);
    else desk.say(`${told.file}: ${W.begin.taken}`);
    if (status < 400 && /\.(dxf|svg)$/i.test(told.file)) chosen.drawings.add(told.file);
  }
  await desk.refresh();
}

export function begin(desk) {
  const { job } = desk.now;
  if (!job) return [el("h2", {}, W.begin.head), another(desk)];
  return [el("h2", {}, W.begin.head), understood(desk), el("details", { "data-key": "another" }, el("summary", {}, W.begin.another), another(desk))];
}

// A job from drawings or numbers, one that is there, or the demo.
function another(desk) {
  const t = W.begin, { files, job } = desk.now;
  const input = el("input", { type: "file", multiple: true, class: "unseen", tabindex: -1, accept: files.taken.join(","), "aria-label": t.choose, onchange: (e) => take(desk, e.target.files) });
  const drop = el("div", { class: "drop" }, el("p", {}, t.drop), button(t.choose, () => input.click(), { "data-key": "choose files" }), input);
  drop.addEventListener("dragover", (e) => { e.preventDefault(); drop.classList.add("over"); });
  drop.addEventListener("dragleave", () => drop.classList.remove("over"));
  drop.addEventListener("drop", (e) => { e.preventDefault(); drop.classList.remove("over"); take(desk, e.dataTransfer.files); });
  const leave = (faults) => { for (const f of faults) chosen.drawings.delete(f.file); desk.draw(); };
  const start = async (drawings) => {
    if (await desk.act("begin", { name: chosen.name, units: chosen.units, drawings }, `${chosen.name}: ${t.made}`, null, leave)) { drawings.length ? seek() : desk.go("parts"); desk.draw(); }
    else if (desk.now.files.jobs.includes(`${chosen.name}.toml`)) desk.say(`${W.fault} ${chosen.name}: ${t.taken2}`);
  };
  return [
    el("div", { class: "row" }, button(t.demo, () => desk.act("demo"), { class: job ? "" : "main" })),
    drop,
    files.drawings.length ? el("h3", {}, t.drawings) : null,
    el("ul", { class: "plain" }, files.drawings.map((name) => el("li", {}, field(name, el("input", {
      type: "checkbox", checked: chosen.drawings.has(name),
      onchange: (e) => { e.target.checked ? chosen.drawings.add(name) : chosen.drawings.delete(name); desk.refresh(); } }), "beside")))),
    el("div", { class: "row" },
      field(t.name, entry(chosen.name, (v) => { chosen.name = v; }, { "data-key": "name of the boat" })),
      field(t.units, choice(chosen.units, [["mm", t.mm], ["inch", t.inch]], (v) => { chosen.units = v; })),
      button(t.make, () => start([...chosen.drawings].filter((d) => files.drawings.includes(d))), { disabled: !chosen.drawings.size, class: !job && chosen.drawings.size ? "main" : "" }),
      button(t.numbers, () => start([]))),
    files.jobs.length ? el("h3", {}, t.jobs) : null,
    el("ul", { class: "plain" }, files.jobs.map((name) => el("li", {}, button(`${t.open} ${name}`, () => desk.act("open", { file: name }))))),
  ];
}

// What is asked of drawings stands beside them; the rest here, with the way to where it belongs.
function understood(desk) {
  const t = W.begin, drawn = drawings(desk), isBeside = (f) => drawn.length && (["DXF-067", "DXF-068"].includes(f.code) || f.where === "drawings.unit" || asksBeside(desk, f));
  const asked = findingsOf(desk, (f) => f.blocking && !isBeside(f), true), isOpen = desk.now.view.findings.some((f) => f.blocking);
  return [
    drawn,
    el("h2", {}, t.asked), asked.length ? asked : el("p", {}, isOpen ? t.asBefore : t.settled),
    el("div", { class: "row" }, button(t.next, () => desk.go("parts"), { class: "main" }), desk.now.view.usable ? button(t.straight, () => desk.go("plan")) : null),
  ];
}
