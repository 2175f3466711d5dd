// The same files as the command writes: what is printed first, where all of it lies, the rest below.
import { button, el } from "/page/dom.js";
import { leftovers, ticks } from "/page/ticks.js";
import { W } from "/page/words.js";

const address = (name) => "/papers/" + name.split("/").map(encodeURIComponent).join("/");
const link = (name, words, attrs) => el("a", { href: address(name), target: "_blank", rel: "noopener", ...attrs }, words ?? name);

export function papers(desk) {
  const t = W.papers, { plan, papers, papers_folder: folder } = desk.now;
  const are = desk.now.papers_are, isOlder = are === "older";
  const toPlan = [el("p", {}, t.none), el("div", { class: "row" }, button(t.toPlan, () => desk.go("plan"), { class: "main" }))];
  const write = plan ? button(papers.length && !isOlder ? t.again : t.write, () => desk.act("papers", {}, t.written), { class: papers.length && !isOlder ? "" : "main" }) : null;
  if (!papers.length) return [el("h2", {}, t.head), plan ? [el("p", {}, t.stale), el("div", { class: "row" }, write), ticks(desk)] : toPlan];
  const has = (name) => papers.includes(name), groups = new Map();
  for (const name of papers) {
    const kind = name.includes("/") ? name.split("/")[0] : /\.csv$/.test(name) ? "csv" : /\.(svg|png)$/.test(name) ? "pictures" : "";
    groups.set(kind, [...(groups.get(kind) ?? []), name]);
  }
  return [
    el("h2", {}, t.head),
    isOlder ? [plan ? [el("p", {}, t.stale), el("div", { class: "row" }, write), ticks(desk)] : toPlan, el("p", { class: "finding" }, t.older)] : are === "before ticks" ? el("p", { class: "quiet" }, t.beforeTicks) : null,
    el("div", { class: "row" }, has("shop.pdf") ? link("shop.pdf", t.print, { class: `button large${isOlder ? "" : " main"}` }) : null, has("shop.html") ? link("shop.html", t.screen, { class: "button large" }) : null, isOlder ? null : write),
    el("p", {}, `${t.lie} `, el("code", {}, folder)),
    el("details", { "data-key": "all papers" }, el("summary", {}, `${t.list} (${papers.length})`), [...groups].map(([kind, names]) => [el("h4", {}, t.kinds[kind] ?? kind), el("ul", {}, names.map((name) => el("li", {}, link(name))))])),
    isOlder ? null : [ticks(desk), leftovers(desk)],
    el("h3", {}, t.look), el("p", { class: "quiet" }, t.lookHow), el("iframe", { src: "/papers/shop.html", title: t.look, sandbox: "allow-scripts allow-modals" }),
  ];
}
