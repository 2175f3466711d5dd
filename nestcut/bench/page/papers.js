// The same files as the command writes.
import { button, el } from "/page/dom.js";
import { W } from "/page/words.js";

export function papers(desk) {
  const t = W.papers, { plan, papers } = desk.now;
  if (!plan) return [el("h2", {}, t.head), el("p", {}, t.none)];
  return [
    el("h2", {}, t.head),
    el("div", { class: "row" }, button(papers.length ? t.again : t.write, () => desk.act("papers", {}, t.head), { class: "main" })),
    papers.length ? [
      el("h3", {}, t.list), el("ul", {}, papers.map((name) => el("li", {}, el("a", { href: "/papers/" + name.split("/").map(encodeURIComponent).join("/"), target: "_blank", rel: "noopener" }, name)))),
      el("h3", {}, t.look), el("iframe", { src: "/papers/shop.html", title: t.look, sandbox: "allow-scripts allow-modals" })] : el("p", {}, t.stale),
  ];
}
